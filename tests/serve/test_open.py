"""``open`` asked over its socket: who may ask, what is kept where, what ends it."""

from __future__ import annotations

import json
import signal
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from builders.commands import run
from builders.lampcars import pair
from builders.local_page import LocalPage, opened_page

from harnesscheck.model.records import Netlist
from harnesscheck.read import Limits, read_netlist
from harnesscheck.serve.desk import RefusedError, safe_parts
from harnesscheck.serve.tables import digest, save
from harnesscheck.write.xml import write_xml

PLUG = "cavity,colour,function\n1,red,permanent feed\n2,brown,ground\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with two plugs and two small cars, beside a file that is nobody's business."""
    above = tmp_path_factory.mktemp("open")
    made = above / "work"
    made.mkdir()
    (above / "secret.xml").write_text("<netlist/>", encoding="utf-8")
    for name, car in zip(("donor", "shell"), pair(5)[:2], strict=True):
        write_xml(car.vehicle.netlist, made / f"{name}.xml")
        (made / f"plug-{name}.csv").write_text(PLUG, encoding="utf-8")
    (made / "link.xml").symlink_to(above / "secret.xml")
    return made


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[LocalPage]:
    """The page of two plugs."""
    with opened_page(folder, "plug-donor.csv", "plug-shell.csv") as one:
        yield one


def based(base: str) -> str:
    return f'<netlist xmlns="urn:harnesscheck:netlist:1" vehicle="a" model-year="2016" base="{base}"/>'


def desk_of(page: LocalPage) -> str:
    return str(page.ask_json("/desk", {})[1]["desk"])


def answer_of(page: LocalPage, desk: str, question: str) -> tuple[str, dict[str, object]]:
    """Ask for work and wait for its answer."""
    status, begun = page.ask_json(f"/desk/{desk}/work", {"question": question})
    assert status == 200, begun
    address = f"/desk/{desk}/work/{begun['work']}"
    for _ in range(600):
        now = page.ask_json(address)[1]
        if not now["running"]:
            return address, now["answer"]
        time.sleep(0.05)
    raise AssertionError("no answer")


# -- who may ask


