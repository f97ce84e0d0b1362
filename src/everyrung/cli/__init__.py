"""The command line: one module a command, imported when it is called, so that `--help` loads nothing heavy."""

import argparse
import importlib
import sys
from collections.abc import Sequence
from io import TextIOWrapper
from types import ModuleType

COMMANDS = {
    "studio": "write and rehearse sessions in the browser",
    "propose": "propose whole sessions from a brief in plain words",
    "weeks": "plan a block of weeks: sessions that rise from week to week",
    "mend": "mend what can be mended, and say what stands in the way of the rest",
    "change": "change a plan by one step that was tried",
    "lengths": "write a plan in shorter lengths, each a part of the longer",
    "check": "time a plan and say what is wrong with it",
    "sheet": "write the run sheet of a plan as HTML and PDF",
    "moves": "list the move library",
    "room": "put a session in a room: who fits, where, and what stands in the way",
    "door": "write the door card: what to ask, who does what instead, and help in this room",
    "people": "list the people of a file, health answers kept apart",
    "rehearse": "rehearse a plan before a simulated audience and known people",
    "learn": "learn people's strength and endurance from their answers",
    "next": "say which step each person takes next, from what they did before",
    "card": "write participant cards and the poster",
    "publish": "write everything for participants and channels into one folder",
    "draft": "draft a plan file from a transcript of a session",
    "review": "look back: lay a stage log, a recording or a transcript on its plan",
    "clock": "learn the coach's own clock from sessions that were led",
    "inspect": "look at captions, chapters, calendars and sound before they are published",
    "body": "say what a rung asks of one body, and draw it",
    "rewrite": "write a plan with every amount in its usual form",
}
_MORE = """\
`everyrung COMMAND --help` says more; pages called docs/... open in the studio under Help.
A planning aid, not medical advice."""
CLEAN, FINDINGS, UNUSABLE = 0, 1, 2


class _Wide(argparse.RawDescriptionHelpFormatter):
    """A fixed width, so that the help in the docs is the help on screen."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=96, max_help_position=28)


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command. 0: clean; 1: findings of severity error; 2: usage, or input that can't be used."""
    from everyrung.terms.errors import Faults, Invalid, ProcessEnded, Where, fault_at

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a file or an old window may not know each letter of a name
    words = list(sys.argv[1:] if arguments is None else arguments)
    if not words or words[0] not in COMMANDS:
        overview_parser().parse_args(words)  # --help and --version end here, and so does a name that is no command
    command = load(words[0])
    args = parser(words[0], command).parse_args(words[1:])
    try:
        return _run(command, args)
    except Invalid as problem:
        print(fault_at(Where(file="command line", line=0, field=problem.field), problem), file=sys.stderr)
    except Faults as faults:
        print(faults, file=sys.stderr)
        count = len(faults.faults)
        print(f"{count} {'thing' if count == 1 else 'things'} to mend; no file was changed.", file=sys.stderr)
    except ProcessEnded as problem:
        print(problem, file=sys.stderr)
    except KeyboardInterrupt:
        print("\nStopped; no file was changed.", file=sys.stderr)
    except BrokenPipeError:
        sys.stderr.close()  # the reader of our output has gone: nothing left to say
    except OSError as error:
        print(
            f"{error.filename or 'file'}: {error.strerror or error}. "
            "Check the folder and its permissions, and that no other program has it open.",
            file=sys.stderr,
        )
    return UNUSABLE


def _run(command: ModuleType, args: argparse.Namespace) -> int:
    if getattr(args, "cluster", None):
        from everyrung.executors.address import use_cluster

        use_cluster(args.cluster)
    return int(command.run(args))


def load(name: str) -> ModuleType:
    """The module of one command."""
    return importlib.import_module(f"everyrung.cli.{name}")


def overview_parser() -> argparse.ArgumentParser:
    """What `everyrung --help` prints."""
    from everyrung import __version__

    rows = "\n".join(f"  {name:<10}{words}" for name, words in COMMANDS.items())
    overview = argparse.ArgumentParser(
        prog="everyrung",
        description="Design, time and check follow-along strength sessions with a rung for everyone.",
        epilog=f"commands:\n{rows}\n\n{_MORE}",
        formatter_class=_Wide,
        usage="everyrung COMMAND ...",
    )
    overview.add_argument("command", metavar="COMMAND", choices=COMMANDS, help="one of the commands below")
    overview.add_argument("--version", action="version", version=f"everyrung {__version__}")
    return overview


def parser(name: str, command: ModuleType) -> argparse.ArgumentParser:
    """The parser of one command."""
    command_parser = argparse.ArgumentParser(
        prog=f"everyrung {name}", description=command.__doc__, epilog=command.EPILOG, formatter_class=_Wide
    )
    command.arguments(command_parser)
    return command_parser
