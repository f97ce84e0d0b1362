"""The command-line page of the docs, made from the parsers: `python -m everyrung.cli.page > docs/cli.md`."""

from everyrung.cli import COMMANDS, load, overview_parser, parser


def page() -> str:
    """The whole page as Markdown."""
    parts = [
        "# The command line\n",
        "Every command and its options. This page is made from the program itself; a test keeps it so.\n",
        f"```text\n{overview_parser().format_help()}```\n",
    ]
    parts.extend(f"## {name}\n\n```text\n{parser(name, load(name)).format_help()}```\n" for name in COMMANDS)
    parts.append(
        "## Where things are kept\n\n"
        "Everything that Everyrung keeps goes under the folder named by the environment variable `EVERYRUNG_HOME`; "
        "without it, under the platform's own folder for data. Results go to standard output, progress to standard "
        "error.\n\n"
        "| exit code | meaning |\n|---|---|\n"
        "| 0 | clean: no finding of severity error |\n"
        "| 1 | findings of severity error, or a slot that can't be kept |\n"
        "| 2 | wrong usage, or input that can't be used |\n"
    )
    return "\n".join(parts)


if __name__ == "__main__":
    print(page(), end="")