@pytest.mark.parametrize(
    "headers",
    [
        {"Cookie": ""},
        {"Cookie": "harnesscheck-1=x"},
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Host": "elsewhere.example"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_nobody_else_is_answered(page: LocalPage, headers: dict[str, str]) -> None:
    """No token, an old one, another origin, another name for this address (DNS rebinding): refused, nothing told."""
    for path, body in (("/", None), ("/plugs", b"{}"), ("/stop", b""), ("/desk", b"{}")):
        status, answer, _ = page.ask(path, body, headers)
        assert status == 403
        assert b"cavity" not in answer
    assert page.ask("/")[0] == 200


def test_an_old_token_opens_nothing(page: LocalPage) -> None:
    """Only that of this start."""
    assert page.ask(f"/?token={page.token[:-1]}", headers={"Cookie": ""})[0] == 403


def test_it_listens_on_this_machine_alone(page: LocalPage) -> None:
    """Another address of this machine has nothing at that port (RFC 1122, 3.2.1.3: 127/8 stays inside a host)."""
    names = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    for name in names - {"127.0.0.1"}:
        with socket.socket() as other:
            other.settimeout(2)
            assert other.connect_ex((str(name), page.port)) != 0


def test_what_is_served_runs_and_fetches_nothing_else(page: LocalPage) -> None:
    """A policy on the page; every answer says that it is not to be kept, sniffed or framed."""
    _, text, headers = page.ask("/")
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert headers["cache-control"] == "no-store"
    assert headers["x-frame-options"] == "DENY"
    assert page.token.encode() not in text


# -- what is dropped


@pytest.mark.parametrize(
    "name",
    [
        "../x.csv",
        "/etc/passwd",
        "a/../../x",
        "..",
        ".hidden",
        "a\\b",
        "a\0b",
        "CON",
        "x" * 300,
        "a//b",
        "",
        "a/b/c/d/e/f/g",
    ],
)
def test_names_that_lead_elsewhere_are_refused(name: str) -> None:
    """Parent folders, roots, hidden names, other systems' strokes and devices."""
    with pytest.raises(RefusedError):
        safe_parts(name)


def test_a_dropped_name_cannot_leave_its_folder(page: LocalPage, folder: Path) -> None:
    """Refused with a sentence; nothing is written."""
    before = sorted(folder.parent.rglob("*"))
    status, answer = page.ask_json(f"/desk/{desk_of(page)}/donor?name=..%2F..%2Fout.xml", {})
    assert status == 400
    assert "expected a plain name" in answer["refused"]
    assert sorted(folder.parent.rglob("*")) == before


def test_two_dropped_cars_are_compared_and_kept(page: LocalPage, folder: Path) -> None:
    """The same answer as the command's, its files by name and no others, kept in a folder that is not there yet."""
    desk = desk_of(page)
    for side in ("donor", "shell"):
        assert page.ask(f"/desk/{desk}/{side}?name={side}.xml", (folder / f"{side}.xml").read_bytes())[0] == 200
    address, answer = answer_of(page, desk, "compare")
    command = run("compare", str(folder / "donor.xml"), str(folder / "shell.xml"))
    assert str(answer["sentence"]) in " ".join(command.output.split())
    status, report, _ = page.ask(f"{address}/report.html")
    assert status == 200
    assert report.startswith(b"<!DOCTYPE html>")
    svg = next(str(name) for name in answer["files"] if str(name).endswith(".svg"))  # type: ignore[attr-defined]
    assert "sandbox" in page.ask(f"{address}/{svg}")[2]["content-security-policy"]
    for other in ("../donor/donor.xml", "%2e%2e/donor/donor.xml", "nothing"):
        assert page.ask(f"{address}/{other}")[0] in (400, 404)
    assert page.ask_json(f"{address}/keep", {"name": "../out"})[0] == 400
    assert page.ask_json(f"{address}/keep", {"name": "kept"}) == (200, {"kept": "kept"})
    assert (folder / "kept" / "report.html").read_bytes() == report
    assert page.ask_json(f"{address}/keep", {"name": "kept"})[0] == 400


def test_a_car_may_not_name_a_file_outside(page: LocalPage, folder: Path) -> None:
    """A base that is a link out of the folder is not followed; the message names no private path."""
    desk = desk_of(page)
    outside = (folder.parent / "secret.xml").as_posix()
    for base in ("../../../../etc/passwd", outside):
        page.ask(f"/desk/{desk}/donor?name=car.xml", based(base).encode())
        page.ask(f"/desk/{desk}/shell?name=shell.xml", (folder / "shell.xml").read_bytes())
        _, answer = answer_of(page, desk, "compare")
        said = json.dumps(answer["faults"])
        assert "beside this one" in said or "a file in that folder" in said
        assert "harnesscheck-open-" not in said


def test_a_link_out_of_the_folder_is_not_followed(folder: Path) -> None:
    """Neither as the car itself, nor as the netlist it is built on, nor as a folder above."""
    limits = Limits(within=(folder,))
    (folder / "based.xml").write_text(based("link.xml"), encoding="utf-8")
    for path in (folder / "link.xml", folder / "based.xml", folder / ".." / "secret.xml"):
        faults = read_netlist(path, limits)
        assert isinstance(faults, list)
        assert "outside the folder" in str(faults[0])
    assert isinstance(read_netlist(folder / "donor.xml", limits), Netlist)


def test_broken_cars_are_told_and_too_much_at_once_is_refused(page: LocalPage, folder: Path) -> None:
    """One message a fault; a third piece of work waits until another has ended, which may be stopped."""
    desk = desk_of(page)
    assert page.ask_json(f"/desk/{desk}/work", {"question": "compare"})[0] == 400
    for side in ("donor", "shell"):
        page.ask(f"/desk/{desk}/{side}?name={side}.xml", (folder / f"{side}.xml").read_bytes())
    begun = [page.ask_json(f"/desk/{desk}/work", {"question": "compare"}) for _ in range(3)]
    assert [status for status, _ in begun] == [200, 200, 400]
    for _, one in begun[:2]:
        now = page.ask_json(f"/desk/{desk}/work/{one['work']}", method="DELETE")[1]
        assert not now["running"]
    page.ask(f"/desk/{desk}/donor?name=donor.xml", b"<netlist")
    _, answer = answer_of(page, desk, "compare")
    assert "donor.xml" in json.dumps(answer["faults"])


@pytest.mark.parametrize("body", [b"", b"[]", b"{", b'{"donor": 5}', b"[" * 100_000, b"\xff"])
def test_what_no_page_sends_is_refused(page: LocalPage, body: bytes) -> None:
    """Broken or foreign JSON ends in a sentence."""
    status, answer, _ = page.ask("/plugs", body)
    assert status == 400
    assert b"expected" in answer or b"refused" in answer


def test_a_huge_body_and_a_slow_one_end(page: LocalPage) -> None:
    """More bytes than are taken are refused before they are sent; a client that says nothing keeps nobody waiting."""
    assert page.ask("/plugs", headers={"content-length": str(10**12)}, method="POST")[0] == 413
    assert page.ask("/plugs", headers={"content-length": "-5"}, method="POST")[0] in (400, 413)
    slow = [socket.create_connection(("127.0.0.1", page.port)) for _ in range(50)]
    for one in slow:
        one.sendall(b"POST /plugs HTTP/1.1\r\nHost: 127.0.0.1\r\n")
    assert page.ask("/")[0] == 200
    for one in slow:
        one.close()


# -- what is saved


def test_a_plug_is_saved_back_as_it_was_typed(page: LocalPage, folder: Path) -> None:
    """Over the file that the page was given, and not over one that has changed since; a new one only where none is."""
    file = folder / "plug-donor.csv"
    typed = PLUG + "3,blue,horn\n"
    known = digest(file.read_bytes())
    status, saved = page.ask_json("/plugs/save", {"name": file.name, "text": typed, "digest": known})
    assert (status, file.read_text(encoding="utf-8")) == (200, typed)
    file.write_text(PLUG, encoding="utf-8")
    for was in (saved["digest"], ""):
        assert page.ask_json("/plugs/save", {"name": file.name, "text": typed, "digest": was})[0] == 400
    assert file.read_text(encoding="utf-8") == PLUG


@pytest.mark.parametrize("name", ["../plug.csv", "/tmp/plug.csv", "plug.xml", "missing/plug.csv", "out.csv"])
def test_nothing_is_saved_elsewhere(folder: Path, name: str) -> None:
    """Not beyond the folder, not through a link out of it, not as another sort of file."""
    link = folder / "out.csv"
    if not link.is_symlink():
        link.symlink_to(folder.parent / "elsewhere.csv")
    with pytest.raises(RefusedError):
        save(folder, name, PLUG, "")
    assert not (folder.parent / "elsewhere.csv").exists()


def test_lines_without_a_heading_are_saved_as_a_table(folder: Path) -> None:
    """So that the commands read it; what cannot be read is not saved."""
    save(folder, "short.csv", "1 red permanent feed\n2 brown ground", "")
    assert (folder / "short.csv").read_text(encoding="utf-8") == PLUG
    with pytest.raises(RefusedError):
        save(folder, "none.csv", "1 red a\n1 blue b", "")


# -- start and end


def test_a_file_outside_the_folder_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also by a link; status 2 and one message."""
    monkeypatch.chdir(folder)
    for name in ("../secret.xml", "link.xml", "missing.xml"):
        assert name in run("open", "donor.xml", name, "--no-browser", status=2).output


def test_a_port_that_is_taken_is_told(page: LocalPage, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One message, status 2."""
    monkeypatch.chdir(folder)
    assert str(page.port) in run("open", "--no-browser", "--port", str(page.port), status=2).output


@pytest.mark.parametrize("how", ["stop", "signal", "last page closed"])
def test_it_ends(folder: Path, how: str) -> None:
    """By the page's button, by Ctrl-C, some seconds after the last page is closed; nothing is left behind."""
    with opened_page(folder) as page:
        desk = desk_of(page)
        page.ask(f"/desk/{desk}/donor?name=donor.xml", b"<netlist/>")
        if how == "stop":
            assert page.ask("/stop", b"")[0] == 200
        elif how == "signal":
            page.process.send_signal(signal.SIGINT)
        else:
            stream = socket.create_connection(("127.0.0.1", page.port))
            stream.sendall(
                f"GET /alive HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nCookie: {page.cookie}\r\n\r\n".encode()
            )
            assert b"200" in stream.recv(200)
            threading.Timer(0.2, stream.close).start()
        out, err = page.process.communicate(timeout=30)
        assert page.process.returncode == 0
        assert out.rstrip().endswith("ended")
        assert "Traceback" not in err
