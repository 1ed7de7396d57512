"""Marks that show where a finding is, as SVG over a picture or a plan."""

from __future__ import annotations

from collections.abc import Sequence

from meshes.check.finding import Place

Position = tuple[float, float]

_LEAST_RING = 16.0


def marks(place: Place, points: Sequence[Position], scale: float = 1.0) -> str:
    """SVG elements that show a place.

    Parameters
    ----------
    points : of the place, in the units of the drawing.
    scale : size of a mark; 1 suits a drawing of about 640 units.
    """
    corners = " ".join(f"{x:z.1f},{y:z.1f}" for x, y in points)
    if place.kind == "area" and len(points) > 2:
        return (
            f'<polygon class="halo" points="{corners}"/><polygon class="area" points="{corners}"/>'
        )
    middle = _middle(points)
    spread = max((abs(x - middle[0]) + abs(y - middle[1]) for x, y in points), default=0.0)
    ring = max(_LEAST_RING * scale, min(1.15 * spread, 3 * _LEAST_RING * scale))
    shapes = [f'<circle class="ring" cx="{middle[0]:z.1f}" cy="{middle[1]:z.1f}" r="{ring:z.1f}"/>']
    if len(points) > 1:
        line = f'points="{corners}"'
        shapes.append(f'<polyline class="halo" {line}/><polyline class="line" {line}/>')
    else:
        x, y = points[0]
        shapes.append(f'<circle class="dot" cx="{x:z.1f}" cy="{y:z.1f}" r="{4 * scale:z.1f}"/>')
    return "".join(shapes)


def _middle(points: Sequence[Position]) -> Position:
    count = len(points)
    return sum(p[0] for p in points) / count, sum(p[1] for p in points) / count
