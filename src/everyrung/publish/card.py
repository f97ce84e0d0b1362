"""Participant cards: one page for one person, for a kind of person, or for everyone, in words ready to set."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import count
from pathlib import Path

from everyrung.effort.choices import cell_offers, shape
from everyrung.effort.recommend import dose_words, question_on_card
from everyrung.moves.kit import kit_of
from everyrung.publish.figure.rung import rep_svg
from everyrung.publish.pages import page
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.publish.typeset import page_count, pdf
from everyrung.results.analysis import Analysis
from everyrung.runsheet.words import check_words
from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.store.owners import Owner, owners
from everyrung.terms.enums import BlockKind, KitItem, OptionKind
from everyrung.terms.forecast import HOLD_OR_SKIP, Advice, CellForecast, PersonAdvice, RungForecast, Take
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One rung with dose, load and test; `when` says who takes it, '' for the answer itself. `new` names what is not as
    in the round before: 'rung', 'dose', 'load'; `svg` is its picture, start and end, where it is not the same again.
    """

    when: str
    rung: str
    dose: str
    load: str
    test: str
    new: tuple[str, ...] = ()
    svg: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What to do of one move in one round: nothing where the round leaves it out; and what to `keep` instead, as it was
    last time.
    """

    choices: tuple[Choice, ...]
    effort: str
    skip: str
    keep: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """A move through the rounds, and what to look for."""

    name: str
    entries: tuple[Entry, ...]
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardBlock:
    """A block's table: its rounds across."""

    name: str
    rounds: tuple[str, ...]
    rows: tuple[MoveRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """`kit` is what to have at hand, `balls` which ball, `taken` what was guessed, `since` what is new."""

    kind: str
    title: str
    whom: str
    kit: tuple[str, ...]
    balls: tuple[str, ...]
    taken: tuple[str, ...]
    heart: str
    since: tuple[str, ...]
    blocks: tuple[CardBlock, ...]
    how: tuple[str, ...]
    stop: tuple[str, ...]


HOW = (
    "Ask yourself the question before each set. Yes: do it. No, or not sure: take the easier version, or rest.",
    "Stop a set when your form goes. Fewer reps still make a good set.",
    "Fewer than two left after a set? Do one rep fewer in every set for the rest of tonight, other moves too. "
    "More than four left? One more, up to what is led.",
    "Easier, harder, no kit, or a rest: swap at any time. Do warm-up and cool-down as led.",
)
PICTURE_MM = 14.0  # high; chosen, because two poses at that height fit a third of a page's width
WORDS_OF_NEW = {"rung": "the version", "dose": "how many", "load": "the load"}
MOST_CHECKS = 2  # for each move; chosen, because a card is read in passing


def person_card(run: Analysis, one: PersonAdvice) -> Card:
    """The card of one person, or of a kind of person."""
    forms = [take.form for each in one.cells for take in (each.take, each.harder) if take]
    by_ref = {each.ref: each.take.form for each in one.cells if each.take}
    loads = [take.load for each in one.cells for take in (each.take, each.harder) if take and take.load]
    with_ball = any(need.item is KitItem.BALL for form in forms for need in kit_of(form))
    return Card(
        kind="Your card",
        title=run.session.title,
        whom=one.name,
        kit=_kit(loads, forms),
        balls=one.balls if with_ball else (),
        taken=one.taken,
        heart=one.heart,
        since=one.since,
        blocks=_blocks(run, _entries(one.cells, _Pictures(run)), by_ref),
        how=HOW,
        stop=STOP_SIGNS,
    )


def poster(run: Analysis, balls: tuple[str, ...]) -> Card:
    """The card of everyone: every rung that is offered, who takes it, and with which load. Needs a forecast."""
    assert run.forecast is not None
    pictures = _Pictures(run)
    shapes: dict[tuple[str, str], Form] = {}
    entries = {}
    for cell in run.forecast.cells:
        rungs, column = _by_kind(run, cell.ref), (cell.ref.block, cell.ref.cell)
        form = rungs[None][0].form
        same = shapes.get(column) == shape(form)
        entries[cell.ref] = _poster_entry(cell, rungs, "" if same else pictures.svg(form))
        shapes[column] = shape(form)
    return Card(
        kind="For everyone",
        title=run.session.title,
        whom="A version for everyone: find yours in each row",
        kit=_all_kit(run),
        balls=balls,
        taken=(),
        heart="",
        since=(),
        blocks=_blocks(run, entries, {cell.ref: cell.rung.form for cell in run.session.cells}),
        how=HOW,
        stop=STOP_SIGNS,
    )


class _Pictures:
    """Each rung that a person takes from start to end, once drawn."""

    def __init__(self, run: Analysis) -> None:
        self._drawings = {shape(form): drawing for form, drawing in run.drawings.items()}
        self._rungs = _rungs_by_shape(run)

    def svg(self, form: Form) -> str:
        """'' where nothing was drawn."""
        drawing, rung = self._drawings.get(shape(form)), self._rungs.get(shape(form))
        return rep_svg(rung, drawing, height_mm=PICTURE_MM) if drawing and rung else ""


def _rungs_by_shape(run: Analysis) -> dict[Form, Rung]:
    """What is led or offered, then the rest of each ladder; of those alike the first."""
    rungs = [
        rung
        for cell in run.session.cells
        for rung in (cell.rung, *(each.rung for each in cell.options), *cell.move.versions)
    ]
    return {shape(rung.form): rung for rung in reversed(rungs)}


def _entries(cells: Iterable[Advice], pictures: _Pictures) -> dict[Ref, Entry]:
    """Each cell's entry, its question about the round before on this card, with what is new against it."""
    before: dict[tuple[str, str], Take] = {}
    result = {}
    for each in cells:
        column = each.ref.block, each.ref.cell
        result[each.ref] = _entry(each, before.get(column), pictures)
        if each.take:
            before[column] = each.take
    return result


def _entry(advice: Advice, before: Take | None, pictures: _Pictures) -> Entry:
    take = advice.take
    if take is None:
        return Entry(choices=(), effort="", skip=HOLD_OR_SKIP)
    new = tuple(name for name in ("rung", "dose", "load") if before and getattr(take, name) != getattr(before, name))
    drawn_before = before is not None and shape(before.form) == shape(take.form)
    svg = "" if drawn_before else pictures.svg(take.form)
    choices = [replace(_choice("", take), test=question_on_card(before, take), new=new, svg=svg)]
    if advice.harder:
        choices.append(_choice("or, if yes", advice.harder))
    return Entry(choices=tuple(choices), effort=advice.effort.partition(": ")[2], skip="", keep=advice.keep)


def _choice(when: str, take: Take) -> Choice:
    return Choice(when=when, rung=take.rung, dose=take.dose, load=take.load, test=take.entry_test)


def _poster_entry(cell: CellForecast, rungs: Mapping[OptionKind | None, tuple[Rung, str]], svg: str) -> Entry:
    """All versions of a set; `svg` is the picture of what is led, '' where it is that of the round before."""
    order = {OptionKind.EASIER: 0, None: 1, OptionKind.HARDER: 2, OptionKind.NO_KIT: 3}
    choices = [
        Choice(
            when=_when(rung.kind),
            rung=rung.name,
            dose=rungs[rung.kind][1],
            load=_usual_load(rung),
            test=rungs[rung.kind][0].entry_test,
            svg="" if rung.kind else svg,
        )
        for rung in sorted(cell.rungs, key=lambda each: order[each.kind])
    ]
    return Entry(choices=_each_once(choices), effort="", skip="")


def _when(kind: OptionKind | None) -> str:
    return str(kind) if kind else "as led"


def _each_once(choices: Iterable[Choice]) -> tuple[Choice, ...]:
    """A rung that is offered twice is said once, with both its names."""
    by_rung: dict[str, Choice] = {}
    for each in choices:
        earlier = by_rung.get(each.rung)
        if earlier is None:
            by_rung[each.rung] = each
        else:
            by_rung[each.rung] = replace(earlier, when=f"{earlier.when}, {each.when}", svg=earlier.svg or each.svg)
    return tuple(by_rung.values())


def _usual_load(rung: RungForecast) -> str:
    """The load that most of those advised to the rung take."""
    return next((each.load for each in rung.loads if each.load), "")


def _by_kind(run: Analysis, ref: Ref) -> dict[OptionKind | None, tuple[Rung, str]]:
    cell = next(each for each in run.session.cells if each.ref == ref)
    rungs: dict[OptionKind | None, Rung] = {None: cell.rung}
    rungs |= {option.kind: option.rung for option in cell.options}
    return {offer.kind: (rungs[offer.kind], dose_words(offer)) for offer in cell_offers(cell)}


def _blocks(run: Analysis, entries: Mapping[Ref, Entry], forms_by_ref: Mapping[Ref, Form]) -> tuple[CardBlock, ...]:
    """The tables; `forms_by_ref` is the form of each cell's rung whose self-checks are listed."""
    drawings = {shape(form): drawing for form, drawing in run.drawings.items()}
    checks = {form: check_words(rung, drawings.get(form)) for form, rung in _rungs_by_shape(run).items()}
    result = []
    for block in run.session.blocks:
        if block.kind not in (BlockKind.MAIN, BlockKind.RESERVE):
            continue
        columns: dict[str, dict[str, Cell]] = {}
        for cell in block.cells:
            columns.setdefault(cell.ref.cell, {})[cell.ref.round] = cell
        rounds = tuple(each.name for each in block.rounds)
        rows = tuple(_row(rounds, cells, entries, forms_by_ref, checks) for cells in columns.values())
        result.append(CardBlock(name=block.name, rounds=rounds, rows=rows))
    return tuple(result)


def _row(
    rounds: Sequence[str],
    cells: Mapping[str, Cell],
    entries: Mapping[Ref, Entry],
    forms_by_ref: Mapping[Ref, Form],
    checks_by_shape: Mapping[Form, Sequence[str]],
) -> MoveRow:
    nothing = Entry(choices=(), effort="", skip="")
    row = [entries.get(cells[name].ref, nothing) if name in cells else nothing for name in rounds]
    forms = [forms_by_ref[cell.ref] for cell in cells.values() if cell.ref in forms_by_ref]
    checks = [check for form in forms for check in checks_by_shape.get(shape(form), ())]
    first = next(iter(cells.values()))
    return MoveRow(name=first.move.name, entries=tuple(row), checks=tuple(dict.fromkeys(checks))[:MOST_CHECKS])


def _kit(loads: Iterable[str], forms: Iterable[Form]) -> tuple[str, ...]:
    """What to have at hand: loads first, then things, a mat and a wall among them."""
    items = {need.item for form in forms for need in kit_of(form) if not need.item.has_mass}
    plain = [f"a {item}" if item is not KitItem.WALL else "a bit of wall" for item in KitItem if item in items]
    return (*_largest(loads), *plain) or ("Just some floor.",)


def _largest(loads: Iterable[str]) -> tuple[str, ...]:
    """'2 x 10 lb' has '10 lb' in it."""
    texts = list(dict.fromkeys(loads))
    return tuple(load for load in texts if not any(other.endswith(f"x {load}") for other in texts))


def _all_kit(run: Analysis) -> tuple[str, ...]:
    loads = [str(bout.load) for cell in run.session.cells for bout in cell.bouts if bout.load]
    return _kit(loads, [cell.rung.form for cell in run.session.cells])


_UNSAFE = re.compile(r"[^a-z0-9]+")
_BARE = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th"}
)  # no accent to take off
SIDES = 2  # of a sheet
# Letters in points and the height of pictures in mm, tried in this order: 11 points are asked for and smaller pictures
# are still read, so that letters shrink last; chosen.
SIZES = ((11, 14), (11, 9), (11, 7), (10.5, 7), (10, 7), (9, 7), (8.5, 7))
LARGE = (18, 26)  # RNIB, clear print: large print is 16 to 18 points
MOST_SIGNS = 80  # file systems take 255 bytes for the whole name


