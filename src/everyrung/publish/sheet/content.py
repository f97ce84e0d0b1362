"""Each move once: its cues by kind, what to be careful of, and which rung avoids it.

The whole content of a run sheet, from a finished run.
"""

from collections.abc import Mapping

from everyrung.checks.cells import and_list
from everyrung.cues.tracks import cue_tracks
from everyrung.publish.sheet.blocks import Figures, block_parts, reserve_parts, words_beside
from everyrung.publish.sheet.cover import cover_page, limit_lines, room_lines
from everyrung.publish.sheet.kit import kit_lines, kit_notes
from everyrung.publish.sheet.terms import CueLine, FoundLine, KindSum, MovePart, RefitLine, Sheet
from everyrung.publish.sheet.waves import wave_lines, who_lines
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import room_entry
from everyrung.runsheet.waves import wave_entries
from everyrung.runsheet.words import VIEW_WORDS, check_words, place_words
from everyrung.score.lanes import cell_numbers
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import Caution, CueKind, Severity
from everyrung.terms.finding import Finding
from everyrung.terms.move import Form, Move, Rung
from everyrung.terms.seconds import moment_text, whole_ms
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.refit import Refit

_KINDS = (CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY)


def move_parts(session: Session, drawings: Mapping[Form, RungDrawing]) -> tuple[MovePart, ...]:
    """The moves in the order they are first led, the reserve's last."""
    numbers = cell_numbers(session)
    users: dict[str, list[Cell]] = {}
    for block in (*session.blocks, *session.reserve):
        for cell in block.cells:
            users.setdefault(cell.move.key, []).append(cell)
    return tuple(_move(cells, [numbers[cell.ref] for cell in cells], drawings) for cells in users.values())


def _move(cells: list[Cell], numbers: list[int], drawings: Mapping[Form, RungDrawing]) -> MovePart:
    move = cells[0].move
    rungs = [cell.rung for cell in cells]
    return MovePart(
        name=move.name,
        cells=f"set{'s' if len(numbers) > 1 else ''} {', '.join(str(number) for number in numbers)}",
        cues=(
            *(line for kind in _KINDS if (line := _cues(rungs, kind)).said),
            *(line for line in [_self_checks(rungs, drawings)] if line.said),
        ),
        cautions=tuple(_caution(move, caution, rungs) for caution in Caution if _have_caution(rungs, caution)),
    )


def _cues(rungs: list[Rung], kind: CueKind) -> CueLine:
    """Every cue of a kind once; a rung's own come first in its list, so the common ones are put in front."""
    texts = [cue.text for rung in rungs for cue in rung.cues if cue.kind is kind]
    common = [text for text in texts if all(any(cue.text == text for cue in rung.cues) for rung in rungs)]
    return CueLine(kind=str(kind), said=tuple(dict.fromkeys([*common, *texts])))


def _self_checks(rungs: list[Rung], drawings: Mapping[Form, RungDrawing]) -> CueLine:
    """What participants look and feel for themselves."""
    texts = [text for rung in rungs for text in check_words(rung, drawings.get(rung.form))]
    return CueLine(kind="check yourself", said=tuple(dict.fromkeys(texts)))


def _have_caution(rungs: list[Rung], caution: Caution) -> bool:
    return any(caution in rung.cautions for rung in rungs)


def _caution(move: Move, caution: Caution, rungs: list[Rung]) -> str:
    """'Deep knee bend: avoided by ...': the two free rungs nearest to the easiest one used, easier ones first."""
    least = min(rung.grade for rung in rungs if caution in rung.cautions)
    free = [rung for rung in move.versions if caution not in rung.cautions]
    free.sort(key=lambda rung: (rung.grade > least, abs(rung.grade - least)))
    words = str(caution).capitalize()
    if not free:
        return f"{words}: no version of this move avoids it; offer another move."
    return f"{words}: avoided by {and_list([f'“{rung.name}”' for rung in free[:2]])}."


