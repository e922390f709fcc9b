"""Listens on this machine's loopback address until the page, its last tab or Ctrl-C ends it."""

from __future__ import annotations

import os
import re
import secrets
import shutil
import socket
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from harnesscheck.serve.desk import SIDES, Desks
from harnesscheck.serve.guard import LOOPBACK
from harnesscheck.serve.tables import plug_table

_PREFIX = "harnesscheck-open-"
_MOST_CONNECTIONS = 200


def serve(folder: Path, cars: Sequence[Path], port: int, tell: Callable[[str], None]) -> None:
    """Serve the page; ``tell`` is handed its address once it can be opened.

    ``cars`` are none, or two that lie in ``folder``: plugs to type on where both are tables of one plug, else the
    donor and the shell. Raises OSError where the port is taken.
    """
    import uvicorn

    from harnesscheck.serve.app import Local, application
    from harnesscheck.serve.guard import Guard

    listening = _listening(port)
    port, token = listening.getsockname()[1], secrets.token_urlsafe(32)
    _forget_killed()
    with tempfile.TemporaryDirectory(prefix=f"{_PREFIX}{os.getpid()}-", ignore_cleanup_errors=True) as private:
        tables = [plug_table(folder, one) for one in cars]
        plugs = (tables[0], tables[1]) if len(tables) == 2 and all(tables) else (None, None)
        named = [] if all(plugs) else list(zip(SIDES, cars, strict=False))
        local = Local(folder, Desks(Path(private), named), plugs, tuple(path.name for _, path in named))
        config = uvicorn.Config(
            Guard(application(local), port, token),
            http="h11",
            ws="none",
            lifespan="off",
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=False,
            limit_concurrency=_MOST_CONNECTIONS,
            timeout_keep_alive=5,
            timeout_graceful_shutdown=1,
        )
        server = uvicorn.Server(config)

        def end() -> None:
            """Let what is being answered be answered, then end."""
            server.should_exit = True

        local.end = end
        tell(f"http://{LOOPBACK}:{port}/?token={token}")
        try:
            server.run([listening])
        except KeyboardInterrupt:
            pass
        finally:
            local.desks.close()
            listening.close()


def _listening(port: int) -> socket.socket:
    """A socket of this machine alone; port 0 is any that is free."""
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name != "nt":  # there it would let two listen at once
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((LOOPBACK, port))
        made.listen()  # from now on who asks waits, and is not turned away
    except OSError:
        made.close()
        raise
    return made


def _forget_killed() -> None:
    """Remove what an earlier start left that was killed."""
    for path in Path(tempfile.gettempdir()).glob(f"{_PREFIX}*"):
        match = re.fullmatch(rf"{_PREFIX}([0-9]+)-.*", path.name)
        if match and not path.is_symlink() and _is_ours_and_gone(path, int(match[1])):
            shutil.rmtree(path, ignore_errors=True)


def _is_ours_and_gone(path: Path, process: int) -> bool:
    if os.name == "nt" or path.stat().st_uid != os.getuid():
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return False
