"""The README's picture of left and right, front and back: a labelled specimen from both sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ..drawing import lettering
from ..shot.camera import Camera, frame

if TYPE_CHECKING:
    from PIL import Image

    from meshes.linkage import Linkage
    from meshes.motion.result import Motion
    from meshes.spread import Spread

    from ..films.film import Filming

OPENING_DEG = 130.0
SIZE = (900, 760)
_FOOT = 84
_INK, _PALE = "#2b2622", "#fffaf0"
# Names are drawn larger and scaled down, for smooth edges.
_FINE, _TEXT = 3, 25
LEGEND = (
    ("#3b8a8c", "front: the printed side"),
    ("#e9a93c", "back"),
    ("", "arrows: the way a crease runs; x and y of a facet, on its back x is mirrored"),
)


@dataclass(frozen=True)
class Label:
    """A name with a line to what it names.

    Parameters
    ----------
    point : on the facet, in the coordinates of its sheet, mm.
    place : of the middle of the text in the picture, shares of its width and height.
    """

    text: str
    facet: str
    place: tuple[float, float]
    point: tuple[float, float]


@dataclass(frozen=True)
class Arrow:
    """A direction on a facet, from one point to another in the coordinates of its sheet, mm."""

    facet: str
    start: tuple[float, float]
    end: tuple[float, float]
    text: str = ""


@dataclass(frozen=True)
class Look:
    """One of the pictures: where from, radians, and what is written into it.

    Parameters
    ----------
    near : these pieces are in the picture, with the gutter if it is looked at on the whole.
    """

    title: str
    azimuth: float
    elevation: float
    labels: tuple[Label, ...]
    arrows: tuple[Arrow, ...]
    near: tuple[str, ...] = ()


LOOKS = (
    Look(
        "From the reader's place",
        np.radians(-84),
        np.radians(33),
        (
            Label("page.left", "page.left", (0.12, 0.45), (-66.0, 104.0)),
            Label("page.right", "page.right", (0.88, 0.45), (66.0, 104.0)),
            Label("tent.left", "tent.left", (0.17, 0.26), (-34.0, 14.0)),
            Label("tent.right", "tent.right", (0.84, 0.26), (34.0, 14.0)),
            Label("bud.left", "bud.left", (0.26, 0.135), (-7.0, 26.0)),
            Label("bud.right", "bud.right", (0.76, 0.135), (7.0, 26.0)),
            Label("fan.left", "fan.left", (0.15, 0.80), (-36.0, 22.0)),
            Label("fan.right", "fan.right", (0.85, 0.80), (46.0, 20.0)),
            Label("gutter", "page.left", (0.30, 0.93), (0.0, 22.0)),
            Label("fan.ridge", "fan.left", (0.70, 0.93), (0.0, 9.0)),
        ),
        (
            Arrow("page.left", (0.0, 8.0), (0.0, 44.0)),
            Arrow("fan.left", (0.0, 2.0), (0.0, 50.0)),
            Arrow("fan.right", (8.0, 18.0), (30.0, 18.0), "x"),
            Arrow("fan.right", (8.0, 18.0), (8.0, 44.0), "y"),
        ),
    ),
    Look(
        "From behind",
        np.radians(96),
        np.radians(33),
        (
            Label("page.right", "page.right", (0.12, 0.45), (66.0, 120.0)),
            Label("page.left", "page.left", (0.88, 0.45), (-66.0, 120.0)),
            Label("tent.right", "tent.right", (0.15, 0.80), (34.0, 18.0)),
            Label("tent.left", "tent.left", (0.85, 0.80), (-34.0, 18.0)),
            Label("bud.right", "bud.right", (0.16, 0.29), (9.0, 20.0)),
            Label("bud.left", "bud.left", (0.84, 0.29), (-9.0, 20.0)),
            Label("fan.right", "fan.right", (0.26, 0.135), (26.0, 44.0)),
            Label("fan.left", "fan.left", (0.78, 0.135), (-44.0, 22.0)),
            Label("gutter", "page.left", (0.30, 0.93), (0.0, 192.0)),
            Label("tent.ridge", "tent.left", (0.68, 0.93), (0.0, 28.0)),
        ),
        (
            Arrow("page.left", (0.0, 180.0), (0.0, 206.0)),
            Arrow("tent.left", (0.0, 2.0), (0.0, 34.0)),
            Arrow("fan.left", (-8.0, 26.0), (-27.0, 26.0), "x"),
            Arrow("fan.left", (-8.0, 26.0), (-8.0, 52.0), "y"),
        ),
    ),
)


def draw(
    spread: Spread,
    path: Path,
    looks: Sequence[Look] = LOOKS,
    opening_deg: float = OPENING_DEG,
    legend: Sequence[tuple[str, str]] = LEGEND,
) -> None:
    """Draw a specimen as several see it, with its names, side by side.

    Parameters
    ----------
    legend : colours and what they mean, below; without a colour, a remark.
    """
    from PIL import Image

    from .still import save

    motion = spread.solve(np.radians([opening_deg]))
    width, height = SIZE
    whole = Image.new("RGB", (len(looks) * width, height + _FOOT), _PALE)
    for k, look in enumerate(looks):
        whole.paste(_drawn(spread, motion, look), (k * width, 0))
    _legend(whole, legend)
    save(np.asarray(whole), path)


def _drawn(spread: Spread, motion: Motion, look: Look) -> Image.Image:
    from PIL import Image

    from ..drawing.render import renderer
    from ..films.film import shot_of

    shot = shot_of(spread, motion, SIZE, quality="still")
    shot = replace(shot, cameras=(camera_of(spread, motion, look),))
    engine = renderer(shot.engine)
    try:
        image = Image.fromarray(shot.draw(0, engine)).convert("RGBA")
    finally:
        engine.close()
    over = _written(shot, look).resize(SIZE, Image.Resampling.LANCZOS)
    return Image.alpha_composite(image, over).convert("RGB")


def camera_of(spread: Spread, motion: Motion, look: Look) -> Camera:
    """The camera near the pieces, with room for the names around and the gutter in front."""
    corners = [
        world(spread.linkage, motion, part.id, np.asarray(part.facet.polygon.exterior.coords))
        for body in spread.linkage.bodies
        for part in body.parts
        if (part.sheet.piece in look.near if look.near else not part.id.startswith("page."))
    ]
    if look.near:
        return frame(np.concatenate(corners), look.azimuth, look.elevation, SIZE[0] / SIZE[1])
    gutter = world(spread.linkage, motion, "page.left", np.array([[0.0, 6.0], [0.0, 204.0]]))
    aspect = SIZE[0] / SIZE[1]
    points = np.concatenate([*corners, gutter])
    return frame(points, look.azimuth, look.elevation, aspect, margins=(0.15, 0.17))


def world(linkage: Linkage, motion: Motion, facet: str, points: np.ndarray) -> np.ndarray:
    """Points of a facet in its sheet's coordinates, (n, 2), where they are in space, (n, 3), mm."""
    body, part = linkage.place(facet)
    flat = part.placement.apply(points)
    level = np.column_stack([flat, np.full(len(flat), part.height)])
    return level @ motion.rotations[0, body].T + motion.translations[0, body]


