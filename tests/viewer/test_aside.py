"""Work beside the page is dropped, replaced and gone on with, and nobody ever waits for it."""

from __future__ import annotations

import os
import random
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from meshes import spread
from preview.viewer.aside import PATIENCE_S, Aside
from preview.viewer.follow import Follower
from preview.viewer.payload import curl_of
from preview.viewer.watch import State, Watcher
from tests.viewer.works import work

# Long enough for any computer; a test that works never waits for so long.
AT_MOST_S = 120.0
# More than any pipe of the system takes in at once (64 KB on Linux).
LARGE = bytes(4_000_000)
# The bench saves more often: see `bench_saves`.
SAVES, SEED = 20, 13


class Clock:
    """A clock that stands still until it is set."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def aside(clock: Clock) -> Iterator[Aside]:
    made = Aside(work, clock)
    yield made
    made.close()


def begin(aside: Aside, job: str) -> None:
    aside.begin(job, LARGE)  # type: ignore[arg-type]


def until(aside: Aside, wanted: Callable[[dict[str, Any]], bool]) -> list[dict[str, Any]]:
    """All news up to the first that is wanted."""
    found, end = [], time.monotonic() + AT_MOST_S
    while time.monotonic() < end:
        for part in aside.news():
            found.append(part)
            if wanted(part):
                return found
        time.sleep(0.005)
    raise AssertionError(f"not among the news: {found}")


def began(part: dict[str, Any]) -> bool:
    return "began" in part


@pytest.mark.parametrize("old", ["never ends", "floods"])
def test_new_work_takes_the_place_of_old_work_that_does_not_end(aside: Aside, old: str) -> None:
    """Both sides used to wait in a pipe for the other to read."""
    begin(aside, old)
    until(aside, began)
    for job in ("second", "third"):
        begin(aside, job)
    found = until(aside, lambda part: "done" in part)
    assert [part.get("began") for part in found] == ["third", None]


def test_one_process_does_one_piece_of_work_after_another(aside: Aside) -> None:
    processes = set()
    for job in ("first", "second"):
        begin(aside, job)
        processes |= {part.get("process") for part in until(aside, lambda part: "done" in part)}
        while aside._job is not None:
            list(aside.news())
    assert len(processes) == 2  # one, and None


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="nothing to stop a process with")
def test_a_process_that_gives_no_sign_of_life_is_replaced(aside: Aside, clock: Clock) -> None:
    begin(aside, "never ends")
    (first,) = until(aside, began)
    os.kill(first["process"], signal.SIGSTOP)
    list(aside.news())
    clock.now += PATIENCE_S + 1
    second = until(aside, began)[-1]
    assert second["began"] == "never ends"
    assert second["process"] != first["process"]
    with pytest.raises(ProcessLookupError):
        os.kill(first["process"], 0)


def test_work_that_kills_its_process_twice_is_given_up_and_said(aside: Aside) -> None:
    begin(aside, "dies")
    found = until(aside, lambda part: "trouble" in part)
    assert sum(began(part) for part in found) == 2
    assert found[-1]["checked"]
    assert "perhaps for lack of memory" in found[-1]["trouble"]
    begin(aside, "next")
    assert until(aside, lambda part: "done" in part)


def test_an_error_that_nobody_foresaw_is_said_in_one_line(
    aside: Aside, capfd: pytest.CaptureFixture[str]
) -> None:
    begin(aside, "fails")
    trouble = until(aside, lambda part: "trouble" in part)[-1]["trouble"]
    assert "ZeroDivisionError: no such" in trouble
    assert "\n" not in trouble
    begin(aside, "next")
    until(aside, lambda part: "done" in part)
    assert capfd.readouterr().err == ""


def follow(design: Path, saves: int, wait_s: float) -> tuple[State, str]:
    """Save a design at random moments while it is followed; the last state, and the last text."""
    random_ = random.Random(SEED)
    text = design.read_text()
    follower = Follower(design, lambda: spread.read(design))
    watcher = Watcher(follower.build)
    watcher.start()
    wanted = threading.Event()
    for _ in range(saves):
        wanted.wait(random_.uniform(0, wait_s))
        at = random_.uniform(60, 120)
        saved = text.replace("at = 84", f"at = {at:.6f}").replace("Tulip", f"Tulip {at:.6f}")
        design.write_text(saved)
    state, end = watcher.state, time.monotonic() + AT_MOST_S
    while not (state.scene["title"].startswith(f"Tulip {at:.6f}") and state.scene["checked"]):
        assert time.monotonic() < end, f"it shows {state.scene['title']}, not {at:.6f}"
        state = watcher.wait(state.news, 1.0)
    watcher.stop()
    follower.close()
    return state, f"{at:.6f}"


def test_every_save_is_followed_to_the_last(design: Path) -> None:
    state, last = follow(design, SAVES, 0.3)
    assert state.mistake == ""
    assert last in state.scene["title"]
    assert state.scene["steps"]


@pytest.mark.night
def test_the_building_is_planned_only_for_who_asks(design: Path) -> None:
    """Nothing is planned after a save, not even where the state before it was asked for."""
    follower = Follower(design, lambda: spread.read(design))
    watcher = Watcher(follower.build)
    watcher.start()

    def wait(done: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        state, end = watcher.state, time.monotonic() + AT_MOST_S
        while not done(state.scene):
            assert time.monotonic() < end
            state = watcher.wait(state.news, 1.0)
        while follower._aside._job is not None:
            watcher.wait(watcher.state.news, 0.1)
        return watcher.state.scene

    assert wait(lambda scene: scene["cured"])["course"] is None
    follower.plan(b"{}")
    scene = wait(lambda scene: scene["course"] is not None)
    assert len(scene["course"]) == len(scene["steps"])
    design.write_text(design.read_text().replace("Tulip", "Saved"))
    scene = wait(lambda scene: scene["title"].startswith("Saved") and scene["cured"])
    assert scene["course"] is None
    watcher.stop()
    follower.close()


# A blade whose rolled tip has less room the farther up it lies under the tulip.
ROLLED = """
[pieces.blade]
kind = "flat"
on = "page.right"
x = 30
y = {y}
front = "#6fa05b"
outline = {{ shape = "petal", length = 46, width = 18 }}
curl = [{{ facet = "art", line = [[-20, -12], [20, -12]], over = 30 }}]
"""


def test_curled_paper_is_shown_as_before_until_it_is_sure_how_far_it_curls(design: Path) -> None:
    text = design.read_text()
    design.write_text(text + ROLLED.format(y=60))
    follower = Follower(design, lambda: spread.read(design))
    before = follower.build().scene["curl"]
    assert before == curl_of(spread.read(design))
    design.write_text(text + ROLLED.format(y=80))
    built = follower.build()
    now, sure = built.scene["curl"], curl_of(spread.read(design))
    assert now == {**before, "strips": sure["strips"]} != sure
    found: list[dict[str, Any]] = []
    end = time.monotonic() + AT_MOST_S
    while not any("curl" in part for part in found):
        assert time.monotonic() < end
        found += built.news()
        time.sleep(0.02)
    follower.close()
    assert next(part["curl"] for part in found if "curl" in part) == sure