def card_html(card: Card) -> str:
    """The card as one HTML file, without scripts or network."""
    return page("card.html", card=card)


def card_pdf(card: Card) -> bytes:
    """The card as a PDF: a sheet of paper, both sides at most, as large as they hold; everyone's on one page."""
    for size in SIZES:
        document = _card_pdf(card, size)
        if page_count(document) <= SIDES:
            break
    return document


def large_card_pdf(card: Card) -> bytes:
    """The same in large print, 18 points and one thing under the other, on as many pages as that takes."""
    return _card_pdf(card, LARGE, large=True)


def _card_pdf(card: Card, size: tuple[float, float], *, large: bool = False) -> bytes:
    letters_pt, pictures_mm = size
    looks = {"large": large, "letters_pt": letters_pt, "pictures_mm": pictures_mm}
    return pdf("card.typ", "card", asdict(card) | looks)


def card_text(card: Card) -> str:
    """The same as plain text: everything that the page says, a line for each thing to do."""
    lines = [f"{card.kind}: {card.title}", card.whom, *card.taken, ""]
    lines += [f"Have at hand: {', '.join(card.kit)}", *card.balls]
    lines += ["", "How to use it", *(f"- {line}" for line in (*card.how, *filter(None, [card.heart])))]
    if card.since:
        lines += ["", "Since last time", *(f"- {line}" for line in card.since)]
    for block in card.blocks:
        lines += ["", f"== {block.name} =="]
        for row in block.rows:
            lines += ["", row.name, *(f"  {check}" for check in row.checks)]
            for name, entry in zip(block.rounds, row.entries, strict=True):
                lines += [f"  {name}: {words}" for words in _entry_texts(entry)]
    return "\n".join([*lines, "", "Stop signs", *(f"- {sign}" for sign in card.stop)]) + "\n"


