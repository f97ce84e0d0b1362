"""Lists in words."""

from everyrung.checks.cells import and_list


def test_a_list_reads_as_it_is_spoken() -> None:
    assert [and_list(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
