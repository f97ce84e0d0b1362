"""Put a session in a room: how many it holds round by round, who stands where, walls, ceiling, and a drawing."""

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.words import finding_lines
from everyrung.terms.units import clock_text

if TYPE_CHECKING:
    from everyrung.room.capacity import RoomUse, RoundSpace
    from everyrung.room.wave_words import WaveWords

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
    from everyrung.room.room_plan import plan_of
    from everyrung.store.files import replace_text
    from everyrung.terms.enums import Severity
    from everyrung.timing.timeline import build_timeline

    use = place(args.plan, args.room, people=args.people)
    whole = plan_of(use, build_timeline(use.session))
    print("\n".join(room_lines(use)))
    if args.rungs:
        print("\n".join(rung_lines(use)))
    print("\n".join(wave_lines(whole.wave_words)))
    print("\n".join(finding_lines(whole.findings, every=True)), end="\n" if whole.findings else "")
    if args.svg:
        replace_text(args.svg, room_svg(use))
        print(f"{args.svg}: written", file=sys.stderr)
    return FINDINGS if any(one.severity is Severity.ERROR for one in whole.findings) else CLEAN


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


def wave_lines(rounds: "Iterable[WaveWords]") -> list[str]:
    """Each round that needs waves: what every wave does when, who is in it, and what single change would save."""
    return [line for one in rounds for line in _round_in_waves(one)]


def _round_in_waves(one: "WaveWords") -> list[str]:
    lines = [
        "",
        f"{one.name} in waves: {clock_text(one.total_ms)}, {clock_text(one.longer_ms)} longer than all at once;",
        f"  each person waits {clock_text(one.idle_ms)}",
    ]
    for group in one.groups:
        lines += [f"  {', '.join(group.who)}"] if group.who else []
        for turn in group.turns:
            does = "   ".join(f"{letter}: {words}" for letter, words in turn.does)
            lines.append(f"  {clock_text(turn.at_ms):>10}  {does}")
    lines += [f"  not even in four waves: {move}" for move in one.too_few]
    return [*lines, *(f"  or {each}" for each in one.savings)]
