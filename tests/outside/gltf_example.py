"""A small spread with a closed form, which judges what the solver has no part in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from meshes.linkage import Linkage, link
from meshes.motion.result import Motion
from meshes.sheet import Fold, Join, Paper, Placement, Sheet, cut

CARD = Paper("card", 200.0, 0.25, "#fffdf6", "#e8e0d0")
WIDTH, HEIGHT = 105.0, 148.0
FOOT_Y, RIDGE = 40.0, 70.0


def page_sheet() -> Sheet:
    outline = shapely.box(-WIDTH, 0, WIDTH, HEIGHT)
    gutter = Fold("gutter", (0.0, 0.0), (0.0, HEIGHT), -1)
    facets, crossings = cut(outline, [gutter], {"left": (-1.0, 1.0), "right": (1.0, 1.0)})
    return Sheet("page", "page", CARD, "#f6efe0", "#f6efe0", facets, crossings)


@dataclass(frozen=True)
class VFold:
    """A symmetric V-fold on the gutter whose feet are glued on the pages.

    Its pose follows from spherical trigonometry: with the pages tilted by t = (180° - opening) / 2
    the right glue crease points along c = (sin a cos t, cos a, sin a sin t), the ridge along
    r = (0, cos g, sin g), and the angle between them stays b.

    Parameters
    ----------
    a : angle of the glue creases to the gutter, radians.
    b : angle of the glue creases to the ridge on the paper, radians.
    """

    a: float = np.radians(45)
    b: float = np.radians(60)

    @property
    def linkage(self) -> Linkage:
        piece = self._piece()
        turn = self.b - self.a
        joins = [
            Join("fan.tab-right", "page.right", Placement(turn, (0.0, FOOT_Y))),
            Join("fan.tab-left", "page.left", Placement(-turn, (0.0, FOOT_Y))),
        ]
        return link([page_sheet(), piece], joins)

    def _piece(self) -> Sheet:
        """The apex at the origin, the ridge along +y, tabs beyond the glue creases."""
        s, c = np.sin(self.b), np.cos(self.b)
        along, out = np.array([s, c]), np.array([c, -s])
        right = [10 * along + 8 * out, 50 * along + 8 * out, 60 * along]
        left = [point * [-1.0, 1.0] for point in reversed(right)]
        outline = Polygon([(0.0, 0.0), *right, (0.0, RIDGE), *left])
        folds = [
            Fold("foot-right", (0.0, 0.0), (60 * s, 60 * c), -1),
            Fold("foot-left", (0.0, 0.0), (-60 * s, 60 * c), -1),
            Fold("ridge", (0.0, 0.0), (0.0, RIDGE), 1),
        ]
        labels = {"right": (5.0, 20.0), "left": (-5.0, 20.0)}
        middle = 30 * along + 2 * out
        labels["tab-right"] = (float(middle[0]), float(middle[1]))
        labels["tab-left"] = (-float(middle[0]), float(middle[1]))
        facets, crossings = cut(outline, folds, labels)
        return Sheet("fan", "fan", CARD, "#c8553d", "#f0d9b5", facets, crossings)

    def ridge(self, opening: np.ndarray) -> np.ndarray:
        """Elevation of the ridge over the gutter, radians."""
        tilt = (np.pi - opening) / 2
        up = np.sin(self.a) * np.sin(tilt)
        size = np.hypot(np.cos(self.a), up)
        return np.arctan2(up, np.cos(self.a)) + np.arccos(np.cos(self.b) / size)

    def solve(self, openings: np.ndarray) -> Motion:
        linkage = self.linkage
        names = [body.name for body in linkage.bodies]
        count = len(openings)
        rotations = np.zeros((count, len(names), 3, 3))
        translations = np.zeros((count, len(names), 3))
        for s, opening in enumerate(openings):
            for b, name in enumerate(names):
                rotations[s, b], translations[s, b] = self._pose(name, float(opening))
        return Motion(
            np.asarray(openings, float),
            np.ones(count, bool),
            rotations,
            translations,
            self._angles(linkage, rotations),
            np.zeros(count),
        )

    def _pose(self, name: str, opening: float) -> tuple[np.ndarray, np.ndarray]:
        tilt = (np.pi - opening) / 2
        if name.startswith("page"):
            return _about_y(-tilt if name == "page.right" else tilt), np.zeros(3)
        apex = np.array([0.0, FOOT_Y, 0.0])
        ridge = self.ridge(np.array([opening]))[0]
        up = np.array([0.0, np.cos(ridge), np.sin(ridge)])
        side = 1.0 if name == "fan.right" else -1.0
        crease = np.array(
            [
                side * np.sin(self.a) * np.cos(tilt),
                np.cos(self.a),
                np.sin(self.a) * np.sin(tilt),
            ]
        )
        across = side * (crease - up * np.cos(self.b)) / np.sin(self.b)
        return np.column_stack([across, up, np.cross(across, up)]), apex

    @staticmethod
    def _angles(linkage: Linkage, rotations: np.ndarray) -> np.ndarray:
        angles = np.zeros((len(rotations), len(linkage.hinges)))
        for h, hinge in enumerate(linkage.hinges):
            first, second = (
                rotations[:, b] @ f for b, f in zip(hinge.bodies, hinge.frames, strict=True)
            )
            n0, n1, along = first[:, :, 2], second[:, :, 2], first[:, :, 0]
            sine = np.einsum("si,si->s", np.cross(n0, n1), along)
            angles[:, h] = np.arctan2(sine, np.einsum("si,si->s", n0, n1))
        return angles


def _about_y(angle: float) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
