"""A whole spread made by hand alone, from a blank notebook, with a mouse or a finger.

Every press of the pointer, every line that is typed and every file that is chosen is a gesture;
they are counted. The judge is the check, which knows nothing of the page.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from meshes import spread
from meshes.check import case_of, report
from preview.viewer.prints import prints

from .test_cutting import scan
from .tugging import Fingers

# From the blank notebook to the spread that is told of below, as FIRST_STEPS.md says.
GESTURES = 16
WINDOW = {"width": 1440, "height": 900}


def hills() -> bytes:
    """A scan of two hills and a sun, painted on white paper."""
    image = Image.new("RGB", (420, 280), "#fbfaf5")
    draw = ImageDraw.Draw(image)
    draw.rectangle((24, 24, 396, 256), fill="#cfe2ec")
    draw.ellipse((280, 50, 340, 110), fill="#f0b84a")
    draw.pieslice((-60, 130, 300, 400), 180, 360, fill="#8fae6b")
    draw.pieslice((160, 150, 520, 420), 180, 360, fill="#6f9457")
    for box in ((0, 0, 24, 280), (396, 0, 420, 280), (0, 256, 420, 280)):
        draw.rectangle(box, fill="#fbfaf5")
    data = io.BytesIO()
    image.save(data, "PNG")
    return data.getvalue()


class Hand:
    """A mouse or a finger, and a keyboard, that count what they do.

    Parameters
    ----------
    page : of Playwright, or of :class:`tests.viewer.firefox.Firefox`.
    """

    def __init__(self, page: Any, touch: bool = False) -> None:
        self.page, self.touch, self.gestures = page, touch, 0
        self.fingers = Fingers(page, touch)

    def tap(self, what: str) -> None:
        if self.touch:
            self.page.tap(what)
        else:
            self.page.click(what)
        self.gestures += 1

    def draw(self, what: str, body: str, x: float, y: float) -> None:
        """Draw something out and let it go over a point of a body, mm."""
        self.page.wait_for_selector(what)
        box = self.page.evaluate(
            f"(() => {{ const one = document.querySelector({what!r}); "
            "one.scrollIntoView({ block: 'nearest' }); const box = one.getBoundingClientRect(); "
            "return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        where = f"foldstage.bodyPoint('{body}', [{x}, {y}, 0])"
        self.fingers.drag(np.array(box), np.array(self.page.evaluate(where)))
        # The spread may have made room meanwhile.
        self.fingers.move(np.array(self.page.evaluate(where)))
        self.fingers.release()
        self.gestures += 1

    def lays(self, kind: str, name: str, body: str, x: float, y: float) -> None:
        """Take a piece out of the drawer and lay it down."""
        self.draw(f"#paper [data-kind={kind}]", body, x, y)
        self.page.wait_for_selector(f"[data-piece={name}]")

    def chooses(self, name: str, data: bytes) -> None:
        """Have a file lie on the light table."""
        with self.page.expect_file_chooser() as choosing:
            self.tap("#drawing-open")
        choosing.value.set_files({"name": name, "mimeType": "image/png", "buffer": data})
        self.gestures += 1
        self.page.wait_for_selector("#light-table .look img:visible")

    def writes(self, words: str, body: str, x: float, y: float) -> None:
        """Two taps on the paper, words, Enter."""
        at = self.page.evaluate(f"foldstage.bodyPoint('{body}', [{x}, {y}, 0])")
        if self.touch:
            for _ in range(2):
                self.fingers.press(np.array(at))
                self.fingers.release()
        else:
            self.page.mouse.dblclick(*at)
        self.page.wait_for_selector("#letters:visible")
        self.page.keyboard.type(words)
        self.page.keyboard.press("Enter")
        self.gestures += 2
        self.page.wait_for_selector("[data-piece=words]")


def make(hand: Hand) -> None:
    """From a blank notebook: a flower, a strip, leaves, two drawings and words."""
    hand.tap("#paper-open")
    hand.lays("layered-blossom", "layered-blossom", "page.right", 3, 160)
    hand.lays("carrier", "carrier", "page.right", 3, 72)
    hand.lays("leaf", "leaf", "page.left", -112, 60)
    hand.lays("leaf", "leaf-2", "page.right", 118, 60)
    hand.lays("leaf", "leaf-3", "page.right", 112, 150)
    hand.chooses("robin.png", scan())
    hand.tap("#light-table label >> text=Cut out, stand up")
    hand.draw("#light-table .look", "page.right", 33, 72)
    hand.page.wait_for_selector("[data-piece=robin]")
    hand.chooses("hills.png", hills())
    hand.tap("#light-table label >> text=Printed as it is")
    hand.draw("#light-table .look", "page.left", -95, 160)
    hand.page.wait_for_selector("[data-piece=hills]")
    hand.writes("in the garden", "page.left", -75, 24)
    assert hand.gestures == GESTURES


def judge(file: Path) -> None:
    """The check finds no problem, and all is there and stands where it was laid."""
    made = spread.read(file)
    assert [f.text for f in report(case_of(made)).findings if f.severity == "problem"] == []
    pieces: Any = made.design.pieces
    assert len(pieces["layered-blossom"].layers) == 2
    assert pieces["layered-blossom"].on == "gutter"
    assert (pieces["robin"].kind, pieces["robin"].on) == ("v-fold", "carrier.crease")
    assert [name for name in pieces if name.startswith("leaf")] == ["leaf", "leaf-2", "leaf-3"]
    assert {p["piece"] for p in prints(made)} == {"robin", "hills", "words"}
    assert [p["text"] for p in prints(made) if "text" in p] == ["in the garden"]
