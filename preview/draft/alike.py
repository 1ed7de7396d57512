"""Which sheets of a design are the same piece of paper, or mirror images of one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from preview.pattern.template import Template

from .linework import Linework, linework
from .symmetry import same

# Edges as long as each other, mm. Our choice.
_EDGE_MM = 0.02
_FLIP = np.diag([-1.0, 1.0])


@dataclass(frozen=True)
class Alike:
    """Templates that are drawn once; some of them mirrored."""

    first: Template
    others: tuple[Template, ...]
    mirrored: tuple[Template, ...]

    @property
    def count(self) -> int:
        """How many are cut."""
        return 1 + len(self.others) + len(self.mirrored)


def alike(templates: Sequence[Template]) -> list[Alike]:
    """Templates in groups, each in the order of its first."""
    lines = [linework(template) for template in templates]
    groups: list[list[int]] = []
    flipped: set[int] = set()
    by_size: dict[tuple[int, ...], list[int]] = {}
    for k, template in enumerate(templates):
        for g in by_size.get(_size(template, lines[k]), []):
            first = lines[groups[g][0]]
            if moved_onto(lines[k], first):
                groups[g].append(k)
                break
            if moved_onto(lines[k].moved(_FLIP, np.zeros(2)), first):
                groups[g].append(k)
                flipped.add(k)
                break
        else:
            by_size.setdefault(_size(template, lines[k]), []).append(len(groups))
            groups.append([k])
    return [
        Alike(
            templates[first],
            tuple(templates[k] for k in rest if k not in flipped),
            tuple(templates[k] for k in rest if k in flipped),
        )
        for first, *rest in groups
    ]


def _size(template: Template, lines: Linework) -> tuple[int, ...]:
    """What sheets that are alike have in common."""
    folds = sorted((fold.sign, round(10 * fold.length)) for fold in template.folds)
    numbers = [number for fold in folds for number in fold]
    return (len(template.outline.exterior.coords), len(lines.holes), *numbers)


def moved_onto(one: Linework, other: Linework) -> bool:
    """Whether lines lie on others when they are turned and shifted, but not mirrored."""
    a, b = (_ring(lines) for lines in (one, other))
    if len(a) != len(b):
        return False
    far = [np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1) for ring in (a, b)]
    for shift in range(len(a)):
        if np.abs(np.roll(far[0], -shift) - far[1]).max() > _EDGE_MM:
            continue
        matrix, step = _rigid(np.roll(a, -shift, axis=0), b)
        if same(other, one.moved(matrix, step)):
            return True
    return False


def _ring(lines: Linework) -> np.ndarray:
    """Corners of the outline, counter-clockwise, shape (n, 2), mm."""
    outline = shapely.Polygon(shapely.get_parts(lines.cut)[0].coords)
    ring = shapely.orient_polygons(outline).exterior
    return np.asarray(ring.coords)[:-1]


def _rigid(points: np.ndarray, onto: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rotation and shift that move points nearest onto others, both of shape (n, 2).

    Least squares by the singular value decomposition (Kabsch 1976).
    """
    middle, there = points.mean(axis=0), onto.mean(axis=0)
    u, _, v = np.linalg.svd((points - middle).T @ (onto - there))
    turn = np.diag([1.0, np.sign(np.linalg.det(v.T @ u.T))])
    matrix = v.T @ turn @ u.T
    return matrix, there - matrix @ middle
