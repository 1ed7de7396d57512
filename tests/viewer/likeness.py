"""How alike the picture of a page and a still of the same camera are."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import numpy as np
from PIL import Image

from meshes.spread import Spread
from preview.drawing.render import renderer
from preview.films.film import shot_of
from preview.shot.camera import Camera
from tests.bench.colour_difference import ciede2000, lab

# From the reader's place, mm and degrees, for notebooks of A5.
EYE, TARGET, FIELD_DEG = (55.0, -640.0, 430.0), (-4.0, 88.0, 46.0), 19.0


def address(opening: float) -> str:
    """What makes a page stand there."""
    eye, target = (",".join(map(str, point)) for point in (EYE, TARGET))
    return f"#opening={opening}&eye={eye}&target={target}&field={FIELD_DEG}"


def seen(page: Any) -> np.ndarray:
    """What a page shows where nothing covers it, its light settled: uint8, shape (h, w, 3)."""
    page.evaluate("foldstage.settled()")
    area = page.evaluate("foldstage.area()")
    # Labels over the picture are none of it.
    page.evaluate(
        "() => document.querySelectorAll('body *').forEach((one) =>"
        " { one.style.visibility = one.tagName === 'CANVAS' ? 'visible' : 'hidden'; })"
    )
    clip = {"x": area["left"], "y": area["top"], "width": area["width"], "height": area["height"]}
    with Image.open(io.BytesIO(page.screenshot(clip=clip))) as picture:
        return np.asarray(picture.convert("RGB"))


def drawn(spread: Spread, opening: float, size: tuple[int, int], **settings: Any) -> np.ndarray:
    """The still of the same camera: uint8, shape (h, w, 3)."""
    motion = spread.solve(np.radians([opening]))
    wanted = {"quality": "still", "engine": "ray", **settings}
    filming = shot_of(spread, motion, size, **wanted)
    camera = Camera(EYE, TARGET, float(np.radians(FIELD_DEG)))
    filming = replace(filming, cameras=(camera,))
    engine = renderer(filming.engine)
    try:
        return filming.draw(0, engine)
    finally:
        engine.close()


def difference(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """CIEDE2000 of each pixel of two pictures."""
    return ciede2000(lab(one / 255.0), lab(other / 255.0))
