"""A sheet as it is, held against a drawing of it."""

from __future__ import annotations

import numpy as np
import shapely

from preview.draft.reading import read_plan

# Our choice; the README promises it.
WITHIN_MM = 0.3


def lines_of(template):
    """Cut, valley and mountain lines of a sheet, straight from its outline and its folds."""
    outline = template.outline
    folds = {1: [], -1: []}
    for fold in template.folds:
        folds[fold.sign].append(shapely.LineString([fold.start, fold.end]))
    return {
        "cut": outline.boundary,
        "valley": shapely.MultiLineString(folds[-1]),
        "mountain": shapely.MultiLineString(folds[1]),
    }


def draws(sentences, template, plan):
    """Whether lines drawn by sentences and those of a sheet are within 0.3 mm, both ways."""
    paper = read_plan(sentences)
    for kind, shape in lines_of(template).items():
        wanted = shapely.transform(shape, plan.apply)
        told = shapely.MultiLineString([line.points for line in paper.lines if line.kind == kind])
        if wanted.is_empty != told.is_empty:
            return False
        if not wanted.is_empty and not (_near(told, wanted) and _near(wanted, told)):
            return False
    holes = np.array([paper.points[name] for name in paper.holes]).reshape(-1, 2)
    pivots = plan.apply(np.array(template.pivots).reshape(-1, 2))
    if len(holes) != len(pivots):
        return False
    apart = np.linalg.norm(holes[:, None] - pivots[None], axis=2)
    return not len(pivots) or apart.min(axis=0).max() <= WITHIN_MM


def _near(lines, others):
    """Whether lines stay near others, at points half a millimetre apart."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(lines, 0.5)))
    shapely.prepare(others)
    return bool(shapely.dwithin(others, points, WITHIN_MM).all())
