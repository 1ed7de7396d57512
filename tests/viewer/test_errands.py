"""Files that the page has made: in turn, of the text at the press, whole, and nothing else."""

from __future__ import annotations

import http.client
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from meshes import spread
from preview.errors import UseError
from preview.films.film import shot_of
from preview.viewer.desk import Desk
from preview.viewer.errands import queue
from preview.viewer.errands.queue import AT_ONCE, MOST, Errands
from preview.viewer.errands.wishes import KINDS, LEFT_OUT
from preview.viewer.keeping import Kept, Standpoint, here_in, keep
from preview.viewer.server import SECRET_HEADER, Server
from preview.viewer.watch import Build, Watcher, name_of
from tests.viewer.serving import posted, running

STAND = {"eye": [300.0, -350.0, 200.0], "target": [0.0, 100.0, 20.0], "field": 27.0, "opening": 118}
POSIX = pytest.mark.skipif(os.name != "posix", reason="looks for processes as only POSIX can")


class Orders:
    """Asks for files as a page does."""

    def __init__(self, errands: Errands) -> None:
        self.errands = errands

    def make(self, file: str = "still", made: str = "", **chosen: str) -> int:
        wish = {"file": file, "made": made, "chosen": chosen, "stand": STAND}
        return int(self.errands.make(json.dumps(wish).encode())["number"])

    def tell(self, what: Callable[[bytes], Any], number: int) -> Any:
        return what(json.dumps({"number": number}).encode())

    def one(self, number: int) -> Any:
        listed = self.errands.news()["listed"]
        return next((one for one in listed if one["number"] == number), None)

    def wait(self, number: int, *conditions: str) -> Any:
        for _ in range(6000):
            found = self.one(number)
            if found["condition"] in conditions:
                return found
            time.sleep(0.01)
        raise AssertionError(found)

    def file(self, number: int, name: str) -> bytes:
        files = {file["name"]: file["address"] for file in self.one(number)["files"]}
        path = self.errands.file_at(files[name])
        assert path is not None
        return path.read_bytes()


@pytest.fixture
def orders(design: Path) -> Iterator[Orders]:
    """With a stand-in for the process."""
    desk = Desk(design)
    program = (sys.executable, str(Path(__file__).with_name("errand.py")))
    errands = Errands(design, desk.text_of, program=program)
    yield Orders(errands)
    errands.close()


def task(design: Path, what: str) -> None:
    design.write_text(f"{design.read_text()}# do: {what}\n")


def gone(process: int) -> bool:
    """Whether a process has ended, or is only waited for."""
    for _ in range(2000):
        try:
            state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
        except OSError:
            return True
        if state == "Z":
            return True
        time.sleep(0.01)
    return False


def test_a_file_is_of_the_text_at_the_press(orders: Orders, design: Path) -> None:
    first = design.read_text()
    number = orders.make("pattern")
    design.write_text(first.replace("at = 84", "at = 60"))
    other = orders.make("pattern")
    # A page that shows the first text still: it gets what it sees.
    third = orders.make("pattern", made=name_of(first))
    assert (number, third) == (1, 1)
    for which in (number, other):
        orders.wait(which, "ready")
    assert orders.file(number, "text.json").decode() == first
    assert "at = 60" in orders.file(other, "text.json").decode()


def test_who_asks_twice_gets_it_once(orders: Orders) -> None:
    number = orders.make("guide")
    assert orders.make("guide") == number
    assert orders.make("guide", paper="letter") == number + 1
    orders.wait(number, "ready")
    assert orders.make("guide") == number
    orders.tell(orders.errands.away, number)
    assert orders.make("guide") == number + 2


def test_the_last_word_of_many_is_told_too(orders: Orders, design: Path, monkeypatch) -> None:
    """It came so soon after another that it was left out, and none came after it."""
    task(design, "never ends")
    shown: Any = []
    monkeypatch.setattr(
        orders.errands, "_tell", lambda: shown.append(orders.errands.news()["listed"])
    )
    orders.make("still")
    for _ in range(6000):
        if any(one["done"] == 1 for listed in shown for one in listed):
            break
        time.sleep(0.01)
    else:
        raise AssertionError(shown[-1])


