"""Levers as a coach writes them: one small table each, such as `{ pause = "2 s" }`."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, assert_never

from everyrung.parsing.table_reader import as_table, number, one_of, text, whole
from everyrung.parsing.units import duration, load, tempo
from everyrung.terms import lever as levers
from everyrung.terms.enums import (
    BandGrade,
    Carry,
    Extra,
    Hold,
    LoadNeed,
    Press,
    Reach,
    Rotation,
    Sidedness,
    Support,
    Surface,
)
from everyrung.terms.errors import Invalid, nearest, or_list, short_text
from everyrung.terms.lever import LEVER_WORDS, Lever


def read_lever(value: Any) -> Lever:
    """One lever from its table. Raises Invalid with what was expected."""
    table = as_table(value)
    words = [word for word in table if word in LEVER_WORDS]
    extra = [word for word in table if word not in LEVER_WORDS and not (word == "at" and "pause" in table)]
    if len(words) != 1 or extra:
        got = extra[0] if extra else or_list(words) if words else "nothing"
        near = nearest(got, LEVER_WORDS) if extra else ""
        raise Invalid("levers", f"one lever a table: {or_list(LEVER_WORDS, 30)}", got, nearest=near)
    word = words[0]
    if word == "pause" and "at" in table:
        at = table["at"]
        if at not in ("top", "bottom"):
            raise Invalid("at", "'top' or 'bottom'", at)
        return levers.Pause(pause_ms=duration(table[word]), at_top=at == "top")
    return _READERS[word](table[word])


def _tempo(value: Any) -> Lever:
    read = tempo(value)
    if read.bottom_ms or read.top_ms:
        raise Invalid("tempo", "no pauses in a tempo lever", value, remedy="Use { pause = … } for the pause.")
    return levers.TempoChange(lower_ms=read.lower_ms, rise_ms=read.rise_ms)


def _load(value: Any) -> Lever:
    needs = [need.value for need in LoadNeed]
    if isinstance(value, str) and value in needs:
        return levers.LoadChange(need=LoadNeed(value))
    if isinstance(value, str) and value in [grade.value for grade in BandGrade]:
        return levers.LoadChange(need=BandGrade(value).need, band=BandGrade(value))
    try:
        amount = load(value)
    except Invalid as problem:
        expected = f'{or_list([repr(need) for need in needs])}, or an amount such as "10 lb"'
        raise Invalid("load", expected, value, remedy=problem.remedy) from None
    need = LoadNeed.PAIR if len(amount.pieces) == 2 else LoadNeed.ONE
    return levers.LoadChange(need=need, amount=amount)


def _base(value: Any) -> Lever:
    supports, holds = [each.value for each in Support], [each.value for each in Hold]
    if value in supports:
        return levers.Base(support=Support(value))
    if value in holds:
        return levers.Base(hold=Hold(value))
    near = nearest(str(value), [*supports, *holds])
    raise Invalid("base", or_list([*supports, *holds], 30), short_text(value), nearest=near)


def _swap(value: Any) -> Lever:
    move, _, rung = text(value).partition("/")
    return levers.Swap(move=move, rung=rung or "base")


_READERS: dict[str, Callable[[Any], Lever]] = {
    "range": lambda value: levers.Range(share=number(value)),
    "pause": lambda value: levers.Pause(pause_ms=duration(value)),
    "tempo": _tempo,
    "reps": lambda value: levers.Reps(added=whole(-50, 50)(value)),
    "load": _load,
    "carry": lambda value: levers.CarryChange(carry=one_of(Carry)(value)),
    "reach": lambda value: levers.ReachChange(reach=one_of(Reach)(value)),
    "press": lambda value: levers.PressChange(press=one_of(Press)(value)),
    "rotation": lambda value: levers.RotationChange(rotation=one_of(Rotation)(value)),
    "base": _base,
    "unilateral": lambda value: levers.Unilateral(sides=one_of(Sidedness)(value)),
    "pulse": lambda value: levers.Pulse(count=whole(1, 10)(value)),
    "extra": lambda value: levers.ExtraChange(extra=one_of(Extra)(value)),
    "surface": lambda value: levers.SurfaceChange(surface=one_of(Surface)(value)),
    "swap": _swap,
}


def write_lever(lever: Lever) -> dict[str, object]:  # noqa: C901 - one case a lever
    """The table that `read_lever` reads back as the same lever."""
    match lever:
        case levers.Pause():
            at = {"at": "top"} if lever.at_top else {}
            return {"pause": _seconds(lever.pause_ms), **at}
        case levers.TempoChange():
            return {"tempo": f"{lever.lower_ms / 1000:g}-0-{lever.rise_ms / 1000:g}-0"}
        case levers.LoadChange():
            return {"load": str(lever.amount or lever.band or lever.need.value)}
        case levers.Base():
            return {"base": str(lever.hold or lever.support)}
        case levers.Swap():
            return {"swap": f"{lever.move}/{lever.rung}"}
        case levers.Range():
            return {"range": lever.share}
        case levers.Reps():
            return {"reps": lever.added}
        case levers.Pulse():
            return {"pulse": lever.count}
        case levers.Unilateral():
            return {"unilateral": str(lever.sides)}
        case (
            levers.CarryChange()
            | levers.ReachChange()
            | levers.PressChange()
            | levers.RotationChange()
            | levers.ExtraChange()
            | levers.SurfaceChange()
        ):
            return {lever.word: str(getattr(lever, lever.word))}
        case _ as never:
            assert_never(never)


def _seconds(duration_ms: int) -> str:
    return f"{duration_ms / 1000:g} s"


def lever_phrase(lever: Lever) -> str:  # noqa: C901 - one case a lever
    """A lever in a few words, as it is said: '2-second pause', 'overhead press'."""
    match lever:
        case levers.Range():
            return "half depth" if lever.share == 0.5 else f"{lever.share:.0%} depth"
        case levers.Pause():
            return f"{lever.pause_ms / 1000:g}-second pause{' at the top' if lever.at_top else ''}"
        case levers.TempoChange():
            return f"{lever.lower_ms / 1000:g} seconds down, {lever.rise_ms / 1000:g} up"
        case levers.Reps():
            return f"{lever.added:+d} reps"
        case levers.LoadChange():
            load_words = {LoadNeed.NONE: "no load", LoadNeed.ONE: "one dumbbell", LoadNeed.PAIR: "two dumbbells"}
            amount = lever.amount or lever.band
            return f"with {amount}" if amount else load_words.get(lever.need, str(lever.need))
        case levers.PressChange() | levers.ReachChange():
            return f"{write_lever(lever)[lever.word]} {lever.word}"
        case levers.RotationChange():
            return f"turn {lever.rotation}"
        case levers.Pulse():
            return f"{lever.count} pulses"
        case levers.ExtraChange():
            return "nothing after it" if lever.extra is Extra.NONE else f"then a {lever.extra}"
        case levers.CarryChange() | levers.Base() | levers.Unilateral() | levers.SurfaceChange() | levers.Swap():
            return str(next(iter(write_lever(lever).values())))
        case _ as never:
            assert_never(never)


def this_time(word: str, old: float, new: float) -> str:
    """What a lever that changed in size asks for: 'Further', 'A longer pause'; '' where its rung's name says it."""
    if word not in _THIS_TIME or old == new:
        return ""
    if word == "pause" and not (old and new):
        return "With a pause" if new else "Without the pause"
    more, less = _THIS_TIME[word]
    return more if new > old else less


