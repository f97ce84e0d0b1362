"""Put a session in a room: how many it holds round by round, who stands where, walls, ceiling, and a drawing."""

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.words import finding_lines
from everyrung.terms.units import clock_text

if TYPE_CHECKING:
    from everyrung.room.capacity import RoomUse, RoundSpace
    from everyrung.room.one_change import Change
    from everyrung.room.waves import Group, RoundWaves
    from everyrung.terms.session import Cell

MOST_CHANGES = 3  # named for a round; chosen, because more are not weighed up

EPILOG = (
    "FILE is a room (TOML), see docs/room.md. Computed on the largest of the reference bodies. Exit 1: findings of\n"
    "severity error. A planning aid: local rules on numbers and ways out come first."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `room`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--room", type=Path, metavar="FILE", required=True, help="a room file (TOML)")
    parser.add_argument("--people", type=int, metavar="N", help="people in the room (default: as the plan says)")
    parser.add_argument("--svg", type=Path, metavar="SVG", help="draw the room with everybody's place there")
    parser.add_argument("--rungs", action="store_true", help="list what each rung sweeps")


def run(args: argparse.Namespace) -> int:
    """Prints what the room holds, and draws it where that is asked."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.interface import place
    from everyrung.room.draw import room_svg
    from everyrung.room.findings import room_findings
    from everyrung.store.files import replace_text
    from everyrung.terms.enums import Severity

    use = place(args.plan, args.room, people=args.people)
    findings = room_findings(use)
    print("\n".join(room_lines(use)))
    if args.rungs:
        print("\n".join(rung_lines(use)))
    print("\n".join(wave_lines(*_waves(use))))
    print("\n".join(finding_lines(findings, every=True)), end="\n" if findings else "")
    if args.svg:
        replace_text(args.svg, room_svg(use))
        print(f"{args.svg}: written", file=sys.stderr)
    return FINDINGS if any(one.severity is Severity.ERROR for one in findings) else CLEAN


def _waves(use: "RoomUse") -> "tuple[Sequence[RoundWaves], Mapping[str, Sequence[Change]]]":
    from everyrung.room.one_change import changes
    from everyrung.room.waves import session_waves
    from everyrung.timing.timeline import build_timeline

    timeline = build_timeline(use.session)
    rounds = session_waves(use.session, timeline, use.in_room, use.wall_people)
    return rounds, {one.name: changes(use.session, timeline, one, use.wall_people) for one in rounds if one.in_waves}


def room_lines(use: "RoomUse") -> list[str]:
    """What the room is, what each round lets in, and which decides."""
    room, worst = use.room, use.worst
    walls_m = sum(one.length_m for one in room.usable_walls)
    lines = [
        f"{use.session.title} in {room.name}: {use.area_m2:.1f} m2 free, ceiling {room.ceiling_m:.2f} m, "
        f"{walls_m:.1f} m of usable wall; on a body of {use.body}",
        "",
        "round                 people  floor  at most  each place (across x along)  decided by",
    ]
    lines += [_round_line(each) for each in use.rounds]
    floor = min(len(each.layout.places) for each in use.rounds)
    lines += [
        "",
        f"The room holds {use.people}: {worst.name} decides, by {worst.decided_by}.",
        f"On the floor alone it holds {floor}, in {use.tightest.name}.",
        f"A rule by area alone (3.25 m2 a person) would let {use.by_area} in: {use.by_area - use.people:+d}.",
        f"{use.in_room} asked, {len(use.layout.places)} placed in {use.layout.rows} rows; "
        f"the farthest walks {use.layout.farthest_m:.1f} m to the door.",
    ]
    return lines


def _round_line(one: "RoundSpace") -> str:
    size = f"{one.layout.side_m:.2f} x {one.layout.depth_m:.2f} m"
    numbers = f"{one.people:>6}  {len(one.layout.places):>5}  {one.layout.bound:>7}"
    return f"{one.name:<20}  {numbers}  {size:<27}  {one.decided_by}"


def rung_lines(use: "RoomUse") -> list[str]:
    """Each rung with what it sweeps."""
    rows = [f"  {'rung':<36} across  along  height  wall   ball's way  falls to"]
    for address, one in sorted(use.envelopes.items()):
        wall = f"{one.wall_m:.2f}" if one.wall_m else "-"
        roll = f"{one.roll_m:.2f}" if one.roll_m else "-"
        rows.append(
            f"  {address:<36} {one.side_m:>6.2f}  {one.depth_m:>5.2f}  {one.height_m:>6.2f}  {wall:<5}  {roll:<10}  "
            f"{one.falls or '-'}"
        )
    return ["", *rows, ""]


def wave_lines(rounds: "Sequence[RoundWaves]", changes: "Mapping[str, Sequence[Change]]") -> list[str]:
    """Each round that needs waves: what every wave does when, who is in it, and what single change would save."""
    lines = []
    for one in rounds:
        if one.in_waves:
            longer = one.total_ms - one.together_ms
            lines += [
                "",
                f"{one.name} in waves: {clock_text(one.total_ms)}, {clock_text(longer)} longer than all at once;",
            ]
            lines += [f"  each person waits {clock_text(one.idle_ms)}"]
            lines += [line for group in one.groups for line in _group_lines(group, one.people)]
            lines += [f"  not even in four waves: {cell.move.name}" for cell in one.too_few]
            lines += [f"  or {each.words}: {_saving(each)}" for each in changes[one.name][:MOST_CHANGES]]
    return lines


def _group_lines(group: "Group", people: int) -> list[str]:
    from everyrung.room.waves import LETTERS

    who = "all" if group.waves == 1 else ", ".join(_wave_words(people, group.waves))
    lines = [f"  {who}"] if group.waves > 1 else []
    for turn in group.turns:
        does = [
            f"{'all' if group.waves == 1 else LETTERS[at]}: {_cell_words(cell)}" for at, cell in enumerate(turn.cells)
        ]
        lines.append(f"  {clock_text(turn.at_ms):>10}  {'   '.join(does)}")
    return lines


def _wave_words(people: int, waves: int) -> list[str]:
    from everyrung.room.waves import LETTERS, wave_sizes

    words, first = [], 1
    for at, size in enumerate(wave_sizes(people, waves)):
        words.append(f"{LETTERS[at]}: places {first} to {first + size - 1}")
        first += size
    return words


def _cell_words(cell: "Cell | None") -> str:
    if cell is None:
        return "rest"
    from everyrung.timing.transitions import held_kit

    kit = ", ".join(each.label for each in held_kit(cell, cell.bouts[0]))
    return f"{cell.move.name} ({kit})" if kit else cell.move.name


def _saving(each: "Change") -> str:
    waves = max((group.waves for group in each.after.groups), default=1)
    how = "all at once" if waves == 1 else f"{waves} waves"
    return f"{how}, {clock_text(each.after.idle_ms)} of waiting"
