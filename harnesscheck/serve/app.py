"""The addresses of the local page and what each answers, in JSON; what is refused is a sentence with status 400."""

from __future__ import annotations

import asyncio
import json
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from harnesscheck.serve.desk import SIDES, Desk, Desks, RefusedError, safe_parts
from harnesscheck.serve.page import page_text
from harnesscheck.serve.tables import SavedTable, save
from harnesscheck.serve.typed import dropped_page, typed_answer
from harnesscheck.serve.work import MOST_AT_ONCE, QUESTIONS, Order, Work

BEAT_S = 5.0  # between two signs of life of an open page's stream
GONE_S = 8.0  # after the last page is closed the server ends; a page that is loaded again is back sooner
_TYPES = {".html": "text/html; charset=utf-8", ".svg": "image/svg+xml", ".pdf": "application/pdf"}
_NO_SCRIPT = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox"

Answer = Callable[[Request], Awaitable[Response]]


@dataclass(slots=True)
class Local:
    """One start of the page: the folder, the desks, the plugs to begin with, and what ends it."""

    folder: Path
    desks: Desks
    plugs: tuple[SavedTable | None, SavedTable | None] = (None, None)
    cars: tuple[str, ...] = ()
    end: Callable[[], None] = lambda: None
    pages: int = 0
    reading: int = 0  # pages of manuals, each in a process of its own
    ending: asyncio.TimerHandle | None = None
    keeping: set[asyncio.Task[Any]] = field(default_factory=set)


def application(local: Local) -> Starlette:
    """The application, without its guard."""
    routes = [
        Route("/", _of(local, _page)),
        Route("/alive", _of(local, _alive)),
        Route("/stop", _of(local, _stop), methods=["POST"]),
        Route("/desk", _of(local, _desk), methods=["POST"]),
        Route("/plugs", _of(local, _plugs), methods=["POST"]),
        Route("/plugs/page", _of(local, _plug_page), methods=["POST"]),
        Route("/plugs/save", _of(local, _plug_save), methods=["POST"]),
        Route("/desk/{desk}/work", _of(local, _begin), methods=["POST"]),
        Route("/desk/{desk}/work/{work}", _of(local, _progress), methods=["GET", "DELETE"]),
        Route("/desk/{desk}/work/{work}/keep", _of(local, _keep), methods=["POST"]),
        Route("/desk/{desk}/work/{work}/{name:path}", _of(local, _file)),
        Route("/desk/{desk}/{side}", _of(local, _drop), methods=["POST", "DELETE"]),
    ]
    return Starlette(routes=routes)


def _of(local: Local, what: Callable[[Local, Request], Awaitable[Response]]) -> Answer:
    """An address; what it refuses is told in a sentence."""

    async def answered(request: Request) -> Response:
        """Answer one request."""
        try:
            return await what(local, request)
        except RefusedError as error:
            return JSONResponse({"refused": str(error)}, status_code=400)

    return answered


async def _page(local: Local, request: Request) -> Response:
    text, policy = page_text(local.folder.name, local.plugs, local.cars)
    return HTMLResponse(text, headers={"content-security-policy": policy})


async def _alive(local: Local, request: Request) -> Response:
    """A stream that is open as long as the page is; when the last is closed the server ends soon after."""

    async def beats() -> AsyncIterator[bytes]:
        """A sign of life now and then."""
        local.pages += 1
        if local.ending is not None:
            local.ending.cancel()
        try:
            while True:
                yield b": here\n\n"
                await asyncio.sleep(BEAT_S)
        finally:
            local.pages -= 1
            if not local.pages:
                local.ending = asyncio.get_running_loop().call_later(GONE_S, local.end)

    return StreamingResponse(beats(), media_type="text/event-stream")


async def _stop(local: Local, request: Request) -> Response:
    local.end()
    return JSONResponse({"stopped": True})


async def _desk(local: Local, request: Request) -> Response:
    return JSONResponse({"desk": local.desks.new()})


# -- two plugs


async def _plugs(local: Local, request: Request) -> Response:
    asked = await _json(request)
    donor, shell = (_text(asked, side) for side in SIDES)
    found = await run_in_threadpool(typed_answer, donor, shell)
    return JSONResponse({"sentence": found.sentence, "tone": found.tone, "html": found.html})


async def _plug_page(local: Local, request: Request) -> Response:
    """A page of a manual that was dropped on a plug, as the table that it holds."""
    name = safe_parts(request.query_params.get("name", ""))[-1]
    data = await request.body()
    if local.reading >= MOST_AT_ONCE:
        raise RefusedError("too much at once; expected the page that is read to be done first")
    local.reading += 1
    try:
        read = await run_in_threadpool(dropped_page, data, name)
    finally:
        local.reading -= 1
    faults = [] if not isinstance(read.read, tuple) else [f"{one.read}; expected {one.expected}" for one in read.read]
    return JSONResponse({"table": read.table, "faults": faults})