_THIS_TIME = {
    "range": ("Further", "Less far"),
    "pause": ("A longer pause", "A shorter pause"),
    "tempo": ("Slower", "Quicker"),
}
# Steps that a coach takes; chosen, because each is one clear change, and any other can be written in the text.
STEPS: dict[str, Sequence[Mapping[str, object]]] = {
    "range": [{"range": share} for share in (0.5, 0.75, 1.25)],
    "pause": [{"pause": f"{seconds} s"} for seconds in (1, 2, 3)]
    + [{"pause": f"{seconds} s", "at": "top"} for seconds in (1, 2, 3)],
    "tempo": [{"tempo": each} for each in ("3-0-2-0", "4-0-2-0", "5-0-2-0", "1-0-1-0")],
    "reps": [{"reps": each} for each in (2, 4, -2, -4)],
    "load": [{"load": each} for each in ("one", "pair", "band", "mini band", "none")],
    "carry": (),  # follows the load
    "reach": [{"reach": str(each)} for each in Reach],
    "press": [{"press": str(each)} for each in Press],
    "rotation": [{"rotation": str(each)} for each in Rotation],
    "base": [{"base": str(each)} for each in (*Support, *Hold)],
    "unilateral": [{"unilateral": str(each)} for each in Sidedness if each is not Sidedness.BOTH],
    "pulse": [{"pulse": each} for each in (2, 3, 5)],
    "extra": [{"extra": str(each)} for each in Extra],
    "surface": [{"surface": str(each)} for each in Surface],
    "swap": (),  # another move is chosen, not a step taken
}
