"""Lists in words."""

from everyrung.checks.cells import listed_and


def test_a_list_reads_as_it_is_spoken() -> None:
    assert [listed_and(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
