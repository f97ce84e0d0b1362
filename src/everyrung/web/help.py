"""The pages of docs/ as the studio's Help: their Markdown as HTML, with links and pictures that lead on."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit

from markdown_it import MarkdownIt
from markdown_it.token import Token
from markupsafe import Markup, escape

import everyrung
from everyrung.web.plan_templates import examples

# In the order in which a coach needs them; the others follow by their titles.
FIRST = ("tutorial", "studio", "publishing", "rehearsal", "people-file", "plan-file", "rules", "cli")
PICTURES = {".png": "image/png", ".svg": "image/svg+xml"}
TEXTS = (".json", ".toml", ".csv", ".py")
NAMED = re.compile(r"docs/([a-z][a-z-]*)\.md")


@dataclass(frozen=True, slots=True, kw_only=True)
class HelpPage:
    """A page: `name` as its address has it, `about` its first words, `parts` the ids and words of its headings."""

    name: str
    title: str
    about: str
    parts: tuple[tuple[str, str], ...]
    html: Markup


def docs() -> Path:
    """The folder of the pages: in the package, or in the checkout it runs from."""
    package = Path(everyrung.__file__).parent
    return package / "docs" if (package / "docs").is_dir() else package.parents[1] / "docs"


@cache
def help_pages() -> dict[str, HelpPage]:
    """Every page by its name, in the order in which they are listed."""
    pages = [_page(path) for path in sorted(docs().glob("*.md"))]
    place = {name: place for place, name in enumerate(FIRST)}
    pages.sort(key=lambda each: (place.get(each.name, len(FIRST)), each.title.casefold()))
    return {each.name: each for each in pages}


@cache
def help_files() -> dict[str, Path]:
    """What pages show or name besides, by its address below /help/file: pictures, the schema, the examples."""
    root, endings = docs(), {*PICTURES, *TEXTS}
    paths = {path.relative_to(root).as_posix(): path for path in [*root.glob("*"), *root.glob("pictures/*")]}
    paths |= {path.relative_to(examples().parent).as_posix(): path for path in examples().rglob("*")}
    return {name: path for name, path in sorted(paths.items()) if path.suffix in endings and path.is_file()}


def link_pages(words: str) -> Markup:
    """A message in which the name of a page of ours, docs/rules.md, leads to it; everything else is escaped."""
    names = {path.stem for path in docs().glob("*.md")}

    def link(name: re.Match[str]) -> str:
        return f'<a href="/help/{name[1]}">{name[0]}</a>' if name[1] in names else name[0]

    return Markup(NAMED.sub(link, str(escape(words))))


def _page(path: Path) -> HelpPage:
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = reader.parse(path.read_text(encoding="utf-8"))
    parts = list(_headings(tokens))
    for token in tokens:
        for each in token.children or ():
            _lead_on(each)
        if token.type == "fence":
            token.attrSet("tabindex", "0")
    title = next((words for tag, _, words in parts if tag == "h1"), path.stem)
    about = next((tokens[at + 1] for at, each in enumerate(tokens) if each.type == "paragraph_open"), None)
    return HelpPage(
        name=path.stem,
        title=title,
        about=_first_sentence(about),
        parts=tuple((key, words) for tag, key, words in parts if tag == "h2"),
        html=_with_rooms(reader.renderer.render(tokens, reader.options, {})),
    )


def _headings(tokens: list[Token]) -> Iterator[tuple[str, str, str]]:
    """Gives each heading the id that links name it by; its tag, id and words."""
    for at, token in enumerate(tokens):
        if token.type == "heading_open":
            words = _plain(tokens[at + 1])
            key = re.sub(r"[^\w\- ]", "", words.casefold()).replace(" ", "-")
            token.attrSet("id", key)
            yield token.tag, key, words


def _plain(inline: Token) -> str:
    return "".join(each.content if each.type in ("text", "code_inline") else " " if each.type == "softbreak" else ""
                   for each in inline.children or ())  # fmt: skip


def _first_sentence(inline: Token | None) -> str:
    words = _plain(inline) if inline else ""
    return re.split(r"(?<=\.)\s", words, maxsplit=1)[0] if words else ""


def _lead_on(token: Token) -> None:
    """The addresses of docs/ become those of the studio; elsewhere opens beside it."""
    if token.type == "image":
        token.attrSet("src", f"/help/file/{token.attrGet('src')}")
        token.attrSet("loading", "lazy")
    if token.type != "link_open":
        return
    target = urlsplit(str(token.attrGet("href")))
    if target.scheme:
        token.attrSet("rel", "noreferrer")
        token.attrSet("target", "_blank")
    elif target.path:
        token.attrSet("href", _address(target.path) + (f"#{target.fragment}" if target.fragment else ""))


def _address(path: str) -> str:
    name = path.removeprefix("../")
    if name.endswith(".md"):
        return f"/help/{name[:-3]}"
    return "/help#examples" if name == "examples" else f"/help/file/{name}"


def _with_rooms(html: str) -> Markup:
    """Our own text as HTML: what may be wider than a telephone scrolls within itself, by keys too."""
    text = html.replace("<table>", '<div class="wide" tabindex="0" role="region" aria-label="Table"><table>')
    text = text.replace("</table>", "</table></div>").replace("<pre>", '<pre tabindex="0">')
    return Markup(text)
