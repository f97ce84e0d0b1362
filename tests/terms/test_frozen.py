"""A frozen class of ours is what the standard library would have made of it: that library is the oracle."""

import copy
import dataclasses
import inspect
import math
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field, fields, is_dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import Any, ClassVar

import pytest

import everyrung.terms
from everyrung.terms.brief import Brief
from everyrung.terms.errors import Invalid, Where, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.units import Dose, Mass, MassUnit, Tempo


class Written:
    """Fields of every kind, from which both libraries make a class."""

    word: ClassVar[str] = "oar"
    name: str
    place: int = field(default=3, compare=False)
    parts: list[int] = field(default_factory=list, repr=False)
    share: float = 0.5

    def __post_init__(self) -> None:
        require(bool(self.name), "name", "a name", self.name)


def both(body: type, **arguments: Any) -> tuple[Any, Any]:
    """The class as ours and as the standard library makes it."""
    arguments = {"frozen": True, "slots": True, **arguments}
    makers: tuple[Callable[..., Any], ...] = (dataclass, dataclasses.dataclass)
    members = {key: value for key, value in vars(body).items() if key not in ("__dict__", "__weakref__")}
    ours, theirs = (make(**arguments)(type(body.__name__, (), dict(members))) for make in makers)
    return ours, theirs


def terms() -> list[type[Any]]:
    stems = [path.stem for path in Path(everyrung.terms.__file__).parent.glob("*.py") if path.stem != "__init__"]
    modules = [import_module(f"everyrung.terms.{stem}") for stem in stems]
    return [
        term
        for module in modules
        for term in vars(module).values()
        if isinstance(term, type) and is_dataclass(term) and term.__module__ == module.__name__
    ]


def test_every_term_is_made_from_the_same_arguments() -> None:
    found = terms()
    assert len(found) > 100
    for term in found:
        said = {
            each.name: each.default
            for each in inspect.signature(term).parameters.values()
            if not by_factory(term, each.name)
        }
        assert said == {
            each.name: inspect.Parameter.empty if each.default is dataclasses.MISSING else each.default
            for each in fields(term)
            if not by_factory(term, each.name)
        }
        assert {each.kind for each in inspect.signature(term).parameters.values()} <= {inspect.Parameter.KEYWORD_ONLY}
        assert term.__match_args__ == ()


def by_factory(term: type[Any], name: str) -> bool:
    """Whether a factory makes the field's default."""
    return any(each.name == name and each.default_factory is not dataclasses.MISSING for each in fields(term))


@pytest.mark.parametrize("by_name", [True, False])
def test_it_says_of_itself_what_the_other_says(by_name: bool) -> None:
    ours, theirs = both(Written, kw_only=by_name)
    assert (
        repr(ours(name="row", parts=[1]))
        == repr(theirs(name="row", parts=[1]))
        == "Written(name='row', place=3, share=0.5)"
    )
    assert ours.__match_args__ == theirs.__match_args__
    assert ours.__slots__ == theirs.__slots__
    assert [each.name for each in fields(ours)] == [each.name for each in fields(theirs)]
    assert ours.__dataclass_params__.frozen


@pytest.mark.parametrize("arguments", [{}, {"kw_only": True}])
@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"name": "a"}, {"name": "a"}),
        ({"name": "a"}, {"name": "b"}),
        ({"name": "a", "place": 1}, {"name": "a", "place": 2}),  # not compared
        ({"name": "a", "parts": [1]}, {"name": "a", "parts": [2]}),
        ({"name": "a", "share": math.nan}, {"name": "a", "share": math.nan}),  # the same object
        ({"name": "a", "share": math.nan}, {"name": "a", "share": float("nan")}),
        ({"name": "a", "share": 1}, {"name": "a", "share": True}),
    ],
)
def test_it_compares_as_the_other_does(arguments: dict[str, bool], one: dict[str, Any], other: dict[str, Any]) -> None:
    ours, theirs = both(Written, **arguments)
    assert (ours(**one) == ours(**other)) is (theirs(**one) == theirs(**other))
    assert ours(**one) != theirs(**one)


