"""A page that shapes a design, a hand of real pointer events, and what the pixels meant.

How far a number should have gone is worked out apart from what is tested: the whole design is built
anew and solved from scratch with the number a little smaller and larger, and the page's own camera
says where the held point is seen then.
"""

from __future__ import annotations

import hashlib
import math
import threading
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from meshes import spread
from meshes.errors import DesignError
from meshes.motion.memory import Memory
from meshes.pull.choose import Pull, edit_path, grid, numbers, pulls
from meshes.pull.hold import Hold, take_hold
from meshes.pull.sketch import Sketch
from preview.viewer.desk import Desk
from preview.viewer.follow import Follower
from preview.viewer.server import Reply, Server
from preview.viewer.watch import Watcher
from tests.pull.pulling import StuckError, held, outermost, whole
from tests.viewer.serving import left, unchecked

PLACES = ("at", "x", "y", "from_foot")
OPENING = 110
STEPS = 4
# A hand goes no further than so many mm or degrees take the point, for a tent has no room for more,
# but always so many pixels that it surely pulls.
MOST, LEAST_PIXELS = 12, 10.0
_PATIENCE_MS = 20_000


@contextmanager
def served(file: Path, checked: bool = False) -> Iterator[Server]:
    """The server of a design file that a page may change, and whether it checks what is saved."""
    desk = Desk(file)
    follower = Follower(file, lambda: desk.fresh() or spread.read(file, blank=True))
    watcher = Watcher((follower if checked else unchecked(follower)).build)
    answers = {"/pull": Reply(follower.puller.answer), **desk.answers()}
    made = Server(watcher, answers=answers, desk=desk.news)
    thread = threading.Thread(target=made.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    watcher.start()
    try:
        yield made
    finally:
        left(made)
        watcher.stop()
        made.shutdown()
        thread.join()
        made.server_close()
        follower.close()
        desk.close()


@dataclass
class Fingers:
    """A hand on the page: a mouse, or one finger."""

    page: Any
    touch: bool = False

    def __post_init__(self) -> None:
        self._line = self.page.context.new_cdp_session(self.page) if self.touch else None

    def drag(self, start: np.ndarray, end: np.ndarray) -> None:
        """Press at one point of the window, and move to another; pixels."""
        self.press(start)
        for k in range(1, STEPS + 1):
            self._at("touchMove", start + (end - start) * k / STEPS)
        self.page.wait_for_timeout(30)

    def press(self, point: np.ndarray) -> None:
        self._at("touchStart", point)

    def move(self, point: np.ndarray) -> None:
        self._at("touchMove", point)

    def release(self) -> None:
        if self._line is None:
            self.page.mouse.up()
        else:
            self._line.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def _at(self, kind: str, point: np.ndarray) -> None:
        x, y = map(float, point)
        if self._line is None:
            self.page.mouse.move(x, y)
            if kind == "touchStart":
                self.page.mouse.down()
            return
        self._line.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]}
        )


def sort(pull: Pull) -> str:
    """Whether a number is a place, an angle or a length."""
    what = pull.number.bounds.what
    place = pull.number.path[-1] in PLACES and len(pull.number.path) == 3
    return "place" if what == "length" and place else what


def one_of_each(hold: Hold) -> dict[str, Pull]:
    """The place, the angle and the length that move the held point most."""
    best: dict[str, Pull] = {}
    own = [number for number in numbers(hold)[0] if number.given or len(number.path) == 3]
    for pull in pulls(hold, own):
        before = best.get(sort(pull))
        if before is None or np.linalg.norm(pull.way) > np.linalg.norm(before.way) + 1e-9:
            best[sort(pull)] = pull
    best.pop("number", None)
    return best


def take(file: Path, part: str, point: np.ndarray) -> Hold:
    """A point of the design as the file has it now."""
    tables = tomllib.loads(file.read_text())
    return held(Sketch(tables, spread.read(file)), part, point, OPENING)


def seen(page: Any, place: np.ndarray) -> np.ndarray:
    """Where a point of the spread is in the window, pixels."""
    return np.array(page.evaluate("(point) => foldstage.project(point)", place.tolist()))


def pulled(
    page: Any, fingers: Fingers, hold: Hold, pull: Pull, pixels: float
) -> tuple[Hold, np.ndarray]:
    """Pull a point so many pixels the way that a number moves it, and stay there.

    Returns
    -------
    What the hand holds indeed, since a mouse is at whole pixels only, and where that should be
    seen now, pixels.
    """
    start = seen(page, hold.place)
    way = seen(page, hold.place + pull.way / max(1e-9, float(np.linalg.norm(pull.way)))) - start
    end = np.round(start + way / np.linalg.norm(way) * pixels)
    fingers.drag(np.round(start), end)
    page.wait_for_selector("#tug:visible", timeout=_PATIENCE_MS)
    page.wait_for_function("() => foldstage.held() !== null")
    found = page.evaluate("foldstage.held()")
    x, y, z = found["local"]
    own = take_hold(
        hold.sketch, Memory(), hold.opening, {}, hold.grip.piece, found["body"], (x, y, z)
    )
    return own, end


