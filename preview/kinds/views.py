"""The three pictures of a specimen: all but shut, seen without the left page; half open; open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from preview.drawing.render import Quality, renderer
from preview.drawing.scene import Scene, build
from preview.shot.camera import Camera, frame

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread

# Where one looks from: a little from the right, so that depths show. Our choice.
_AZIMUTH, _ELEVATION = np.radians(-72.0).item(), np.radians(32.0).item()
_SHUT_AZIMUTH, _SHUT_ELEVATION = np.radians(-84.0).item(), np.radians(58.0).item()
_HALF_DEG, _OPEN_DEG, _BY_HAND_DEG = 90.0, 180.0, 165.0  # our choice
# Quite shut, layers would lie in each other, since paper has no thickness while it moves. Our
# choice.
_SHUT_DEG, _SHUT_TITLE = 4.0, "shut, the left page taken away"
# As much of the pages as is shown round a piece, mm. Our choice.
_RIM_MM = 7.0
# How far a hand has moved the piece in the third picture: a flyleaf is half-way over. Our choice.
_MOVED = {"flyleaf": 0.5}


@dataclass(frozen=True, eq=False)
class SpecimenView:
    """A picture and what it shows.

    Parameters
    ----------
    pixels : shape (rows, columns, 3), uint8 sRGB.
    """

    title: str
    pixels: np.ndarray


def views(
    spread: Spread, size: tuple[int, int], quality: Quality = "still"
) -> tuple[SpecimenView, ...]:
    """Shut, half open and open; of what a hand moves: shut, open, and moved.

    Parameters
    ----------
    size : of each, width and height, pixels.
    """
    drives = spread.linkage.drives
    if drives:
        moved = {drive.name: _MOVED.get(drive.kind, 1.0 - drive.rest) for drive in drives}
        titles = (_SHUT_TITLE, f"open, {_BY_HAND_DEG:g}°", "moved by hand")
        motions = [
            spread.solve(np.radians([_SHUT_DEG])),
            spread.solve(np.radians([_BY_HAND_DEG])),
            spread.solve(np.radians([_BY_HAND_DEG]), moved),
        ]
    else:
        titles = (_SHUT_TITLE, f"half open, {_HALF_DEG:g}°", f"open, {_OPEN_DEG:g}°")
        openings = (_SHUT_DEG, _HALF_DEG, _OPEN_DEG)
        motions = [spread.solve(np.radians([opening])) for opening in openings]
    shut, *rest = motions
    scenes = [_shut(spread, shut), *(build(spread, motion, 0) for motion in rest)]
    aspect = size[0] / size[1]
    near = [_near(scene) for scene in scenes]
    standing = frame(np.concatenate(near[1:]), _AZIMUTH, _ELEVATION, aspect)
    lying = frame(near[0], _SHUT_AZIMUTH, _SHUT_ELEVATION, aspect)
    drawn = _drawn(scenes, (lying, standing, standing), size, quality)
    return tuple(SpecimenView(title, pixels) for title, pixels in zip(titles, drawn, strict=True))


def _drawn(
    scenes: list[Scene], cameras: tuple[Camera, ...], size: tuple[int, int], quality: Quality
) -> list[np.ndarray]:
    engine = renderer()
    try:
        return [
            engine.draw(scene.lit_for(camera.azimuth), camera, size, quality)
            for scene, camera in zip(scenes, cameras, strict=True)
        ]
    finally:
        engine.close()


def _shut(spread: Spread, motion: Motion) -> Scene:
    """The shut notebook on its right half, without the left one: what lies between them."""
    whole = build(spread, motion, 0, lying="right")
    left = ("page.left", "book.left-")
    seen = tuple(surface for surface in whole.surfaces if not surface.name.startswith(left))
    return replace(whole, surfaces=seen)


def _near(scene: Scene) -> np.ndarray:
    """Corners of the piece, and of the pages as far as they lie round it, shape (n, 3), mm."""
    corners, owner = scene.corners
    pages = [surface for surface in scene.surfaces if surface.name.startswith("page.")]
    names = np.array([s.name.startswith(("page.", "book.")) for s in scene.surfaces])
    own = corners[~names[owner]]
    found = [own]
    for page in pages:
        flat = (own - page.translation) @ page.rotation[:, :2]
        left, low, right, high = page.polygon.bounds
        # A page begins at the gutter; what stands on the other half lies beyond it.
        turn = 1.0 if right > -left else -1.0
        far = np.clip((turn * flat[:, 0]).max() + _RIM_MM, _RIM_MM, max(-left, right))
        side = turn * far
        foot = max(low, flat[:, 1].min() - _RIM_MM)
        head = min(high, flat[:, 1].max() + _RIM_MM)
        box = np.array([(0.0, foot), (side, foot), (side, head), (0.0, head)])
        found.append(box @ page.rotation[:, :2].T + page.translation)
    return np.concatenate(found)