def test_what_is_equal_has_one_hash_and_a_list_has_none() -> None:
    mass = Mass(amount=10, unit=MassUnit.LB)
    assert hash(mass) == hash(Mass(amount=10.0, unit=MassUnit.LB))
    assert len({mass, Mass(amount=10.0, unit=MassUnit.LB), Mass(amount=11, unit=MassUnit.LB)}) == 2
    ours, theirs = both(Written)
    for make in (ours, theirs):
        with pytest.raises(TypeError, match="unhashable"):
            hash(make(name="a"))


def test_without_comparison_each_is_itself() -> None:
    ours, theirs = both(Written, eq=False)
    for make in (ours, theirs):
        one = make(name="a")
        assert one == one
        assert one != make(name="a")
        assert hash(one) == object.__hash__(one)


def test_nothing_in_it_can_be_changed() -> None:
    for make in both(Written):
        one = make(name="a")
        with pytest.raises(FrozenInstanceError, match="name"):
            one.name = "b"
        with pytest.raises(FrozenInstanceError, match="name"):
            del one.name
        assert not hasattr(one, "__dict__")


def test_wrong_arguments_are_refused_in_the_same_words() -> None:
    ours, theirs = both(Written, kw_only=True)
    for arguments in ({}, {"name": "a", "oar": 1}):
        messages = []
        for make in (ours, theirs):
            with pytest.raises(TypeError) as caught:
                make(**arguments)
            messages.append(str(caught.value))
        assert messages[0] == messages[1]
    with pytest.raises(Invalid):
        ours(name="")


def test_a_factory_makes_a_new_value_each_time() -> None:
    ours, _ = both(Written)
    assert ours(name="a").parts == []
    assert ours(name="a").parts is not ours(name="a").parts


@dataclass(frozen=True, slots=True)
class One:
    """A single field."""

    value: float


@dataclass(frozen=True, slots=True)
class Empty:
    """No field."""


def test_one_field_and_none() -> None:
    nan = math.nan
    assert One(nan) == One(nan)
    assert One(1) != One(2)
    assert len({One(1), One(1)}) == 1
    assert repr(One(1)) == "One(value=1)"
    assert Empty() == Empty()
    assert len({Empty(), Empty()}) == 1
    assert repr(Empty()) == "Empty()"


@pytest.mark.parametrize(
    "term",
    [
        Tempo(lower_ms=3000, bottom_ms=1000, rise_ms=2000, top_ms=0),
        Dose(reps=8),
        Where(file="a.toml", line=3, field="dose"),
        One(1.5),
    ],
)
def test_it_is_copied_packed_and_replaced(term: Any) -> None:
    assert pickle.loads(pickle.dumps(term)) == term
    assert copy.deepcopy(term) == copy.copy(term) == replace(term) == term
    assert dataclasses.asdict(term) == {each.name: getattr(term, each.name) for each in fields(term)}


def test_what_is_checked_at_the_start_is_checked_when_replaced() -> None:
    with pytest.raises(Invalid):
        replace(Dose(reps=8), reps=0)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Crew(Brief):
    """A class that shows itself in its own way."""

    name: str


def test_a_class_keeps_a_repr_of_its_own() -> None:
    assert repr(Crew(name="Four")) == "Crew(name='Four')" == Brief.__repr__(Crew(name="Four"))


@dataclass(frozen=True, slots=True)
class Named:
    """A class that says itself how it is shown."""

    name: str

    def __repr__(self) -> str:
        return f"<{self.name}>"


def test_a_class_keeps_what_it_says_itself() -> None:
    assert repr(Named("Four")) == "<Four>"


@dataclass(frozen=True, slots=True)
class Oars:
    """A field that is compared and has no part in the hash."""

    name: str
    sides: dict[str, int] = field(default_factory=dict, hash=False)


def test_a_field_without_a_part_in_the_hash_is_compared() -> None:
    assert hash(Oars("Four", {"left": 2})) == hash(Oars("Four", {"left": 3}))
    assert Oars("Four", {"left": 2}) != Oars("Four", {"left": 3})
    assert Oars("Four", {"left": 2}) == Oars("Four", {"left": 2})


@dataclass(slots=True, kw_only=True)
class Tally:
    """A class that can change is the standard library's own."""

    rowed: int = 0


def test_a_class_that_can_change_stays_so() -> None:
    tally = Tally()
    tally.rowed += 1
    assert tally == Tally(rowed=1)
    assert not Tally.__dataclass_params__.frozen  # type: ignore[attr-defined]
