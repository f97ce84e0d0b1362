"""A plan file out of a transcript alone: what was heard, in a form that can be checked and mended, each piece with how
well it is known.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from everyrung.cues.speech import number_words
from everyrung.lookback.free_way import heard_sets
from everyrung.lookback.grid import Call, HeardBlock, blocks_of
from everyrung.lookback.heard_cells import ALIKE, COUNTED, GUESSED, SAID, HeardCell, heard_cells
from everyrung.lookback.hits import hits
from everyrung.lookback.library_words import LibraryWords, library_words
from everyrung.lookback.outcome import SURE
from everyrung.lookback.transcript import Transcript
from everyrung.lookback.vocabulary import Role
from everyrung.moves.library import Library
from everyrung.plan.write import with_remarks, write_plan
from everyrung.proposals.kit_words import USUAL_BALL_CM, USUAL_KG, USUAL_RATED_KG, kit_in
from everyrung.terms.enums import BandGrade, BlockKind, KitItem, OptionKind, Side, Sidedness, SideRule
from everyrung.terms.errors import Invalid, Where
from everyrung.terms.plan import BlockText, CellText, OptionText, Plan, RoundText, Stock, Who
from everyrung.terms.seconds import moment_text
from everyrung.terms.units import Dose, Mass, MassUnit

HERE = Where(file="transcript", line=0, field="transcript")
LEAST_SLOT_MS, MOST_SLOT_MS = 300_000, 14_400_000  # what a plan may hold
CLEAR = 0.85  # likeness that one name at least has to have; else nothing of a session is heard
LIKE_ROUND = 0.9  # likeness from which a round is announced; chosen, for its number may be any word
LIKE_RUNG = 0.9  # likeness of a version's name from which it is not marked; chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftedPlan:
    """A plan as it was heard, with the sets it comes from. `guesses` are what stands in it and was not heard."""

    plan: Plan
    blocks: tuple[HeardBlock, ...]
    guesses: tuple[str, ...]
    transcript: Transcript

    @property
    def cells(self) -> tuple[HeardCell, ...]:
        """All sets, in order of time."""
        return tuple(cell for block in self.blocks for cells in block.rounds for cell in cells)


def plan_heard(transcript: Transcript, library: Library) -> DraftedPlan:
    """A plan out of what was said. Raises Invalid where no set is heard."""
    words = library_words(library)
    phrase_hits = hits(transcript, words.phrases)
    sets = heard_sets(phrase_hits, words, transcript)
    if not any(each.hit.likeness >= CLEAR for each in sets):
        raise Invalid("transcript", "names of moves of the library", "none", remedy="everyrung moves lists them.")
    calls = [
        Call(at_ms=hit.at_ms, what=_announces(hit.phrase.words, words))
        for hit in phrase_hits
        if hit.phrase.role is Role.ROUND and hit.likeness >= LIKE_ROUND
    ]
    blocks = blocks_of(heard_cells(sets, words, transcript, phrase_hits), calls)
    return _of_blocks(transcript, blocks)


def _announces(words: tuple[str, ...], library: LibraryWords) -> int | BlockKind:
    return library.blocks[words] if words in library.blocks else library.rounds[words]


def _of_blocks(transcript: Transcript, blocks: tuple[HeardBlock, ...]) -> DraftedPlan:
    texts: list[BlockText] = [_welcome(blocks[0].rounds[0][0].at_ms)]
    mains = sum(block.kind is BlockKind.MAIN for block in blocks)
    number = 0
    for block in blocks:
        number += block.kind is BlockKind.MAIN
        many = block.kind is BlockKind.MAIN and mains > 1
        name = f"Part {number_words(number).capitalize()}" if many else str(block.kind).capitalize()
        texts.append(_block(block, name))
    cells = [cell for block in blocks for cells in block.rounds for cell in cells]
    kit, guesses = _kit(cells, " ".join(word.text for word in transcript.words))
    plan = Plan(
        file=transcript.name,
        title=f"As heard in {transcript.name}",
        slot_ms=min(MOST_SLOT_MS, max(LEAST_SLOT_MS, -(-transcript.total_ms // 60_000) * 60_000)),
        who=Who(in_room=1),
        kit=kit,
        blocks=tuple(texts),
    )
    return DraftedPlan(
        plan=plan, blocks=blocks, guesses=("who comes: one in the room stands in", *guesses), transcript=transcript
    )


def _welcome(until_ms: int) -> BlockText:
    """The time before the first set; its words are not taken, for a transcript has no sentences."""
    return BlockText(
        where=HERE, kind=BlockKind.ANNOUNCEMENT, name="Announcement", talk_ms=max(1000, until_ms // 1000 * 1000)
    )


def _block(block: HeardBlock, name: str) -> BlockText:
    column_of = {key: _column(block, key) for key in block.moves}
    columns = {key: _cell_text(cell, dose) for key, (cell, dose) in column_of.items()}
    if len(block.rounds) == 1:
        return BlockText(where=HERE, kind=block.kind, name=name, columns=columns)
    rounds = []
    for number, cells in enumerate(block.rounds, 1):
        here = {cell.move.key: cell for cell in cells}
        changes = {key: text for key in block.moves if key in here and (text := _change(here[key], *column_of[key]))}
        rounds.append(
            RoundText(
                where=HERE,
                name=number_words(number).capitalize(),
                skip=tuple(key for key in block.moves if key not in here),
                cells=changes,
            )
        )
    return BlockText(where=HERE, kind=block.kind, name=name, columns=columns, rounds=tuple(rounds))


def _column(block: HeardBlock, key: str) -> tuple[HeardCell, Dose]:
    """What is written for a move: its first set whose version is heard, and the dose that is known best."""
    cells = [cell for cells in block.rounds for cell in cells if cell.move.key == key]
    first = next((cell for cell in cells if cell.rung_likeness), cells[0])
    alike = [cell for cell in cells if cell.rung.form.mode is first.rung.form.mode and cell.dose.per is first.dose.per]
    ways = (SAID, ALIKE, COUNTED, GUESSED)
    best = min(alike, key=lambda cell: ways.index(cell.dose_from))
    return first, best.dose


def _cell_text(cell: HeardCell, dose: Dose) -> CellText:
    """A column; a rung that is the base is not written."""
    sides = SideRule.RIGHT_FIRST if cell.first_side is Side.RIGHT and _one_sided(cell) else None
    return CellText(
        where=HERE,
        move=cell.move.key,
        rung=None if cell.rung.key == "base" else cell.rung.key,
        dose=dose,
        sides=sides,
        options=_options(cell),
    )


def _options(cell: HeardCell) -> dict[OptionKind, OptionText]:
    own = [(kind, rung) for kind, rung in cell.options if rung.address != cell.rung.address]
    own = [(kind, rung) for kind, rung in own if not (kind is OptionKind.NO_KIT and rung.needs_kit)]
    return {kind: OptionText(rung=rung.key if rung.move == cell.move.key else rung.address) for kind, rung in own}


def _one_sided(cell: HeardCell) -> bool:
    return cell.rung.form.sides is Sidedness.ONE_SIDE


def _change(cell: HeardCell, column: HeardCell, dose: Dose) -> CellText | None:
    """What a round changes of its column: another version, another dose that is said."""
    rung = cell.rung.key if cell.rung_likeness and cell.rung.key != column.rung.key else None
    version = cell.rung if rung else column.rung
    same_form = version.form.mode is column.rung.form.mode and version.form.sides is column.rung.form.sides
    own = cell.dose if cell.rung.address == version.address else None
    same_kind = own is not None and (own.reps is None) == (dose.reps is None)
    is_said = cell.dose_from == SAID and same_kind
    new_dose = own if own != dose and (is_said or not same_form) else None
    if rung is None and new_dose is None:
        return None
    return CellText(where=HERE, rung=rung, dose=new_dose, options=_options(cell) if rung else {})


def _kit(cells: Sequence[HeardCell], text: str) -> tuple[tuple[Stock, ...], list[str]]:
    """What the versions need, with sizes as they are heard; and what is guessed of them."""
    by_name = [stock for each in kit_in(text) if not each.is_usual for stock in each.stocks]
    rungs = [cell.rung for cell in cells] + [rung for cell in cells for _, rung in cell.options]
    pieces: dict[KitItem, int] = {}
    for need in (need for rung in rungs for need in rung.kit):
        pieces[need.item] = max(need.pieces, pieces.get(need.item, 0))
    stocks, guesses = [], []
    for item, count in pieces.items():
        own = next((stock for stock in by_name if stock.item is item), None)
        stock = replace(own, count=0, each=max(count, own.each), pairs=False) if own else _usual(item, count)
        stocks.append(stock)
        if own is None and (item.has_mass or item.has_grade or item is KitItem.BALL):
            guesses.append(f"{item}: no size is heard, {stock.mass or stock.grade or 'a usual ball'} stands in")
    return tuple(stocks), guesses


def _usual(item: KitItem, each: int) -> Stock:
    is_ball = item is KitItem.BALL
    grade = BandGrade(f"medium {item}") if item.has_grade else None
    return Stock(
        item=item,
        each=each,
        mass=Mass(amount=USUAL_KG[item], unit=MassUnit.KG) if item.has_mass else None,
        grade=grade,
        diameter_cm=USUAL_BALL_CM if is_ball else None,
        rated_kg=USUAL_RATED_KG if is_ball else None,
    )


def plan_text(draft: DraftedPlan) -> str:
    """The plan file: every move with the times at which it was heard, what is unsure or guessed with a remark."""
    remarks: dict[tuple[str | int, ...], str] = {}
    for place, block in enumerate(draft.blocks, 1):
        for column, key in enumerate(block.moves):
            cells = [cell for cells in block.rounds for cell in cells if cell.move.key == key]
            path = ("block", place, "move", column)
            remarks[*path, "move"], remarks[*path, "dose"] = _move_remark(cells), _dose_remark(cells)
            if all(cell.rung_likeness < LIKE_RUNG for cell in cells):
                remarks[*path, "rung"] = "? hardly heard"
    head = [
        f"# Drafted from {draft.transcript.name} from what was said: a draft, to read beside the recording.",
        "# ? marks what is unsure. Times are those of the recording.",
        *(f"# Not heard: {guess}." for guess in draft.guesses),
    ]
    return "\n".join(head) + "\n" + with_remarks(write_plan(draft.plan), remarks)


def _move_remark(cells: Sequence[HeardCell]) -> str:
    return ", ".join(f"{_mark(cell.chance)}{moment_text(cell.at_ms)} ({cell.chance:.0%})" for cell in cells)


def _mark(chance: float) -> str:
    return "" if chance >= SURE else "? "


def _dose_remark(cells: Sequence[HeardCell]) -> str:
    ways = list(dict.fromkeys(cell.dose_from for cell in cells))
    return SAID if SAID in ways or ALIKE in ways else f"? {ways[0]}"


def plan_values(draft: DraftedPlan) -> dict[str, object]:
    """The draft for programs: the file's text, and each set as it was heard."""
    return {"plan": plan_text(draft), "guesses": list(draft.guesses), "sets": list(_set_values(draft))}


def _set_values(draft: DraftedPlan) -> Iterator[dict[str, object]]:
    for text, block in zip(draft.plan.blocks[1:], draft.blocks, strict=True):
        for number, cells in enumerate(block.rounds, 1):
            for cell in cells:
                yield {
                    "block": text.name,
                    "round": number,
                    "move": cell.move.key,
                    "rung": cell.rung.key,
                    "rung_likeness": round(cell.rung_likeness, 3),
                    "at_ms": cell.at_ms,
                    "end_ms": cell.end_ms,
                    "chance": round(cell.chance, 3),
                    "dose": str(cell.dose),
                    "dose_from": cell.dose_from,
                    "sides_heard": cell.sides_heard,
                    "options": {str(kind): rung.address for kind, rung in cell.options},
                }
