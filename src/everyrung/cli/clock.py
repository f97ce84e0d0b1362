"""Learn the coach's own clock from sessions that were led: explaining, switching, fetching kit."""

import argparse
from pathlib import Path

EPILOG = (
    "Give each session that was led once: its plan, and its transcript as `everyrung review` reads it. All of them "
    "with the same [clock]. What is printed is an offer: copy the table into your plans, or leave it. "
    "Exit 0: learned; 1: too few sets are heard surely."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `clock`."""
    parser.add_argument(
        "--led", type=Path, nargs=2, metavar=("PLAN", "FILE"), action="append", required=True,
        help="a plan and the transcript of its session; once for each session",
    )  # fmt: skip


def run(args: argparse.Namespace) -> int:
    """Prints what was learned and the table."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.lookback.coach_clock import LEAST_SETS, LedSession, begins_of, clock_lines, learn_clock
    from everyrung.lookback.outcome import lay_on_plan
    from everyrung.lookback.plan_sets import plan_sets
    from everyrung.lookback.read import read_transcript
    from everyrung.moves.library import standard_library
    from everyrung.plan.read import read_plan
    from everyrung.plan.resolve import resolve
    from everyrung.terms.errors import Invalid
    from everyrung.timing.timeline import build_timeline

    moves = standard_library()
    sessions, outcomes = [], []
    for plan, transcript in args.led:
        session = resolve(read_plan(plan), moves)
        outcome = lay_on_plan(read_transcript(transcript), plan_sets(session, build_timeline(session)), moves)
        sessions.append(LedSession(session=session, begins=begins_of(outcome)))
        outcomes.append(outcome)
    if len({each.session.clock for each in sessions}) > 1:
        remedy = "Give plans whose [clock] is the same, or none."
        raise Invalid("--led", "plans of one clock", "plans with clocks of their own", remedy=remedy)
    clock = learn_clock(sessions, outcomes)
    if clock is None:
        print(f"Fewer than {LEAST_SETS} sets follow each other surely: too few to learn a clock from.")
        return FINDINGS
    print("\n".join(clock_lines(clock)))
    return CLEAN
