"""The local page as a person starts it: a process of its own, and somebody who asks it."""

from __future__ import annotations

import http.client
import json
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit


@dataclass
class LocalPage:
    """A running page: its address with the token, its process, the cookie once it was opened."""

    address: str
    process: subprocess.Popen[str]
    cookie: str = ""

    @property
    def port(self) -> int:
        return urlsplit(self.address).port or 0

    @property
    def token(self) -> str:
        return urlsplit(self.address).query.removeprefix("token=")

    def ask(
        self,
        path: str,
        body: bytes | None = None,
        headers: Mapping[str, str] | None = None,
        method: str | None = None,
    ) -> tuple[int, bytes, http.client.HTTPMessage]:
        """Ask as the page does; status, body, headers."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        sent = {"Cookie": self.cookie} if self.cookie else {}
        try:
            connection.request(method or ("GET" if body is None else "POST"), path, body, {**sent, **(headers or {})})
            answer = connection.getresponse()
            return answer.status, answer.read(), answer.headers
        finally:
            connection.close()

    def ask_json(self, path: str, asked: Any = None, method: str | None = None) -> tuple[int, Any]:
        """The same, in JSON both ways."""
        body = None if asked is None else json.dumps(asked).encode()
        status, answer, _ = self.ask(path, body, {"content-type": "application/json"}, method)
        return status, json.loads(answer)

    def enter(self) -> None:
        """Open it once, as a browser does, and keep the cookie."""
        status, _, headers = self.ask(f"/?token={self.token}")
        assert status == 303, status
        self.cookie = str(headers["set-cookie"]).partition(";")[0]


@contextmanager
def opened_page(folder: Path, *words: str) -> Iterator[LocalPage]:
    """The command run in a folder."""
    command = [sys.executable, "-m", "harnesscheck", "open", *words, "--no-browser"]
    process = subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:"), address + (process.stderr.read() if process.stderr else "")
        page = LocalPage(address, process)
        page.enter()
        yield page
    finally:
        process.kill()
        process.communicate()