def test_it_goes_beside_the_design_and_over_nothing(orders: Orders, design: Path) -> None:
    before = {path.name for path in design.parent.iterdir()}
    number = orders.make("plan")
    one = orders.wait(number, "ready")
    assert {path.name for path in design.parent.iterdir()} == before
    mine = design.with_name("still.png")
    mine.write_bytes(b"mine")
    orders.tell(orders.errands.put_beside, number)
    beside = orders.one(number)["beside"]
    assert sorted(beside) == ["still-2.png", "tulip-plan-2/text.json"]
    assert mine.read_bytes() == b"mine"
    assert design.with_name("still-2.png").read_bytes() == b"a picture"
    orders.tell(orders.errands.put_beside, number)
    assert not design.with_name("still-3.png").exists()
    assert one["said"]  # what the command had to say is told


@POSIX
def test_two_are_made_at_a_time_and_what_is_stopped_ends_with_all_its_processes(
    orders: Orders, design: Path
) -> None:
    task(design, "never ends")
    numbers = [orders.make("pattern", paper=paper) for paper in ("A4", "letter", "A3")]
    assert AT_ONCE == 2
    assert orders.one(numbers[2])["condition"] == "waiting"
    for _ in range(6000):
        said = [orders.one(number)["said"] for number in numbers[:2]]
        if all(len(lines) == 2 for lines in said):
            break
        time.sleep(0.01)
    processes = [int(lines[1].split()[1]) for lines in said]
    assert orders.one(numbers[0])["done"] == 1
    orders.tell(orders.errands.away, numbers[0])
    assert gone(processes[0])
    assert orders.one(numbers[0]) is None
    orders.wait(numbers[2], "making")
    orders.errands.close()
    assert gone(processes[1])
    assert orders.errands.news()["listed"] == []
    with pytest.raises(UseError, match="is ending"):
        orders.make("guide")


def test_what_fails_says_why_and_is_made_again_when_asked(orders: Orders, design: Path) -> None:
    task(design, "fails")
    number = orders.make("film")
    one = orders.wait(number, "failed")
    assert "words" in one["said"][0]
    assert one["files"] == []
    with pytest.raises(UseError, match="can't be put"):
        orders.tell(orders.errands.put_beside, number)
    assert orders.make("film") == number + 1


def test_there_is_an_end_to_what_waits(orders: Orders, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queue, "AT_ONCE", 0)
    for k in range(MOST):
        wish = {"file": "still", "stand": {**STAND, "opening": k + 1}}
        orders.errands.make(json.dumps(wish).encode())
    with pytest.raises(UseError, match="stop one of them first"):
        orders.make("guide")


@pytest.mark.parametrize(
    "wish",
    [
        {"file": "mesh"},
        {"file": "still", "chosen": {"size": "9000x9000"}},
        {"file": "still", "chosen": {"view": "nowhere"}},
        {"file": "still", "chosen": {"output": "../x.png"}},
        {"file": "pattern", "chosen": {"paper": "--screens=/"}},
        {"file": "still", "stand": {**STAND, "opening": 1e9}},
        {"file": "still", "stand": {**STAND, "eye": [0, 0, float("nan")]}},
        {"file": "still", "stand": {**STAND, "eye": STAND["target"]}},
        {"file": "still", "words": ["-o", "x"]},
    ],
)
def test_nothing_is_made_that_is_not_on_the_list(orders: Orders, wish: dict[str, Any]) -> None:
    with pytest.raises(UseError):
        orders.errands.make(json.dumps({"stand": STAND, **wish}).encode())
    assert orders.errands.news()["listed"] == []


@pytest.mark.night
def test_every_choice_is_one_of_the_command_line(call: Any) -> None:
    """argparse judges; a view is judged when the design has been read."""
    for kind in KINDS.values():
        for choice in kind.choices:
            for value in choice.options if choice.option and choice.key != "view" else ():
                if value == LEFT_OUT:
                    continue
                run = call(kind.command, "no.toml", *kind.words, f"{choice.option}={value}")
                assert "no.toml: there is no such file" in run.err, (kind.command, value, run.err)


# ---------------------------------------------------------------------- the real thing


