"""Pictures of a spread at one opening with the offending place drawn in."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
import shapely

from meshes.check.case import Case
from meshes.check.facets import PAGE
from meshes.check.finding import Finding, Place
from meshes.check.poses import Pose
from preview.shot.camera import VIEWS, Camera

from .marks import marks

if TYPE_CHECKING:
    from preview.drawing.book import Book
    from preview.drawing.render import Engine
    from preview.drawing.scene import Scene, Surface

SIZE = (640, 480)
_ASPECT = SIZE[0] / SIZE[1]
# Views tried, the reader's first: another one must show the place much better to be taken.
_VIEWS = ("reader", "right-corner", "left-corner", "low", "overhead")
# Share of the picture's side that is left free round the pieces concerned.
_FREE = (0.12, 0.12)
# So much of what lies round the place is in the picture as well.
_AROUND_MM = 32.0
# Front and back of the pieces concerned, the one to change first, and of all others.
_TINTS = (("#e3a63f", "#c98a2b"), ("#5f97b4", "#477c98"), ("#8fae6b", "#759353"))
_PALE = ("#f4f0e6", "#e9e4d8")


@dataclass(frozen=True)
class ReportStudio:
    """What pictures of one spread need.

    Parameters
    ----------
    engine : see ``preview.drawing.render``.
    """

    case: Case
    book: Book
    engine: Engine

    def picture(self, finding: Finding) -> str:
        """An HTML figure of a finding with a place, drawn at the opening of that place."""
        place = finding.place
        assert place is not None
        concerned = _concerned(finding)
        scene = self._scene(place, concerned)
        lift = np.array([0.0, 0.0, self.book.lift(float(np.radians(place.opening_deg)))])
        spots = np.array(place.points) + lift
        camera = self._camera(finding, spots, lift)
        pixels = self.engine.draw(scene.lit_for(camera.azimuth), camera, SIZE, "film")
        flat = camera.project(spots, SIZE)
        points = [(float(x), float(y)) for x, y in flat if np.isfinite(x)]
        return _figure(pixels, marks(place, points) if points else "", _caption(place, concerned))

    def _scene(self, place: Place, concerned: Sequence[str]) -> Scene:
        """The spread in one pose; the pieces concerned are tinted, all others pale."""
        from preview.drawing.scene import assemble

        case, stage = self.case.seen_at(place)
        bodies = np.arange(len(case.linkage.bodies))
        pose = case.poses.at(np.full(len(bodies), stage), bodies)
        opening = float(np.radians(place.opening_deg))
        scene = assemble(case.linkage, self.book, opening, pose.rotation, pose.translation)
        return replace(scene, surfaces=tuple(_tinted(s, concerned) for s in scene.surfaces))

    def _camera(self, finding: Finding, spots: np.ndarray, lift: np.ndarray) -> Camera:
        """The view that shows the place best, framed on the pieces concerned."""
        assert finding.place is not None
        names = _concerned(finding)
        case, stage = self.case.seen_at(finding.place)
        shown = [
            case.corners(k, stage) + lift
            for k, piece in enumerate(case.facets.pieces)
            if piece in names and not case.facets.is_page(k)
        ]
        around = spots.mean(axis=0) + _AROUND_MM * np.array(list(product((-1, 1), repeat=3)))
        points = np.concatenate([*shown, spots, around])
        cameras = [VIEWS[name].frame(points, _ASPECT, _FREE) for name in _VIEWS]
        middle = spots.mean(axis=0)
        hidden = [
            _in_front(case, stage, np.array(camera.eye) - lift, middle - lift) for camera in cameras
        ]
        return cameras[int(np.argmin(hidden))]


def _concerned(finding: Finding) -> list[str]:
    """Names of the pieces in a finding, the one to change first."""
    names = [finding.piece, *(part.partition(".")[0] for part in finding.parts)]
    return [name for name in dict.fromkeys(names) if name and name != PAGE]


def _tinted(surface: Surface, concerned: Sequence[str]) -> Surface:
    piece = surface.name.partition(".")[0]
    if surface.material not in ("paper", "film") or piece == PAGE:
        return surface
    which = concerned.index(piece) if piece in concerned else None
    front, back = _PALE if which is None else _TINTS[min(which, len(_TINTS) - 1)]
    return replace(surface, front=front, back=back, front_picture=None, back_picture=None)


def _in_front(case: Case, opening: float, eye: np.ndarray, spot: np.ndarray) -> int:
    """How many facets lie between an eye and a spot, both in the frame of the motion, mm."""
    pose = case.poses.at(np.full(len(case.facets), opening), case.facets.body)
    count = 0
    for facet, polygon in enumerate(case.facets.polygons):
        own = Pose(pose.rotation[facet], pose.translation[facet])
        from_eye = (eye - own.translation) @ own.rotation
        to_spot = (spot - own.translation) @ own.rotation
        fall = from_eye[2] - to_spot[2]
        if abs(fall) < 1e-9 or from_eye[2] * to_spot[2] > 0:
            continue
        share = from_eye[2] / fall
        at = from_eye[:2] + share * (to_spot[:2] - from_eye[:2])
        # The facets that meet at the spot do not hide it.
        if share < 0.995 and shapely.contains_xy(polygon, at[0], at[1]):
            count += 1
    return count


def _caption(place: Place, concerned: Sequence[str]) -> str:
    swatches = "".join(
        f'<span class="swatch" style="background:{_TINTS[min(k, len(_TINTS) - 1)][0]}"></span>'
        f"{escape(name)} "
        for k, name in enumerate(concerned[: len(_TINTS)])
    )
    turned = (
        f", {escape(place.turned[0])} turned to {place.turned[1]:z.0f}°" if place.turned else ""
    )
    if place.moved:
        turned = f", {escape(place.moved[0])} at {100 * place.moved[1]:z.0f} % of its way"
    return f"{swatches}at {place.opening_deg:z.0f}° opening{turned}"


def _figure(pixels: np.ndarray, overlay: str, caption: str) -> str:
    from PIL import Image

    data = io.BytesIO()
    Image.fromarray(pixels).save(data, "JPEG", quality=88, subsampling=0)
    image = base64.b64encode(data.getvalue()).decode()
    width, height = SIZE
    return (
        f'<figure><div class="picture"><img alt="the place" width="{width}" height="{height}" '
        f'src="data:image/jpeg;base64,{image}"/>'
        f'<svg viewBox="0 0 {width} {height}" xmlns="http://www.w3.org/2000/svg">{overlay}</svg>'
        f"</div><figcaption>{caption}</figcaption></figure>"
    )