def _entry_texts(entry: Entry) -> Iterator[str]:
    if entry.skip:
        yield entry.skip
    for choice in entry.choices:
        new = " New: " + ", ".join(WORDS_OF_NEW[name] for name in choice.new) + "." if choice.new else ""
        what = ", ".join(filter(None, (choice.rung, choice.dose, choice.load)))
        when = f"{choice.when}: " if choice.when else ""
        yield f"{when}{what}.{new}{f' Ask yourself: {choice.test}' if choice.test else ''}"
    if entry.keep:
        yield f"Or as last time: {entry.keep}."
    if entry.effort:
        yield f"You should feel {entry.effort}."


def write_card(run: Analysis, card: Card, folder: Path, name: str, owner: Owner | None) -> tuple[Path, ...]:
    """Writes <plan>-<name>.html, .pdf, -large.pdf and .txt, made whole before any is written; returns their paths.

    `name` is one of `file_names`; `owner` whose card it is, noted first, so that it goes when they go. Only the coach's
    own account can open them.
    """
    stem = f"{Path(run.plan.file).stem}-{name}"
    contents = {
        folder / f"{stem}.html": card_html(card).encode(),
        folder / f"{stem}.pdf": card_pdf(card),
        folder / f"{stem}-large.pdf": large_card_pdf(card),
        folder / f"{stem}.txt": card_text(card).encode(),
    }
    owners().note(contents, owner)
    for path, content in contents.items():
        replace_bytes(path, content, mode=FOR_THE_COACH_ALONE)
    return tuple(contents)


def file_names(names: Sequence[str]) -> tuple[str, ...]:
    """A part of a file's name for each, no two alike: plain letters and digits, whatever is in the names."""
    result: list[str] = []
    for plain in map(_plain, names):
        others = (f"{plain}-{number}" for number in count(2))
        result.append(plain if plain not in result else next(each for each in others if each not in result))
    return tuple(result)


def _plain(name: str) -> str:
    """Without accents; a name of no plain letter at all by its signs' numbers."""
    letters = unicodedata.normalize("NFKD", name.casefold().translate(_BARE))
    bare = "".join(sign for sign in letters if not unicodedata.combining(sign))
    plain = _UNSAFE.sub("-", bare).strip("-")[:MOST_SIGNS].strip("-")
    return plain or "card-" + "-".join(f"{ord(sign):x}" for sign in name[:8])
