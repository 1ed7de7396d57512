"""Whether everything stays inside the closed, trimmed page."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .case import Case
from .finding import Finding
from .limits import Limits

# Flush with the edge is inside.
_FLUSH_MM = 1e-3


@dataclass(frozen=True)
class Edge:
    """An edge of the closed page: the side where ``normal · (y, distance from gutter) > limit``."""

    name: str
    normal: tuple[float, float]
    limit: float


def edges_of(case: Case, limits: Limits, piece: str = "") -> tuple[Edge, ...]:
    """The four edges for a piece; the spine keeps no margin, since pieces stand across it."""
    width, height = case.size
    margin = case.margin if limits.margin is None else limits.margin
    margin = 0.0 if piece in case.flyleaves else margin
    return (
        Edge("head", (1.0, 0.0), height - margin),
        Edge("foot", (-1.0, 0.0), -margin),
        Edge("fore-edge", (0.0, 1.0), width - margin),
        Edge("spine", (0.0, -1.0), 0.0),
    )


def inside(case: Case, limits: Limits) -> tuple[list[Finding], dict[str, float]]:
    """How far each piece passes each edge of the closed page less the margin.

    Returns
    -------
    Findings, one for each piece and edge, and the smallest distance that is left, mm.
    """
    if not case.closes:
        return [], {}
    findings, room = [], np.inf
    for piece in case.pieces:
        corners = {k: _closed(case, k) for k in case.piece_facets(piece)}
        for edge in edges_of(case, limits, piece):
            past = {
                k: float((p @ np.array(edge.normal)).max()) - edge.limit for k, p in corners.items()
            }
            facet = max(past, key=lambda k: past[k])
            amount = past[facet]
            if edge.name != "spine" and piece not in case.flyleaves:
                room = min(room, -amount)
            if amount > _FLUSH_MM:
                findings.append(_sticks_out(case, piece, facet, edge, amount, corners))
    return findings, {"room_left_mm": round(room, 4)} if np.isfinite(room) else {}


def _closed(case: Case, facet: int) -> np.ndarray:
    """Corners of a facet in the closed state: (y, distance from the gutter), shape (n, 2), mm."""
    return case.corners(facet, float(case.poses.openings[0]))[:, 1:]


def _sticks_out(
    case: Case,
    piece: str,
    facet: int,
    edge: Edge,
    amount: float,
    corners: dict[int, np.ndarray],
) -> Finding:
    opening = float(case.poses.openings[0])
    past = corners[facet] @ np.array(edge.normal) - edge.limit
    corner = int(past.argmax())
    tip = corners[facet][corner]
    world = case.corners(facet, opening)[corner]
    back = world - amount * np.array([0.0, *edge.normal])
    name = case.facets.ids[facet]
    return Finding(
        "inside",
        "problem",
        "sticks out",
        piece,
        (name,),
        f"{name} sticks out past the {edge.name} of the closed page by {amount:z.2f} mm, "
        f"at {tip[0]:z.1f} mm from the foot and {tip[1]:z.1f} mm from the gutter",
        _advice(case, piece, facet, edge, tip, corners),
        amount=amount,
        unit="mm",
        limit=0.0,
        from_deg=0.0,
        worst_deg=0.0,
        place=case.place("line", np.array([world, back]), opening),
    )


def _advice(
    case: Case, piece: str, facet: int, edge: Edge, tip: np.ndarray, corners: dict[int, np.ndarray]
) -> str:
    parts = []
    scale = largest_scale(np.concatenate(list(corners.values())), _root(case, piece), (edge,))
    if scale is not None:
        parts.append(f"scale {piece} to {100 * _floor(scale):z.1f} % or less")
    base = _base(case, facet)
    share = largest_scale(tip[None], base, (edge,))
    if share is not None:
        length = float(np.linalg.norm(tip - base))
        parts.append(
            f"shorten {case.facets.ids[facet]} by {(1 - share) * length:z.2f} mm "
            f"(to {100 * _floor(share):z.1f} % of its length)"
        )
    if edge.name in ("head", "foot"):
        past = np.array(edge.normal) @ tip - edge.limit
        parts.append(f"move it {past:z.2f} mm away from the {edge.name}")
    return ", or ".join(parts)


def _floor(share: float) -> float:
    """Down to a tenth of a percent, so that what is printed still fits."""
    return float(np.floor(share * 1000 + 1e-6) / 1000)


def largest_scale(points: np.ndarray, root: np.ndarray, edges: tuple[Edge, ...]) -> float | None:
    """Largest factor by which points can be scaled about a root and stay inside some edges.

    Parameters
    ----------
    points, root : shape (n, 2) and (2,): (y, distance from the gutter), mm.

    Returns
    -------
    The factor, or None if the root itself lies outside.
    """
    scale = np.inf
    for edge in edges:
        normal = np.array(edge.normal)
        room = edge.limit - normal @ root
        reach = float(((points - root) @ normal).max())
        if room <= 0:
            return None
        if reach > 0:
            scale = min(scale, room / reach)
    return float(scale)


def _root(case: Case, piece: str) -> np.ndarray:
    """The point about which a piece is scaled, in the closed state."""
    opening = float(case.poses.openings[0])
    if piece in case.roots:
        facet, point = case.roots[piece]
        return case.world(facet, np.array([point]), opening)[0, 1:]
    middles = [
        case.world(k, np.array([[glue.centroid.x, glue.centroid.y]]), opening)[0, 1:]
        for k in case.piece_facets(piece)
        for glue in case.facets.anchors[k].glue
    ]
    if not middles:
        return np.concatenate([_closed(case, k) for k in case.piece_facets(piece)]).mean(axis=0)
    return np.mean(middles, axis=0)


def _base(case: Case, facet: int) -> np.ndarray:
    """Where a facet begins: the fold nearest to the gutter, else the middle of its glue."""
    opening = float(case.poses.openings[0])
    anchors = case.facets.anchors[facet]
    if anchors.folds:
        middles = np.array([f.interpolate(0.5, normalized=True).coords[0] for f in anchors.folds])
        closed = case.world(facet, middles, opening)[:, 1:]
        return closed[np.abs(closed[:, 1]).argmin()]
    shapes = anchors.glue or (case.facets.polygons[facet],)
    middle = np.array([[shapes[0].centroid.x, shapes[0].centroid.y]])
    return case.world(facet, middle, opening)[0, 1:]
