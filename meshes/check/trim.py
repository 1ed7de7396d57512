"""What to cut off a facet so that it no longer clashes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from .chord import Chord, chord_line, chords, meet
from .facets import Facets, padded_edges
from .poses import Pose
from .sweep import Contact, FacetPairs

# An anchor that keeps less than this share has gone.
_ANCHOR_LEFT = 0.5
# Openings of a contact at which a trimmed pair is tested again.
_TESTED = 60
# Openings at which chords are taken for it.
_LOOKED_AT = 20
_SAME_MM = 1e-3
_SHARP = 0.02


@dataclass(frozen=True)
class Trim:
    """One way of freeing two facets.

    Parameters
    ----------
    facet : index of the facet to trim.
    kind : ``cut`` (a straight cut along the chord) or ``inset`` (the free edges move inwards).
    amount : mm on the paper.
    outline : what is left of the facet, body coordinates, mm.
    """

    facet: int
    kind: Literal["cut", "inset"]
    amount: float
    outline: Polygon


def best_trim(
    pairs: FacetPairs, contact: Contact, openings: np.ndarray, clear_mm: float
) -> Trim | None:
    """The smallest trim that frees a contact, or None if none does.

    Parameters
    ----------
    openings : where the contact was looked at, radians.
    clear_mm : push that is left is no clash up to this.
    """
    some = openings[np.unique(np.linspace(0, len(openings) - 1, _LOOKED_AT).round().astype(int))]
    moments = [found for at in some if (found := _chords_at(pairs, contact, at))]
    # Where both are nearly parallel, the least error of a pose moves the chord by a lot.
    moments = [m for m in moments if m[0].sine > _SHARP] or moments
    options: list[Trim] = []
    for which, facet in enumerate((contact.first, contact.second)):
        if moments and not pairs.facets.is_page(facet):
            options += _cuts(pairs.facets, facet, which, moments)
            options += _insets(pairs.facets, facet, which, moments)
    for trim in sorted(options, key=lambda option: option.amount):
        if _is_clear(pairs, contact, trim, clear_mm):
            return trim
    return None


def _chords_at(pairs: FacetPairs, contact: Contact, opening: float) -> list[Chord]:
    one, two = np.array([contact.first]), np.array([contact.second])
    pose = pairs.pose(one, two, np.array([opening]))
    single = Pose(pose.rotation[0], pose.translation[0])
    return chords(pairs.facets, contact.first, contact.second, single)


def _cuts(facets: Facets, facet: int, which: int, moments: Sequence[Sequence[Chord]]) -> list[Trim]:
    """Straight cuts on either side, where that side holds no anchor at any opening."""
    options = []
    for side in (0, 1):
        found = [(chord, chord.sides[which][side]) for moment in moments for chord in moment]
        if any(_holds_anchor(facets, facet, chord_line(c, which), s.part) for c, s in found):
            continue
        amount = max(part.reach for _, part in found)
        gone = shapely.unary_union([part.part for _, part in found])
        left = _largest(facets.polygons[facet].difference(gone))
        if left is not None and amount > _SAME_MM:
            options.append(Trim(facet, "cut", amount, left))
    return options


def _holds_anchor(facets: Facets, facet: int, chord: LineString, part: Polygon) -> bool:
    anchors = facets.anchors[facet]
    near, line = part.buffer(_SAME_MM / 10), chord.buffer(_SAME_MM)
    for fold in anchors.folds:
        if fold.intersection(near).difference(line).length > _SAME_MM:
            return True
    return any(glue.intersection(part).area > _SAME_MM for glue in anchors.glue)


def _insets(
    facets: Facets, facet: int, which: int, moments: Sequence[Sequence[Chord]]
) -> list[Trim]:
    """Free edges moved inwards past every chord, if at least half of each anchor stays."""
    anchors, polygon = facets.anchors[facet], facets.polygons[facet]
    folds = shapely.unary_union(list(anchors.folds)).buffer(_SAME_MM / 10)
    free = polygon.boundary.difference(folds)
    if free.is_empty:
        return []
    lines = [chord_line(chord, which) for moment in moments for chord in moment]
    points = shapely.line_interpolate_point(
        np.array(lines)[:, None], np.linspace(0, 1, 9), normalized=True
    )
    amount = float(shapely.distance(points, free).max())
    if amount <= _SAME_MM:
        return []
    gone = free.buffer(amount)
    for fold in anchors.folds:
        if fold.difference(gone).length < _ANCHOR_LEFT * fold.length:
            return []
    for glue in anchors.glue:
        if glue.difference(gone).area < _ANCHOR_LEFT * glue.area:
            return []
    left = _largest(polygon.difference(gone))
    return [] if left is None else [Trim(facet, "inset", amount, left)]


def _largest(shape: shapely.Geometry) -> Polygon | None:
    # A sliver that rounding leaves is no paper.
    parts = [
        part
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and not part.buffer(-_SAME_MM).is_empty
    ]
    return max(parts, key=lambda part: part.area, default=None)


def _is_clear(pairs: FacetPairs, contact: Contact, trim: Trim, clear_mm: float) -> bool:
    """Whether the trimmed pair no longer clashes at any opening of the contact."""
    polygons = [pairs.facets.polygons[k] for k in (contact.first, contact.second)]
    polygons[0 if trim.facet == contact.first else 1] = trim.outline
    tail, head, edges = padded_edges(polygons)
    frame = pairs.facets.frame[[contact.first, contact.second]]
    pair = replace(
        pairs.facets, polygons=tuple(polygons), tail=tail, head=head, edges=edges, frame=frame
    )
    openings = np.linspace(contact.start, contact.end, _TESTED)
    one, two = np.full(_TESTED, contact.first), np.full(_TESTED, contact.second)
    pose = pairs.pose(one, two, openings)
    met = meet(pair, np.zeros(_TESTED, int), np.ones(_TESTED, int), pose)
    for k in np.flatnonzero(met.bound > clear_mm):
        single = Pose(pose.rotation[k], pose.translation[k])
        if any(chord.push > clear_mm for chord in chords(pair, 0, 1, single)):
            return False
    return True