def test_a_still_is_what_the_page_sees(design: Path) -> None:
    """Judge: the camera of the page itself, projected with plain trigonometry."""
    text, name = here_in(design.read_text(), _stand())
    found = spread.read(design, text=text)
    motion = found.solve(np.radians([118.0]))
    camera = shot_of(found, motion, (640, 480), name).camera
    assert camera.eye == pytest.approx(STAND["eye"], abs=0.01)
    assert camera.target == pytest.approx(STAND["target"], abs=0.01)
    middle = camera.project(np.array([STAND["target"]]), (640, 480))[0]
    assert middle == pytest.approx([320, 240], abs=0.1)
    errands = Errands(design, lambda made: design.read_text())
    orders = Orders(errands)
    number = orders.make("still", size="640x480", quality="draft")
    one = orders.wait(number, "ready", "failed")
    assert (one["condition"], one["said"]) == ("ready", [])
    path = errands.file_at(one["files"][0]["address"])
    assert path is not None
    assert one["files"][0]["name"] == "tulip-118.png"
    assert Image.open(path).size == (640, 480)
    folder = path.parents[2]
    errands.close()
    assert not folder.exists()


def _stand() -> Standpoint:
    return Standpoint.model_validate(STAND)


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
def test_a_view_is_kept_in_the_unit_of_the_file(design: Path, unit: str) -> None:
    text = f'units = "{unit}"\n[spread]\npage = "A5"\n'
    kept = Kept(made="", name=" my  corner ", stand=_stand())
    for change in keep(text, spread.read(design, text=text, blank=True), kept):
        text = change.apply(text)
    shot = spread.read(design, text=text, blank=True).design.shots["my corner"]
    assert shot.eye == pytest.approx(STAND["eye"], abs=0.006)
    assert shot.target == pytest.approx(STAND["target"], abs=0.006)
    assert np.degrees([shot.field, shot.to_opening]) == pytest.approx([27, 118])


@pytest.mark.parametrize(
    ("name", "reason"),
    [("reader", "every design has"), ("-x", "no name"), ("a,b", "no name"), ("plan", "film plan")],
)
def test_a_view_has_a_name_of_its_own(design: Path, name: str, reason: str) -> None:
    text = design.read_text() + "[shots.plan]\n"
    with pytest.raises(UseError, match=reason):
        keep(text, spread.read(design, text=text), Kept(made="", name=name, stand=_stand()))


@POSIX
def test_a_process_ends_with_the_server_that_started_it(design: Path) -> None:
    """The server is killed: nobody holds the other end of the line any more."""
    words = [*queue.PROGRAM, str(design.parent), "film", design.name, "--seconds=120", "--jobs=1"]
    process = subprocess.Popen(
        words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, start_new_session=True
    )
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdout.readline()  # it works
    process.stdin.close()
    assert process.wait(timeout=60) != 0
    process.stdout.close()
    assert not list(design.parent.glob("renders/*"))


def asked(server: Server, method: str, path: str, **headers: str) -> Any:
    line = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=20)
    line.request(method, path, headers=headers)
    answer = line.getresponse()
    data = answer.read()
    line.close()
    return answer, data


def test_only_the_page_asks_and_only_what_was_made_is_handed_out(
    orders: Orders, design: Path
) -> None:
    watcher = Watcher(lambda: Build({"title": "t", "live": False}, (design,)))
    answers = orders.errands.answers()
    server = Server(watcher, 0, answers, made=orders.errands)
    wish = json.dumps({"file": "still", "stand": STAND}).encode()
    with running(server):
        for changed in ({SECRET_HEADER: None}, {"Origin": "https://elsewhere.example"}):
            for address in answers:
                assert posted(server, address, wish, changed)[0] == 403
        assert orders.errands.news()["listed"] == []
        status, data = posted(server, "/files/make", wish, {})
        assert (status, json.loads(data)["number"]) == (200, 1)
        found = orders.wait(1, "ready")["files"]
        address = next(file["address"] for file in found if file["name"] == "still.png")
        answer, data = asked(server, "GET", address)
        assert (answer.status, data) == (200, b"a picture")
        assert answer.getheader("Content-Disposition") == "attachment; filename*=UTF-8''still.png"
        assert asked(server, "HEAD", address)[1] == b""
        assert asked(server, "GET", address, Host="elsewhere")[0].status == 403
        headers = {"Sec-Fetch-Site": "cross-site"}
        assert asked(server, "GET", address, **headers)[0].status == 403
        for wrong in (
            "/made/",
            "/made/x",
            f"{address}x",
            address.removeprefix("/made"),
            "/made/..",
        ):
            assert asked(server, "GET", wrong)[0].status == 404
        assert server.told(watcher.state)["files"]["listed"][0]["number"] == 1
        posted(server, "/files/away", b'{"number": 1}', {})
        assert asked(server, "GET", address)[0].status == 404
        assert posted(server, "/files/away", b'{"number": 1}', {})[0] == 422
        watcher.stop()
