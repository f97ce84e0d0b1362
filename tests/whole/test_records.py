"""What the chain says of some plans, and what each rule says of a plan that breaks it, is what it said before.

No source: a record proves nothing true. It makes every change of a number, a place or a word visible and deliberate;
after one that is meant, `python scripts/write_records.py` writes the records anew.
"""

import pytest
from record_lines import differing, same
from recorded import RECORDS
from recorded_plans import RECORDED

MOST_SHOWN = 40
ANEW = "if this is meant: python scripts/write_records.py"


@pytest.mark.parametrize("name", list(RECORDED))
def test_the_chain_says_what_it_said(name: str) -> None:
    for part, after in RECORDED[name]():
        path = RECORDS / f"{part}.txt"
        assert path.exists(), f"no record of {part}; {ANEW}"
        changed = differing(path.read_text(encoding="utf-8").splitlines(), after)
        assert not changed, "\n".join([f"{part}.txt; {ANEW}", *changed[:MOST_SHOWN]])


def test_a_record_forgives_the_last_digits_of_a_decimal_and_nothing_else() -> None:
    assert same("kcal: 183.4021", "kcal: 183.40210001")
    assert not same("kcal: 183.4021", "kcal: 183.4031")
    assert not same("count 37; of 60", "count 38; of 60")
    assert not same("8 reps", "8 repetitions")
    assert not same("1.5 s", "1.5 s 2.5")
    assert differing(["a", "b 1.0"], ["a", "b 1.1"]) == ["- b 1.0", "+ b 1.1"]
    assert differing(["a", "b", "c"], ["a", "c"]) == ["-b"]
