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
        amount=amount,
        unit="mm",
        limit=0.0,
        from_deg=0.0,
        worst_deg=0.0,
        place=case.place("line", np.array([world, back]), opening),
    )
