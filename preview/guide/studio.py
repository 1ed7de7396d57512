"""What the pictures of a guide are made of: the spread, its scenes, the steps to be drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from meshes.allowance import Allowed
from meshes.building import Step
from meshes.drive import in_order
from meshes.motion.result import Motion
from meshes.sheet import Sheet
from meshes.spread import Spread
from preview.drawing.render import Quality
from preview.drawing.scene import Scene, assemble, book_of
from preview.pattern.glue import GlueArea, glue_areas
from preview.shot.camera import Camera

# Loose pieces are shown at this opening, pieces that lie flat on one page nearly closed.
LOOSE_DEG, FLAT_DEG, OPEN_DEG, DONE_DEG = 110.0, 5.0, 180.0, 140.0
STAGES_DEG = (FLAT_DEG, LOOSE_DEG, DONE_DEG, OPEN_DEG)


@dataclass(frozen=True)
class GuideStudio:
    """What draws the pictures.

    Parameters
    ----------
    motion : its stages are those of `STAGES_DEG`.
    size : width and height, pixels.
    cut : the sheets as they are cut, if that is not as designed.
    turned : the same motion with flyleaves turned over to the other ways in which they can lie.
    """

    spread: Spread
    motion: Motion
    size: tuple[int, int]
    quality: Quality = "draft"
    mood: str = "daylight"
    cut: Allowed | None = None
    turned: tuple[Motion, ...] = ()

    @classmethod
    def of(cls, spread: Spread, size: tuple[int, int], **settings: Any) -> GuideStudio:
        """The studio of a spread, whose motions it solves; settings are further attributes."""
        openings = np.radians(STAGES_DEG)
        leaves = in_order([d for d in spread.linkage.drives if d.kind == "flyleaf"])
        turned = []
        for left in range(len(leaves) + 1 if leaves else 0):
            # So many leaves lie on the left page, the others on the right one.
            values = {leaf.name: float(k >= left) for k, leaf in enumerate(leaves)}
            motion = spread.solve(openings, values)
            turned += [motion] if motion.solved.all() else []
        return cls(spread, spread.solve(openings), size, turned=tuple(turned), **settings)

    @cached_property
    def ways(self) -> tuple[GuideStudio, ...]:
        """The studio as it is first, then one for each other way in which flyleaves can lie."""
        return (self, *(replace(self, motion=motion, turned=()) for motion in self.turned))

    @cached_property
    def areas(self) -> tuple[GlueArea, ...]:
        """Where all glue goes and lands."""
        return glue_areas(self.spread.sheets, self.spread.joins, self.spread.linkage.drives)

    @cached_property
    def flat(self) -> tuple[tuple[Sheet, ...], tuple[GlueArea, ...]]:
        """The sheets as they are cut, with their glue."""
        if self.cut is None:
            return self.spread.sheets, self.areas
        return self.cut.sheets, glue_areas(self.cut.sheets, self.cut.joins, self.cut.drives)

    def scene(self, opening_deg: float) -> Scene:
        """The whole spread at one of the stages."""
        return self._scenes[opening_deg]

    @cached_property
    def _scenes(self) -> dict[float, Scene]:
        return {opening: self._assembled(opening) for opening in STAGES_DEG}

    def _assembled(self, opening_deg: float) -> Scene:
        stage = STAGES_DEG.index(opening_deg)
        return assemble(
            self.spread.linkage,
            book_of(self.spread),
            float(self.motion.openings[stage]),
            self.motion.rotations[stage],
            self.motion.translations[stage],
            self.mood,
        )


@dataclass(frozen=True)
class StepTask:
    """A step to be drawn.

    Parameters
    ----------
    standing : indices of the sheets that are on the page before it.
    mine : of the sheets that hang together with what it works on before it.
    """

    step: Step
    standing: frozenset[int]
    mine: frozenset[int]


@dataclass(frozen=True)
class Shown:
    """A picture, uint8 sRGB, shape (rows, columns, 3), and the camera that took it."""

    pixels: np.ndarray
    camera: Camera


def ids(spread: Spread, sheets: frozenset[int]) -> set[str]:
    """Ids of all facets of some sheets."""
    found = [spread.sheets[k] for k in sheets]
    return {f"{sheet.piece}.{facet.name}" for sheet in found for facet in sheet.facets}