# The usual signs to stop at and the usual referral (common practice, no source); those in pregnancy are ACOG's older
# list (seen quoted). They stand on everyone's card, for nobody's pregnancy is kept.
STOP_SIGNS = (
    "Chest pain or tightness, faintness, or breathlessness that does not ease at once: stop and call the local "
    "emergency number; alone at home, unlock the door first.",
    "Dizziness or sharp pain: stop, sit down and tell someone. If it does not pass within a few minutes, get medical "
    "help.",
    "Pregnant, ill, in pain, or under treatment: ask a health professional before joining, and take the version that "
    "they agree to.",
    "Pregnant: stop also for bleeding or fluid, contractions, headache, a painful or swollen calf, weak muscles, or "
    "less movement of the baby, and call your midwife or doctor.",
    "Your own pace comes first: an easier version, fewer repetitions or a rest is always right.",
    "Local rules and licensed practice come before this sheet. It is a planning aid with estimates and not medical "
    "advice.",
)


def sheet_content(run: Analysis) -> Sheet:
    session, timeline, figures = run.session, run.timeline, Figures(run.drawings)
    room, waves = room_lines(room_entry(run.room)) if run.room else (), wave_entries(run)
    track = run.cues[0] if run.cues else cue_tracks(session, timeline)[0][0]
    return Sheet(
        title=session.title,
        facts=_facts(session),
        slot=_slot(session.slot_ms, timeline.total_ms),
        sums=_sums(timeline),
        found=tuple(_finding_line(finding) for finding in run.findings if finding.severity is not Severity.NOTE),
        notes=tuple(_finding_line(finding) for finding in run.findings if _is_note(finding)),
        instead=limit_lines(session, timeline),
        refit=_refit_line(run.refit) if run.refit else None,
        view=VIEW_WORDS[session.view],
        newcomers=_newcomers(session),
        kit=kit_lines(session),
        kit_notes=kit_notes(session),
        blocks=block_parts(session, timeline, figures, words_beside(track)),
        reserve=reserve_parts(session, figures),
        moves=move_parts(session, run.drawings),
        cover=cover_page(session, timeline, figures, track, (*room, *who_lines(waves))),
        room=(*room, *wave_lines(waves)),
        figures=figures.lines,
        stop_signs=STOP_SIGNS,
    )


def _facts(session: Session) -> tuple[str, ...]:
    who = [
        f"{count} {where}" for count, where in ((session.who.in_room, "in the room"), (session.who.at_home, "at home"))
        if count
    ]  # fmt: skip
    facts = [f"Level: {session.level}", f"Who may come: {' and '.join(who)}", f"View: {session.view}"]
    if session.who.limits:
        facts.append(f"Someone present avoids: {', '.join(session.who.limits)}")
    return tuple(facts)


def _slot(slot_ms: int, total_ms: int) -> str:
    total_ms = whole_ms(total_ms)
    spare_ms = slot_ms - total_ms
    rest = f"{clock_text(spare_ms)} to spare" if spare_ms >= 0 else f"{clock_text(-spare_ms)} too long"
    return f"{clock_text(total_ms)} planned in a slot of {clock_text(slot_ms)}: {rest}"


def _sums(timeline: Timeline) -> tuple[KindSum, ...]:
    return tuple(
        KindSum(kind=str(kind), time=moment_text(spent_ms), share=round(100 * spent_ms / timeline.total_ms))
        for kind, spent_ms in timeline.by_kind.items()
    )


def _is_note(finding: Finding) -> bool:
    """Notes but those that the lines of `limit_lines` say better."""
    return finding.severity is Severity.NOTE and finding.rule != "limit-rung"


def _finding_line(finding: Finding) -> FoundLine:
    return FoundLine(
        severity=str(finding.severity),
        place=place_words(finding.places),
        what=f"{finding.measured}; {finding.limit}",
        remedy=finding.remedy,
        source=f"{finding.rule}; {finding.source}",
    )


def _refit_line(refit: Refit) -> RefitLine:
    before, after = clock_text(refit.before_ms), clock_text(refit.after_ms)
    return RefitLine(
        headline=f"Re-planned for a slot of {clock_text(refit.slot_ms)}: {before} before, {after} now.",
        lost=tuple(map(str, refit.lost)),
        kept=refit.kept,
        gained=tuple(map(str, refit.gained)),
        problem=refit.problem,
    )


def _newcomers(session: Session) -> str:
    if not session.who.newcomers:
        return "No first-timers are expected; should one come, offer the easier versions and fewer rounds."
    rounds = session.newcomer_rounds
    word = "round" if rounds == 1 else "rounds"
    return f"First-timers: {rounds} {word} of each main block, the easier version first, the lightest load there is."
