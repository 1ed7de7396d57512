"""Edits of the file by a page: whole or not at all, undone byte for byte, nothing lost."""

from __future__ import annotations

import json
import os
import random
import signal
import socket
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from meshes.errors import DesignError
from meshes.spread import read
from preview.errors import UseError
from preview.viewer.desk import Desk
from preview.viewer.server import SECRET_HEADER, Server
from preview.viewer.watch import Build, Watcher
from tests.viewer.serving import posted, running

AT = "pieces.tulip.at"


def edit(desk: Desk, *edits: dict[str, Any], made: str | None = None, page: str = "a") -> Any:
    asked = {"made": made or desk.news()["made"], "page": page, "edits": list(edits)}
    return desk.edit(json.dumps(asked).encode())


def put(path: str, value: Any) -> dict[str, Any]:
    return {"edit": "set", "path": path, "value": value}


def test_steps_lead_back_to_the_first_byte_and_on_again(design: Path) -> None:
    first = design.read_bytes()
    desk = Desk(design)
    texts = [first]
    for at in (80, 81.5, 90):
        edit(desk, put(AT, at))
        texts.append(design.read_bytes())
    assert len(set(texts)) == 4
    for text in reversed(texts[:-1]):
        desk.undo(b"{}")
        assert design.read_bytes() == text
    with pytest.raises(UseError, match="Nothing has been changed"):
        desk.undo(b"{}")
    for text in texts[1:]:
        desk.redo(b"{}")
        assert design.read_bytes() == text
    with pytest.raises(UseError, match="Nothing has been undone"):
        desk.redo(b"{}")


def test_what_an_edit_has_read_need_not_be_read_again_but_only_once(design: Path) -> None:
    desk = Desk(design)
    assert desk.fresh() is None
    edit(desk, put(AT, 80))
    made = desk.fresh()
    assert made is not None
    assert made.design.pieces["tulip"].at == 80
    assert made.sheets == read(design).sheets
    assert desk.fresh() is None  # a picture that it names may be another one by now
    edit(desk, put(AT, 81))
    design.write_text(design.read_text() + "# a word\n")
    assert desk.fresh() is None


def test_a_mistake_is_told_and_changes_nothing(design: Path) -> None:
    desk, first = Desk(design), design.read_bytes()
    with pytest.raises(DesignError, match="at: lies beyond the end"):
        edit(desk, put(AT, 900))
    with pytest.raises(DesignError):  # the first of two would do alone
        edit(desk, put(AT, 80), put("pieces.tulip.colour", "red"))
    with pytest.raises(UseError, match="no piece rose"):
        edit(desk, {"edit": "take-away", "pieces": ["rose"]})
    with pytest.raises(UseError, match="no request"):
        desk.edit(b'{"made": "", "edits": [{"edit": "run", "path": "a.b"}]}')
    assert design.read_bytes() == first
    assert sorted(p.name for p in design.parent.iterdir()) == ["tulip.toml"]


def test_what_an_editor_saves_is_a_step_too(design: Path) -> None:
    desk = Desk(design)
    edit(desk, put(AT, 80))
    mine = design.read_text()
    theirs = mine.replace("base = 20", "base = 24") + "# a word\n"
    design.write_text(theirs)
    news = desk.news()
    assert (news["by"], news["said"]) == ("", "changed outside the page")
    news = desk.undo(b'{"page": "a"}')
    assert (news["by"], news["said"]) == ("a", "changed outside the page, undone")
    assert design.read_text() == mine
    desk.redo(b"{}")
    assert design.read_text() == theirs


def test_two_pages_lose_nothing_and_the_later_change_wins(design: Path) -> None:
    desk = Desk(design)
    seen = desk.news()["made"]
    edit(desk, put(AT, 80), made=seen, page="one")
    answer = edit(desk, put("pieces.meadow.y", 70), made=seen, page="two")
    assert answer["stale"]
    assert answer["by"] == "two"
    answer = edit(desk, put(AT, 90), made=seen, page="two")
    text = design.read_text()
    assert "at = 90\n" in text
    assert "y = 70\n" in text
    edit(desk, {"edit": "take-away", "pieces": ["meadow"]}, page="one")
    with pytest.raises(UseError, match=r"pieces\.meadow is gone"):
        edit(desk, put("pieces.meadow.y", 60), made=seen, page="two")


def test_the_first_text_is_kept_until_the_end_and_offered_after_a_bad_one(design: Path) -> None:
    first = design.read_bytes()
    kept = design.with_name("tulip.toml.before-edits")
    desk = Desk(design)
    assert not kept.exists()
    edit(desk, put(AT, 80))
    edit(desk, put(AT, 90))
    assert kept.read_bytes() == first
    # The power fails here; the next session finds what was kept.
    second = Desk(design)
    assert second.news()["left"] == kept.name
    edit(second, put(AT, 95))
    assert kept.read_bytes() == first
    second.take_back(b"{}")
    assert design.read_bytes() == first
    assert not kept.exists()
    second.undo(b"{}")
    assert b"at = 95\n" in design.read_bytes()
    second.close()
    assert sorted(p.name for p in design.parent.iterdir()) == ["tulip.toml"]


