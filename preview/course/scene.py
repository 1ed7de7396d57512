"""What a camera sees at one moment of a course: paper that is there, and glue while it is wet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.drawing.lying import AtRest
from preview.drawing.scene import Scene, Surface, assemble
from preview.guide.moves import glue_mark
from preview.pattern.glue import GlueArea, glue_areas, letter
from preview.shot.mood import Mood

from .moves import CourseMove, WorkTable

# Glue is covered for the last part of a move that brings it to its place. Our choice.
_COVERED = 0.97


def areas_of(table: WorkTable) -> tuple[GlueArea, ...]:
    """Where all glue of a spread goes and lands."""
    figures = table.figures
    return glue_areas(figures.sheets, figures.glue, figures.linkage.drives)


def scene_at(
    table: WorkTable, areas: tuple[GlueArea, ...], move: CourseMove, share: float, mood: str | Mood
) -> Scene:
    """The scene after a share of the time of a move."""
    figures = table.figures
    pose, there, opening = table.pose(move, share)
    sunk = table.sunk(move, share)
    # The scene brings everything to rest with the notebook; loose paper is on the table already.
    rest = AtRest.of(table.book, opening, table.lying)
    shifts = pose.translation - pose.rotation[:, :, 2] * sunk[:, None]
    turns, shifts = rest.before(pose.rotation, shifts)
    scene = assemble(figures.apart, table.book, opening, turns, shifts, mood, table.lying)
    hidden = {figures.parts[k].id for k in np.flatnonzero(~there)}
    shown = {s.name: s for s in scene.surfaces if s.name not in hidden}
    marks = _wet(areas, move, share, shown)
    return replace(scene, surfaces=(*shown.values(), *marks))


def _wet(
    areas: tuple[GlueArea, ...], move: CourseMove, share: float, shown: dict[str, Surface]
) -> list[Surface]:
    """Glue, and the places that it comes to, coloured until they have met."""
    if not move.wet or (move.glued[0] != move.glued[1] and share > _COVERED):
        return []
    letters = {letter(j) for j in move.wet}
    return [
        glue_mark(shown[area.facet], area)
        for area in areas
        if area.letter in letters and area.facet in shown
    ]