async def _plug_save(local: Local, request: Request) -> Response:
    asked = await _json(request)
    name, text, known = (_text(asked, key) for key in ("name", "text", "digest"))
    saved = await run_in_threadpool(save, local.folder, name, text, known)
    return JSONResponse({"name": saved.name, "digest": saved.digest, "text": saved.text})


# -- two cars


async def _drop(local: Local, request: Request) -> Response:
    desk, side = local.desks.get(request.path_params["desk"]), request.path_params["side"]
    if side not in SIDES:
        raise RefusedError(f"{side!r}; expected {' or '.join(SIDES)}")
    if request.method == "DELETE":
        desk.clear(side)
    else:
        desk.drop(side, request.query_params.get("name", ""), await request.body())
    return JSONResponse({})


async def _begin(local: Local, request: Request) -> Response:
    desk, question = local.desks.get(request.path_params["desk"]), _text(await _json(request), "question")
    if question not in QUESTIONS:
        raise RefusedError(f"{question!r}; expected {' or '.join(QUESTIONS)}")
    if sum(work.is_running for work in desk.works.values()) >= MOST_AT_ONCE:
        raise RefusedError("too much at once; expected the work that runs to end, or to be stopped, first")
    donor, shell = (desk.car(side) for side in SIDES)
    number = str(len(desk.works) + 1)
    order = Order(question, (str(donor), str(shell)), (desk.folder, local.folder), desk.folder / f"answer-{number}")
    desk.works[number] = await run_in_threadpool(Work, order)
    return JSONResponse({"work": number})


async def _progress(local: Local, request: Request) -> Response:
    work = _work(local, request)
    if request.method == "DELETE":
        await run_in_threadpool(work.stop)
    return JSONResponse({"running": work.is_running, "said": work.said, "answer": work.answer})


async def _keep(local: Local, request: Request) -> Response:
    """Keep a report: its files in a new folder beside the cars."""
    work, name = _work(local, request), _text(await _json(request), "name")
    target = local.folder.joinpath(*safe_parts(name))
    if len(safe_parts(name)) > 1 or target.exists() or target.is_symlink():
        raise RefusedError(f"{name}; expected the name of a folder that is not there yet")
    names = (work.answer or {}).get("files", ())
    if not names:
        raise RefusedError("no report yet; expected one that is finished")
    try:
        await run_in_threadpool(_copied, work.order.out, target, names)
    except OSError as error:
        raise RefusedError(f"{name}: {error.strerror or error}; expected a place that can be written") from None
    return JSONResponse({"kept": name})


def _copied(source: Path, target: Path, names: list[str]) -> None:
    """Copy a report's files into a new folder, whole or not at all."""
    from harnesscheck.write.atomic import write_bytes

    beside = target.with_name(f".{target.name}.{secrets.token_hex(4)}")
    beside.mkdir()
    try:
        for name in names:
            (beside / name).parent.mkdir(parents=True, exist_ok=True)
            write_bytes(beside / name, (source / name).read_bytes())
        beside.rename(target)
    except BaseException:
        import shutil

        shutil.rmtree(beside, ignore_errors=True)
        raise


async def _file(local: Local, request: Request) -> Response:
    """A file of an answer, by a name of its list and no other."""
    name = request.path_params["name"]
    data = await run_in_threadpool(_work(local, request).file, name)
    if data is None:
        return JSONResponse({"refused": f"{name[:80]!r}; expected a file of this answer"}, status_code=404)
    kind = _TYPES.get(Path(name).suffix.lower())
    headers = {} if kind == _TYPES[".html"] else {"content-security-policy": _NO_SCRIPT}
    if kind is None:
        headers["content-disposition"] = "attachment"
    return Response(data, media_type=kind or "application/octet-stream", headers=headers)


def _work(local: Local, request: Request) -> Work:
    desk: Desk = local.desks.get(request.path_params["desk"])
    number = request.path_params["work"]
    if number not in desk.works:
        raise RefusedError(f"{number[:20]!r}; expected work that was begun")
    return desk.works[number]


# -- what a browser sends


async def _json(request: Request) -> dict[str, Any]:
    try:
        asked = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise RefusedError("no JSON; expected what the page sends") from None
    if not isinstance(asked, dict):
        raise RefusedError("JSON that is no object; expected what the page sends")
    return asked


def _text(asked: dict[str, Any], key: str) -> str:
    text = asked.get(key, "")
    if not isinstance(text, str):
        raise RefusedError(f"{key}: {type(text).__name__}; expected a text")
    return text