def test_the_file_keeps_its_rights_and_a_link_stays_a_link(design: Path) -> None:
    real = design.parent / "deep" / "real.toml"
    real.parent.mkdir()
    design.rename(real)
    design.symlink_to(real)
    real.chmod(0o640)
    desk = Desk(design)
    edit(desk, put(AT, 80))
    assert design.is_symlink()
    assert "at = 80\n" in real.read_text()
    assert real.stat().st_mode & 0o777 == 0o640
    other = design.parent / "other.toml"
    other.write_bytes(real.read_bytes())
    design.unlink()
    design.symlink_to(other)
    with pytest.raises(UseError, match="leads to another file"):
        edit(desk, put(AT, 70))
    assert "at = 80\n" in other.read_text()


def test_a_file_that_has_gone_is_not_made_again(design: Path) -> None:
    desk = Desk(design)
    design.unlink()
    with pytest.raises(UseError, match="no such file"):
        edit(desk, put(AT, 80))
    assert not design.exists()


WRITING = """
import json, sys
from pathlib import Path
from preview.viewer.desk import Desk
desk = Desk(Path(sys.argv[1]))
first = desk.text
print("ready", flush=True)
for k in range(10 ** 6):
    desk._write(first.replace("at = 84", "at = 85") if k % 2 == 0 else first)
    desk._look()
"""


@pytest.mark.skipif(os.name != "posix", reason="kills a process as only POSIX can")
def test_a_kill_in_the_middle_leaves_the_old_text_or_the_new(design: Path) -> None:
    design.write_text(design.read_text() + "# long\n" * 40_000)
    old = design.read_bytes()
    new = old.replace(b"at = 84", b"at = 85")
    draw = random.Random(16)
    for _ in range(2):
        process = subprocess.Popen(
            [sys.executable, "-c", WRITING, str(design)], stdout=subprocess.PIPE
        )
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(draw.uniform(0.0, 0.15))
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
        assert design.read_bytes() in (old, new)
        design.write_bytes(old)


class Session:
    """A server as `view` makes it, and a page's way to ask it."""

    def __init__(self, design: Path) -> None:
        self.desk = Desk(design)
        self.watcher = Watcher(lambda: Build({"title": "t", "live": False}, (design,)))
        self.server = Server(self.watcher, 0, self.desk.answers(), self.desk.news)

    def post(self, path: str, body: Any, **changed: str | None) -> tuple[int, Any]:
        status, data = posted(self.server, path, json.dumps(body).encode(), changed)
        return status, json.loads(data) if data.startswith(b"{") else data


@pytest.fixture
def session(design: Path) -> Iterator[Session]:
    made = Session(design)
    with running(made.server):
        yield made
        made.watcher.stop()


def test_a_page_edits_through_the_server_and_all_pages_are_told(
    session: Session, design: Path
) -> None:
    asked = {"made": "", "page": "a", "edits": [put(AT, 80)]}
    status, answer = session.post("/edits", asked)
    assert (status, answer["by"], answer["undo"]) == (200, "a", f"{AT} = 80")
    told = session.server.told(session.watcher.state)
    assert told["desk"]["made"] == answer["made"]
    assert session.post("/undo", {"page": "b"})[1]["redo"] == f"{AT} = 80"
    status, answer = session.post("/edits", {**asked, "edits": [put(AT, 900)]})
    assert status == 422
    assert "at: lies beyond the end of the crease" in answer["mistake"]
    assert session.post("/edits", {**asked, "more": 1})[0] == 422
    assert session.post("/edits", {**asked, "page": "x" * 300_000})[0] == 413
    assert session.post("/left/back", {})[0] == 422
    assert "at = 84\n" in design.read_text()


@pytest.mark.parametrize(
    "changed",
    [
        {SECRET_HEADER: None},
        {SECRET_HEADER: "guessed"},
        {"Origin": None},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {"Content-Type": "text/plain"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
)
@pytest.mark.parametrize("path", ["/edits", "/undo"])
def test_nobody_but_the_page_changes_the_file(
    session: Session, design: Path, path: str, changed: dict[str, str | None]
) -> None:
    edit(session.desk, put(AT, 80))
    before = design.read_bytes()
    asked = {"made": "", "edits": [put(AT, 90)]} if path == "/edits" else {}
    assert session.post(path, asked, **changed)[0] in (403, 415)
    assert design.read_bytes() == before


def test_what_a_refused_request_holds_is_no_request(session: Session, design: Path) -> None:
    """A body that nobody reads must not be taken for the next request of the same line."""
    inner = f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{session.server.server_port}\r\n\r\n"
    head = f"POST /edits HTTP/1.1\r\nHost: elsewhere\r\nContent-Length: {len(inner)}\r\n\r\n"
    with socket.create_connection(("127.0.0.1", session.server.server_port), timeout=5) as line:
        line.sendall((head + inner).encode())
        line.shutdown(socket.SHUT_WR)
        answer = b"".join(iter(lambda: line.recv(4096), b""))
    assert answer.startswith(b"HTTP/1.1 403 ")
    assert answer.count(b"HTTP/1.1") == 1


@pytest.mark.parametrize("hostile", ['</script><img src=x onerror="alert(1)">', '"]\n[pieces.x]\n'])
def test_hostile_text_stays_text(session: Session, design: Path, hostile: str) -> None:
    line = {"edit": "append", "path": "pieces.meadow.lettering", "value": {"text": hostile}}
    status, _ = session.post("/edits", {"made": "", "edits": [line]})
    assert status == 200
    tables = tomllib.loads(design.read_text())
    assert tables["pieces"]["meadow"]["lettering"] == [{"text": hostile}]
    assert list(tables["pieces"]) == ["tulip", "meadow"]
    rename = {"edit": "rename", "piece": "meadow", "name": hostile}
    assert session.post("/edits", {"made": "", "edits": [rename]})[0] == 422