def chosen(page: Any) -> str:
    """The number that follows now, as its path with dots."""
    return str(page.evaluate("foldstage.following().join('.')"))


def choose(page: Any, pull: Pull) -> None:
    """Go on with Tab until a number follows."""
    wanted = ".".join(edit_path(pull.number.path))
    for _ in range(30):
        if chosen(page) == wanted:
            return
        before = chosen(page)
        page.keyboard.press("Tab")
        page.wait_for_function("(path) => foldstage.following().join('.') !== path", arg=before)
    raise AssertionError(f"{wanted} is never offered")


def meant(page: Any, hold: Hold, pull: Pull, end: np.ndarray, value: float) -> float:
    """What the number should be for the held point to be seen nearest to a point of the window.

    By a parabola through the squared distances in pixels at three values round a given one; where
    the paper can't follow to one of them, to one side of it.
    """
    step = grid(pull.number, hold.sketch.units, fine=False)
    for steps in ((-1, 0, 1), (-2, -1, 0), (0, 1, 2)):
        values = value + step * np.array(steps, float)
        found = [_apart(page, hold, pull, one, end) for one in values.tolist()]
        if all(map(math.isfinite, found)):
            bend, slope, _ = np.polyfit(np.array(steps, float), found, 2)
            return float(value - step * slope / (2 * bend)) if bend > 1e-9 else math.nan
    raise AssertionError("the paper follows to no side")


def _apart(page: Any, hold: Hold, pull: Pull, value: float, end: np.ndarray) -> float:
    """How far from a point of the window the held point is seen, pixels squared; inf if nowhere."""
    try:
        place = whole(hold, {pull.number.path: value})
    except (StuckError, DesignError):  # it can't follow so far, or is no such piece any more
        return math.inf
    return float(((seen(page, place) - end) ** 2).sum())


def value_of(file: Path, pull: Pull) -> float:
    """The number in the file now."""
    node: Any = tomllib.loads(file.read_text())
    for key in pull.number.path:
        node = node[key]
    return float(node)


def with_number(text: str, old: float, new: float) -> set[str]:
    """All texts that come of putting one number in the place of another, once."""
    was, now = f"{old:g}", f"{new:g}"
    found = set()
    place = text.find(was)
    while place >= 0:
        found.add(text[:place] + now + text[place + len(was) :])
        place = text.find(was, place + 1)
    return found


def show(page: Any, file: Path, text: str) -> None:
    """Write a design from outside, and wait until the page shows it."""
    file.write_text(text)
    name = hashlib.sha256(text.encode()).hexdigest()[:16]
    page.wait_for_function("(made) => foldstage.made === made", arg=name)


def each_followed(page: Any, file: Path, most: float) -> Iterator[tuple[str, float]]:
    """A place, an angle and a length of the piece p are pulled by some pixels and undone.

    Yields
    ------
    What it is, and by how much the number is off, in mm or degrees; AssertionError above 0.5.
    """
    text = file.read_text()
    part, point = outermost(Sketch(tomllib.loads(text), spread.read(file)), "p", inwards=0.1)
    hold = take(file, part, point)
    for name, pull in one_of_each(hold).items():
        fingers, made = Fingers(page), page.evaluate("foldstage.made")
        # A number that lets it open less far has closed the book meanwhile.
        page.evaluate("(opening) => foldstage.open(opening)", OPENING)
        one = seen(page, hold.place + pull.way / 10) - seen(page, hold.place)
        far = MOST * 10 * float(np.linalg.norm(one))
        own, end = pulled(page, fingers, hold, pull, max(LEAST_PIXELS, min(most, far)))
        choose(page, pull)
        fingers.release()
        page.wait_for_selector("#tug.done")
        page.wait_for_function("(made) => foldstage.made !== made", arg=made)
        value = value_of(file, pull)
        off = value - meant(page, own, pull, end, value)
        further = value - math.copysign(grid(pull.number, own.sketch.units, fine=False), off)
        if abs(off) > 0.5 and _apart(page, own, pull, further, end) == math.inf:
            name, off = f"{name} (as far as it goes)", 0.0
        assert abs(off) <= 0.5, (name, pull.number.path, value, off)
        if pull.number.given:
            assert file.read_text() in with_number(text, pull.value, value)
        page.click("#tug >> text=Undo")
        page.wait_for_function("(made) => foldstage.made === made", arg=made)
        assert file.read_text() == text
        yield name, off
