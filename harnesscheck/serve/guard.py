"""Who may ask: a browser of this machine, from the page's own address, with the token of this start; nobody else."""

from __future__ import annotations

import asyncio
import hmac
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOOPBACK = "127.0.0.1"
MOST_BODY = 64 * 1024 * 1024  # bytes of one request
BODY_S = 60.0  # within which it must have come
_OURS = {"same-origin", "none"}
_ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
)


class TooMuchError(Exception):
    """A request's body is larger, or comes more slowly, than is waited for."""


class Guard:
    """Stands before the application: address, origin and token first, then no more than so many bytes and seconds."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        self._app, self._token = app, token
        self._hosts = {f"{name}:{port}" for name in (LOOPBACK, "localhost")}
        self._cookie = f"harnesscheck-{port}"  # cookies know no ports

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or hand it on."""
        if scope["type"] != "http":
            return  # no websockets, nothing to start or end
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        if not self._is_from_here(headers):
            await _refuse(send, 403, "asked from another page or address")
            return
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
        if scope["method"] == "GET" and scope["path"] == "/" and self._fits(given):
            cookie = f"{self._cookie}={self._token}; Path=/; HttpOnly; SameSite=Strict"
            await _answer(send, 303, "", ((b"location", b"/"), (b"set-cookie", cookie.encode("latin-1"))))
            return
        if not self._fits(self._token_of(headers.get("cookie", ""))):
            await _refuse(send, 403, "no token, or an old one: open the address that `harnesscheck open` printed")
            return
        if not 0 <= _length(headers) <= MOST_BODY:
            await _refuse(send, 413, f"more than {MOST_BODY} bytes")
            return
        try:
            await self._app(scope, _bounded(receive), _marked(send))
        except TooMuchError as error:
            await _refuse(send, 413, str(error))

    def _is_from_here(self, headers: dict[str, str]) -> bool:
        host, origin = headers.get("host", ""), headers.get("origin")
        return (
            host in self._hosts
            and (origin is None or origin == f"http://{host}")
            and headers.get("sec-fetch-site", "none") in _OURS
        )

    def _token_of(self, cookies: str) -> str:
        try:
            found = SimpleCookie(cookies).get(self._cookie)
        except CookieError:
            return ""
        return found.value if found is not None else ""

    def _fits(self, given: str) -> bool:
        return hmac.compare_digest(given.encode("utf-8"), self._token.encode("utf-8"))


def _length(headers: dict[str, str]) -> int:
    """What a request says of its length in bytes; -1 for what is no number."""
    text = headers.get("content-length", "0")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 20 else -1


def _bounded(receive: Receive) -> Receive:
    """The body, no more of it and no later than is waited for."""
    loop = asyncio.get_running_loop()
    until, left, whole = loop.time() + BODY_S, MOST_BODY, False

    async def bounded() -> Message:
        """One part of the body; after it whatever comes, as long as it takes."""
        nonlocal left, whole
        if whole:
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), max(0.0, until - loop.time()))
        except TimeoutError:
            raise TooMuchError(f"more than {BODY_S:g} s for one request") from None
        left -= len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if left < 0:
            raise TooMuchError(f"more than {MOST_BODY} bytes")
        return message

    return bounded


def _marked(send: Send) -> Send:
    """Every answer with the headers that all have."""

    async def marked(message: Message) -> None:
        """Hand a message on."""
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message["headers"], *_ALWAYS]}
        await send(message)

    return marked


async def _refuse(send: Send, status: int, why: str) -> None:
    await _answer(send, status, f"Refused: {why}.\n", ((b"connection", b"close"),))


async def _answer(send: Send, status: int, text: str, more: tuple[tuple[bytes, bytes], ...] = ()) -> None:
    body = text.encode("utf-8")
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()), *more]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, *_ALWAYS]})
    await send({"type": "http.response.body", "body": body})
