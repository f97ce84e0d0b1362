"""What stands before every route: whose host, from which page, how large; and the headers of every answer."""

import hmac
import re
import secrets
from collections.abc import Awaitable, Callable, Mapping
from urllib.parse import urlsplit

from starlette.convertors import Convertor, register_url_convertor
from starlette.datastructures import Headers, MutableHeaders, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from everyrung.web.settings import MAX_HOURS_BYTES, MAX_UPLOAD_BYTES, OWN, Settings

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; worker-src 'self'; "
    "form-action 'self'; frame-src 'self'; frame-ancestors 'self'; base-uri 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
SAFE = ("GET", "HEAD", "OPTIONS")
LONG = re.compile(r"/session/[^/]+/led/[^/]+/(transcript|heart)")  # what may be as large as MAX_HOURS_BYTES
MOST_FIELDS = 200  # of one form; chosen, because the largest of ours, a room with thirty things, has 150


ErrorPage = Callable[[Request, Exception], Awaitable[Response]]


class ShortNumber(Convertor[int]):
    """A number in an address: of nine digits at most, for Python refuses to read one of 5,000."""

    regex = "[0-9]{1,9}"

    def convert(self, value: str) -> int:
        return int(value)

    def to_string(self, value: int) -> str:
        return str(value)


register_url_convertor("int", ShortNumber())


class SecurityMiddleware:
    """ASGI middleware. Refuses foreign hosts (DNS rebinding), posts from other pages, and bodies that are too large.

    What breaks inside is answered here by `broken`, so that this answer has the headers too.
    """

    def __init__(self, app: ASGIApp, settings: Settings, error_page: ErrorPage) -> None:
        self._app, self._settings, self._error_page = app, settings, error_page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            await self._http(scope, receive, send)
        elif scope["type"] == "websocket" and not self._is_own_host(Headers(scope=scope).get("host", "")):
            await WebSocketClose()(scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        sending = _Sending(send)
        if refusal := self._refusal(scope, Headers(scope=scope)):
            await PlainTextResponse(refusal[1], refusal[0])(scope, receive, sending)
            return
        try:
            await self._app(scope, _limit_body(receive, _most_bytes(scope)), sending)
        except Exception as problem:
            scope.setdefault("session", {})  # where it broke before there was one
            answer = await self._error_page(Request(scope, receive), problem)
            if sending.has_begun:
                raise AnswerCutOff("an answer broke off halfway") from None  # the server ends the line
            await answer(scope, receive, sending)

    def _refusal(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if not self._is_own_host(host):
            return 421, "This studio does not answer to that name. Use the address it printed when it started."
        if scope["method"] not in SAFE and not _from_here(headers, host):
            return 403, "This came from another page, so nothing was changed. Go back to the studio and try again."
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > _most_bytes(scope):
            return 413, f"That is more than {_most_bytes(scope) // 1_000_000} MB, so nothing was changed."
        return None

    def _is_own_host(self, host: str) -> bool:
        """On a network every name that leads here is right: the passphrase guards it, and posts name their page."""
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        return name in (*OWN, self._settings.host) or self._settings.needs_passphrase


def _from_here(headers: Headers, host: str) -> bool:
    """By what the browser says of the page: Sec-Fetch-Site, or Origin where it is older."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None:
        return site in ("same-origin", "none")
    return origin is None or urlsplit(origin).netloc == host


def _most_bytes(scope: Scope) -> int:
    return MAX_HOURS_BYTES if LONG.fullmatch(scope["path"]) else MAX_UPLOAD_BYTES


def _limit_body(receive: Receive, most_bytes: int) -> Receive:
    """A body without a stated length is counted as it comes."""
    count = 0

    async def receive_counted() -> Message:
        nonlocal count
        message = await receive()
        count += len(message.get("body", b""))
        if count > most_bytes:
            raise HTTPException(413, f"That is more than {most_bytes // 1_000_000} MB, so nothing was changed.")
        return message

    return receive_counted


class AnswerCutOff(Exception):
    """An answer that had begun can't be finished."""


class _Sending:
    """Sends on, with the headers of every answer; knows whether one has begun."""

    def __init__(self, send: Send) -> None:
        self._send, self.has_begun = send, False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.has_begun = True
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
        await self._send(message)


def is_at_the_machine(request: Request, settings: Settings) -> bool:
    """Whoever sits elsewhere has no business with this machine's files."""
    return not settings.needs_passphrase or bool(request.client and request.client.host in OWN)


def token(request: Request) -> str:
    """The browser's own token against forged posts; made when it first comes."""
    return str(request.session.setdefault("token", secrets.token_urlsafe(24)))


async def read_form(request: Request) -> Mapping[str, str]:
    """The words of a form. Raises HTTPException when it is not from a page of this browser's."""
    return (await _form(request, files=0))[0]


async def read_form_and_file(request: Request) -> tuple[Mapping[str, str], tuple[str, bytes] | None]:
    """The words of a form, and the name and content of its one file. Raises HTTPException as `read_form`."""
    return await _form(request, files=1)


async def _form(request: Request, files: int) -> tuple[Mapping[str, str], tuple[str, bytes] | None]:
    reading = request.form(max_files=files, max_fields=MOST_FIELDS, max_part_size=MAX_UPLOAD_BYTES)
    try:
        async with reading as fields:
            texts = {name: value for name, value in fields.items() if isinstance(value, str)}
            uploads = [value for value in fields.values() if isinstance(value, UploadFile) and value.filename]
            file = (uploads[0].filename or "", await uploads[0].read()) if uploads else None
    except UnicodeDecodeError:
        raise HTTPException(400, "That form is not text in UTF-8, so nothing was changed.") from None
    page_token = request.headers.get("x-token") or texts.get("token", "")
    own_token = request.session.get("token", "")
    if not own_token or not hmac.compare_digest(page_token.encode(), own_token.encode()):
        raise HTTPException(403, "This page is from before a restart, so nothing was changed. Reload it.")
    return texts, file


def decode_text(content: bytes) -> str:
    """A file's text. Raises HTTPException when it is none."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        words = "That file is not text in UTF-8, so nothing was brought in. Save it as UTF-8 and try again."
        raise HTTPException(422, words) from None
