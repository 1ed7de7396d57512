"""Paper hides what lies under it: what is drawn at each pixel against rays cast by another library.

The page tells which piece it has drawn at a pixel and the ray on which that pixel is seen; trimesh
(with Embree) casts that ray at slabs of paper that stand as the solver says.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from meshes import designs, spread
from meshes.curl import bent
from meshes.linkage import Part
from meshes.spread import Spread
from preview.drawing.book import tilt_of
from preview.drawing.scene import book_of
from preview.viewer.page import save
from preview.viewer.payload import quick_payload

OPENINGS_DEG = (60.0, 131.0, 178.0)
EVERY_PIXELS = 5
# The page of the notebook lies this far under its own plane, so that flat paper on it is drawn.
PAGE_DROP_MM = 0.06
# The order of paper in one plane may take what is this much nearer for hidden: less than a sheet.
DEEPER_MM = 0.08
# Two corners of an edge may be off by half as much each. Source: OpenGL ES 3.0, SUBPIXEL_BITS is at
# least 4; from memory.
ROUNDED_PX = 2 / 16


@pytest.fixture(scope="module")
def seasons() -> Spread:
    return spread.read(designs.path("two-seasons"))


@pytest.fixture(scope="module")
def seasons_file(seasons: Spread, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("seasons") / "seasons.html"
    save(path, {**quick_payload(seasons, seasons.solve(np.radians(np.arange(181.0)))), "steps": []})
    return path


@pytest.fixture(scope="module")
def fox_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    fox = spread.read(designs.path("fox-in-the-grass"))
    path = tmp_path_factory.mktemp("fox") / "fox.html"
    save(path, {**quick_payload(fox, fox.solve(np.radians(np.arange(181.0)))), "steps": []})
    return path


@dataclass(frozen=True)
class Slabs:
    """Every facet as a slab of its caliper, rolled ones in strips, and the covers of the book."""

    mesh: trimesh.Trimesh
    owners: np.ndarray

    def hidden(self, drawn: np.ndarray, rays: np.ndarray) -> np.ndarray:
        """Where the drawn piece is hidden by something nearer on its ray, shape (n,)."""
        first = self.mesh.ray.intersects_first(rays[:, :3], rays[:, 3:])
        found = np.where(first >= 0, self.owners[first], "") != drawn
        found[found] = self._deeper(drawn[found], rays[found])
        return found

    def _deeper(self, drawn: np.ndarray, rays: np.ndarray) -> np.ndarray:
        first, own = self.depths(drawn, rays)
        return own > first + DEEPER_MM

    def depths(self, drawn: np.ndarray, rays: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """How far on its ray the nearest paper is, and the drawn piece, shapes (n,), mm."""
        triangles, numbers, places = self.mesh.ray.intersects_id(
            rays[:, :3], rays[:, 3:], multiple_hits=True, return_locations=True
        )
        away = np.einsum("ij,ij->i", places - rays[numbers, :3], rays[numbers, 3:])
        first, own = np.full((2, len(rays)), np.inf)
        np.minimum.at(first, numbers, away)
        mine = self.owners[triangles] == drawn[numbers]
        np.minimum.at(own, numbers[mine], away[mine])
        return first, own


def slab(part: Part) -> trimesh.Trimesh:
    """A facet in the frame of its body; what is printed on it lies within."""
    is_page = part.sheet.piece == "page"
    thick = 0.5 if is_page else part.sheet.paper.caliper
    low = part.height - PAGE_DROP_MM - thick if is_page else part.height - thick / 2
    solid = trimesh.creation.extrude_polygon(part.polygon, thick)
    return solid.apply_translation([0, 0, low])


def all_slabs(made: Spread, openings_deg: Sequence[float]) -> Iterator[Slabs]:
    """The slabs of a spread at each opening."""
    seen = bent(made, made.solve(np.radians(openings_deg)))
    linkage, motion = seen.linkage, seen.motion
    book = book_of(made)
    across = book.width + book.overhang - book.groove
    reach = [across, book.height + 2 * book.overhang, book.board]
    solids, boards = [], []
    for b, body in enumerate(linkage.bodies):
        # What lies under clear film is seen through it.
        paper = [part for part in body.parts if not part.sheet.paper.clear]
        solids += [(b, part.sheet.piece, slab(part)) for part in paper]
        if b < 2:
            boards.append(len(solids))
            solids.append((b, "page", trimesh.creation.box(reach)))
    owners = np.repeat([piece for _, piece, _ in solids], [len(s.faces) for *_, s in solids])
    for k, opening in enumerate(motion.openings):
        poses = np.tile(np.eye(4), (len(linkage.bodies), 1, 1))
        poses[:, :3, :3], poses[:, :3, 3] = motion.rotations[k], motion.translations[k]
        poses[:, 2, 3] += book.lift(float(opening))
        here = [solid.copy() for *_, solid in solids]
        begins = book.hinge(tilt_of(float(opening)))
        for b, number in enumerate(boards):
            middle = [(-1, 1)[b] * (begins + across / 2), book.height / 2]
            here[number].apply_translation([*middle, -book.block - book.board / 2])
        posed = [one.apply_transform(poses[b]) for one, (b, *_) in zip(here, solids, strict=True)]
        yield Slabs(trimesh.util.concatenate(posed), owners)


def wrong(page: Any, solids: Slabs, points: np.ndarray) -> list[tuple[str, float, float]]:
    """Pieces that the page draws at points, in pixels, where paper hides them.

    A pixel on an edge may show either side of it: rays a pixel to each side must agree, and those
    through its corners, since a tip can lie between them; and those next to its middle, since
    corners of triangles are rounded to a sixteenth of a pixel before they are drawn. Two sheets are
    rounded apart, which counts where they are seen edge-on: the nearest of one is compared with the
    farthest of the other.
    """

    def looked(where: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        # As text, for the driver takes long for many numbers.
        text = page.evaluate(
            "(points) => JSON.stringify(foldstage.drawnAt(JSON.parse(points)))",
            json.dumps(where.tolist()),
        )
        found = json.loads(text)
        return np.array(found["pieces"]), np.array(found["rays"])

    drawn, rays = looked(points)
    assert len(set(drawn)) > 12  # there is much to see
    paper = drawn != ""
    points, drawn, rays = points[paper], drawn[paper], rays[paper]
    bad = solids.hidden(drawn, rays)
    corners, rounded = (
        [[x, y] for x in (-far, far) for y in (-far, far)] for far in (0.5, ROUNDED_PX)
    )
    for shift in ([1, 0], [-1, 0], [0, 1], [0, -1], *corners, *rounded):
        if bad.any():
            bad[bad] = solids.hidden(drawn[bad], looked(points[bad] + shift)[1])
    if bad.any():
        first, own = zip(
            *(solids.depths(drawn[bad], looked(points[bad] + shift)[1]) for shift in rounded),
            strict=True,
        )
        bad[bad] = np.min(own, axis=0) > np.max(first, axis=0) + DEEPER_MM
    return [(str(piece), *place) for piece, place in zip(drawn[bad], points[bad], strict=True)]


def test_no_paper_shines_through_paper(open_page: Any, seasons: Spread, seasons_file: Path) -> None:
    page = open_page(f"{seasons_file.as_uri()}#opening=60&draft")
    # The window without the panel on its right.
    grid = np.mgrid[0 : 860 - 340 : EVERY_PIXELS, 60:420:EVERY_PIXELS].reshape(2, -1).T + 0.5
    found = {}
    for degrees, solids in zip(OPENINGS_DEG, all_slabs(seasons, OPENINGS_DEG), strict=True):
        page.evaluate("(opening) => foldstage.open(opening)", degrees)
        found[degrees] = wrong(page, solids, grid)
    assert not any(found.values()), found


@pytest.mark.parametrize(
    ("width", "height"),
    [
        pytest.param(390, 844, id="phone"),
        pytest.param(640, 400, id="1280 × 800 at 200 %", marks=pytest.mark.night),
        pytest.param(840, 600, id="1680 × 1200 at 200 %", marks=pytest.mark.night),
        pytest.param(960, 540, id="1920 × 1080 at 200 %"),
    ],
)
def test_nothing_covers_the_spread(open_page: Any, fox_file: Path, width: int, height: int) -> None:
    """Neither the hint nor what one operates: no piece and no page is drawn under any of them.

    At 200 % a browser lays a page out for half as many pixels.
    """
    page = open_page(f"{fox_file.as_uri()}#draft=0.25", width=width, height=height)
    assert page.locator("#hint.shown").count() == 1
    boxes = {
        name: page.locator(name).bounding_box()
        for name in ("h1", ".looks", "#hint", "#hands", "#opening", "#drawer")
        if page.is_visible(name)
    }
    assert len(boxes) >= 5
    points = {
        name: [
            [box["x"] + u * (box["width"] - 1) + 0.5, box["y"] + v * (box["height"] - 1) + 0.5]
            for u in np.linspace(0, 1, 30)
            for v in np.linspace(0, 1, 12)
        ]
        for name, box in boxes.items()
    }
    whole = [[x + 0.5, y + 0.5] for x in range(0, width, 5) for y in range(0, height, 5)]
    found = json.loads(
        page.evaluate(
            "(points) => JSON.stringify(foldstage.drawnAt(JSON.parse(points)).pieces)",
            json.dumps([*whole, *(point for own in points.values() for point in own)]),
        )
    )
    spread_at = np.array([p for p, piece in zip(whole, found, strict=False) if piece])
    assert np.ptp(spread_at[:, 0]) > (0.75 if height > width else 0.4) * width
    rest = found[len(whole) :]
    for name, own in points.items():
        covered, rest = set(rest[: len(own)]) - {""}, rest[len(own) :]
        assert not covered, f"{name} covers {covered}"
