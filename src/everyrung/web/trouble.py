"""What is said when something goes wrong: plain sentences on the page, a line without anybody's words in the log."""

import sys
from concurrent.futures.process import BrokenProcessPool

from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ExceptionHandler

from everyrung.store.sessions import NotFound
from everyrung.terms.errors import Faults, Invalid, ProcessEnded
from everyrung.web.field_words import refusals
from everyrung.web.log import log_line
from everyrung.web.pages import is_part, page


def _message_page(request: Request, status: int, title: str, lines: list[str]) -> Response:
    """A plain sentence or some: on the page that asked, or as a page of its own."""
    if not is_part(request):
        return page(request, "trouble.html", status, title=title, lines=lines)
    answer = page(request, "_trouble.html", status, title=title, lines=lines)
    answer.headers["HX-Retarget"], answer.headers["HX-Reswap"] = "#trouble", "innerHTML"
    return answer


async def invalid_input(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, Invalid | Faults)
    title = "That can't be shown" if request.method == "GET" else "That was not changed"
    return _message_page(request, 422, title, refusals(problem))


async def missing(request: Request, problem: Exception) -> Response:
    return _message_page(request, 404, "Not here", [f"{problem} It may be mistyped, or belong to another studio."])


async def busy(request: Request, _: Exception) -> Response:
    return _message_page(request, 503, "Not saved yet", ["Many people are saving just now. Try again."])


async def disk(request: Request, problem: Exception) -> Response:
    print(f"studio: {log_line(problem)}", file=sys.stderr)
    why = "The disk is full or can't be written" if _is_full(problem) else "The database can't be reached"
    then = "What was saved before is safe. Free some space, or check the folder, then try again."
    return _message_page(request, 503, "Not saved", [f"{why}, so this was not saved. {then}"])


def _is_full(problem: Exception) -> bool:
    words = str(problem).casefold()
    return isinstance(problem, OSError) or any(sign in words for sign in ("full", "readonly", "disk i/o", "unable"))


async def no_process(request: Request, problem: Exception) -> Response:
    """Twice in a row: the next one asks for a new process."""
    print(f"studio: {log_line(problem)}", file=sys.stderr)
    words = "The process that draws and computes rungs was stopped from outside; the machine may be short of memory."
    return _message_page(request, 503, "Not drawn", [f"{words} Nothing that was saved is lost. Reload the page."])


async def http(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    words = {"Not Found": "There is no such page.", "Method Not Allowed": "That can't be done here."}
    return _message_page(request, problem.status_code, "Not done", [words.get(problem.detail, problem.detail)])


async def server_error(request: Request, problem: Exception) -> Response:
    print(f"studio: {request.method} {request.url.path}: {log_line(problem)}", file=sys.stderr)
    return _message_page(request, 500, "Something went wrong on our side", [
        "Nothing that was saved is lost. The window in which the studio runs says what it was. Reload the page."
    ])  # fmt: skip


HANDLERS: dict[int | type[Exception], ExceptionHandler] = {
    Invalid: invalid_input,
    Faults: invalid_input,
    NotFound: missing,
    TimeoutError: busy,
    OperationalError: disk,
    OSError: disk,
    BrokenProcessPool: no_process,
    ProcessEnded: no_process,
    HTTPException: http,
}