def _written(shot: Filming, look: Look) -> Image.Image:
    """All names and arrows of a picture on a clear ground, `_FINE` times as large."""
    from PIL import Image

    size = (_FINE * SIZE[0], _FINE * SIZE[1])
    image = Image.new("RGBA", size, (0, 0, 0, 0))

    def seen(facet: str, points: Sequence[tuple[float, float]]) -> np.ndarray:
        places = world(shot.linkage, shot.motion, facet, np.asarray(points, float))
        return shot.camera.project(places, size)

    for arrow in look.arrows:
        start, end = seen(arrow.facet, [arrow.start, arrow.end])
        _arrow(image, start, end, arrow.text)
    for label in look.labels:
        (spot,) = seen(label.facet, [label.point])
        _label(image, label.text, np.multiply(label.place, size), spot)
    lettering.write(image, look.title, (24 * _FINE, 46 * _FINE), 30 * _FINE, _INK, bold=True)
    return image


def _label(image: Image.Image, text: str, place: np.ndarray, spot: np.ndarray) -> None:
    """A name on a plate, with a line from the plate to a dot on what it names."""
    from PIL import ImageDraw

    pen = ImageDraw.Draw(image)
    x, y = place
    pen.line([(x, y), tuple(spot)], fill=_PALE, width=5 * _FINE)
    pen.line([(x, y), tuple(spot)], fill=_INK, width=2 * _FINE)
    for radius, colour in ((7, _PALE), (5, _INK)):
        pen.ellipse([*(spot - radius * _FINE), *(spot + radius * _FINE)], fill=colour)
    half = lettering.width(text, _TEXT * _FINE, bold=True) / 2 + 11 * _FINE
    high = 20 * _FINE
    plate = [x - half, y - high, x + half, y + high]
    pen.rounded_rectangle(plate, 9 * _FINE, fill=_PALE, outline=_INK, width=2 * _FINE)
    lettering.write(image, text, (x, y), _TEXT * _FINE, _INK, bold=True, anchor="mm")


def _arrow(image: Image.Image, start: np.ndarray, end: np.ndarray, text: str) -> None:
    """An arrow, pale with a dark edge; its name beyond its tip."""
    from PIL import ImageDraw

    pen = ImageDraw.Draw(image)
    along = (end - start) / np.linalg.norm(end - start)
    across = np.array([-along[1], along[0]])
    for grow, colour in ((2 * _FINE, _INK), (0, _PALE)):
        half = 9 * _FINE + 1.6 * grow
        tip, neck = end + 1.4 * grow * along, end - 20 * _FINE * along - 0.4 * grow * along
        pen.line(
            [tuple(start - grow * along), tuple(neck)], fill=colour, width=5 * _FINE + 2 * grow
        )
        pen.polygon([tuple(tip), tuple(neck + half * across), tuple(neck - half * across)], colour)
    if text:
        x, y = end + 16 * _FINE * along
        halo = [(np.cos(turn), np.sin(turn)) for turn in np.arange(0, 2 * np.pi, np.pi / 6)]
        for right, down in [(3.0 * _FINE * a, 3.0 * _FINE * b) for a, b in halo]:
            place = (x + right, y + down)
            lettering.write(image, text, place, 26 * _FINE, _PALE, bold=True, anchor="mm")
        lettering.write(image, text, (x, y), 26 * _FINE, _INK, bold=True, anchor="mm")


def _legend(whole: Image.Image, legend: Sequence[tuple[str, str]]) -> None:
    from PIL import ImageDraw

    pen = ImageDraw.Draw(whole)
    top, x = whole.height - _FOOT, 30.0
    for colour, text in legend:
        if colour:
            box = [x, top + 26, x + 34, top + 60]
            pen.rounded_rectangle(box, 6, fill=colour, outline=_INK, width=2)
            x += 46
        lettering.write(whole, text, (x, top + 52), 25, _INK)
        x += lettering.width(text, 25) + 40
