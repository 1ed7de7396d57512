"""The first page: a blank notebook, a copy, one seen lately; then the design in its place."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from meshes import cache, spread
from preview.viewer.first import First
from preview.viewer.recent import recent, remember
from preview.viewer.server import SECRET_HEADER, Server
from preview.viewer.watch import Build, Watcher
from tests.viewer.serving import posted, running
from tests.viewer.test_access import violations


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "kept"
    monkeypatch.setenv(cache.VARIABLE, str(folder))
    return folder


@pytest.fixture
def first(tmp_path: Path, kept: Path) -> Iterator[First]:
    folder = tmp_path / "work"
    folder.mkdir()
    made = First(folder)
    with running(made):
        yield made


def send(server: First, form: dict[str, str], **changed: str | None) -> tuple[int, str]:
    headers = {"Content-Type": "application/x-www-form-urlencoded", SECRET_HEADER: None, **changed}
    data = urlencode({"secret": server.secret, **form}).encode()
    status, page = posted(server, "/begin", data, headers)
    return status, page.decode()


def test_a_blank_notebook_is_begun(first: First) -> None:
    status, _ = send(first, {"do": "blank", "name": "my-spread", "page": "A6"})
    assert status == 200
    assert first.chosen == first.folder / "my-spread.toml"
    # Source: ISO 216, A6.
    assert spread.read(first.chosen, blank=True).design.spread.width == 105


@pytest.mark.parametrize(
    "form",
    [
        {"do": "blank", "name": "../out"},
        {"do": "blank", "name": ""},
        {"do": "blank", "name": ".hidden"},
        {"do": "blank", "name": "a\\b"},
        {"do": "blank", "name": "a\0b"},
        {"do": "blank", "name": "mine", "page": "<b>"},
        {"do": "like", "name": "mine", "design": "../../etc/passwd"},
        {"do": "open", "number": "7"},
        {"do": "open", "number": "-1"},
    ],
)
def test_nothing_else_can_be_begun(first: First, form: dict[str, str]) -> None:
    status, page = send(first, form)
    assert status == 422
    assert 'role="alert"' in page
    assert "<b>'" not in page
    assert list(first.folder.iterdir()) == []
    assert first.chosen is None


def test_a_file_that_is_there_is_kept(first: First) -> None:
    file = first.folder / "mine.toml"
    file.write_text("mine")
    assert send(first, {"do": "blank", "name": "mine"})[0] == 422
    assert file.read_text() == "mine"


@pytest.mark.parametrize(
    ("form", "changed"),
    [
        ({"secret": "guessed"}, {}),
        ({}, {"Origin": None}),
        ({}, {"Origin": "https://elsewhere.example"}),
        ({}, {"Host": "elsewhere"}),
    ],
)
def test_only_the_page_itself_begins_anything(
    first: First, form: dict[str, str], changed: dict[str, str | None]
) -> None:
    assert send(first, {"do": "blank", "name": "mine", **form}, **changed)[0] == 403
    assert list(first.folder.iterdir()) == []


def test_files_seen_lately_are_offered_while_they_are_there(tmp_path: Path, kept: Path) -> None:
    files = [tmp_path / f"{name}.toml" for name in ("one", "two", "<three>")]
    for file in files:
        file.write_text("")
        remember(file)
    remember(files[0])
    assert recent() == [files[0].resolve(), files[2].resolve(), files[1].resolve()]
    files[1].unlink()
    assert [path.name for path in recent()] == ["one.toml", "<three>.toml"]
    (kept / "recent.json").write_text("{nonsense")
    assert recent() == []


def test_the_page_leads_to_the_design_at_the_same_address(
    open_page: Any, tmp_path: Path, kept: Path
) -> None:
    """In a browser: the form is filled in, and the notebook lies there."""
    remembered = tmp_path / "<i>old.toml"
    remembered.write_text('title = "Old"\n[spread]\npage = "A5"\n')
    remember(remembered)
    first = First(tmp_path)
    thread = threading.Thread(target=first.serve_forever, args=(0.01,))
    thread.start()
    page = open_page(first.address, width=1000, height=800)
    assert violations(page) == []
    assert "<i>old" in page.inner_text("main")
    page.fill("#blank-name", "mine")
    page.click("text=Lay it on the table")
    thread.join(20)
    watcher = Watcher(lambda: Build({"title": "Taken over", "live": False}, (tmp_path,)))
    server = Server(watcher, listening=first.socket)
    after = threading.Thread(target=server.serve_forever, args=(0.01,))
    after.start()
    open_page.expected("")
    page.wait_for_function("() => document.title === 'Taken over'", timeout=20_000)
    assert server.address == first.address
    server.shutdown()
    after.join()
    server.server_close()
    assert first.chosen == tmp_path / "mine.toml"
