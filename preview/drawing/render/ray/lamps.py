"""Paper that is lit from inside: the light that it sends out, and what of it falls on other paper.

The open parts of such paper, what no other paper lies on, are cut into small cells. Each of them
lights what it sees as a small disc does,

    share of the light = cos a · cos b · A / (pi r² + A),

with a and b the angles at both ends, r the distance and A the area of the cell. Source: J. R.
Wallace, K. A. Elmquist, E. A. Haines, "A ray tracing algorithm for progressive radiosity",
Computer Graphics 23 (1989), 315. That is summed over all cells, and how much of it other paper
keeps away is found by rays to some of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from preview.drawing.scene import Surface, lamplight
from preview.shot.mood import Mood

from .trace import BEHIND_MM, Tracer, summed

# Paper on the lit one that lies no farther from it keeps all light in.
COVERED_MM = 1.5
# How far from a cell of the lamp a ray to it ends: in its own paper, and that which is glued round
# a window, nothing is looked for.
STOP_MM = np.float32(0.5)
# What sends less light than this to a place is not asked whether it is hidden: a third of the
# darkest level of 8 bits.
FAINT = np.float32(1e-4)
# A side of lit paper has about so many cells at most.
MOST_CELLS = 150
# Scraps of a cell smaller than this share of it are left out.
SCRAP = 0.02
# Pairs of a place and a cell that are in memory at once.
AT_ONCE = 400_000
# Up to so many cells every place looks at all of them, up to four times as many at every second,
# else at every fourth.
FEW_CELLS = 12


def emitted(surface: Surface, mood: Mood) -> np.ndarray:
    """Light that both sides of a surface send out by the lamp behind it, linear, shape (3,)."""
    if surface.glow is None:
        return np.zeros(3)
    return mood.lamp * lamplight(surface.glow, surface.front, surface.back)


@dataclass(frozen=True, eq=False)
class Lamps:
    """The cells of all lit paper.

    Parameters
    ----------
    places, normals : shapes (c, 3), mm and unit, towards where it shines.
    areas : shape (c,), mm².
    light : that each sends out, shape (c, 3), linear.
    """

    places: np.ndarray
    normals: np.ndarray
    areas: np.ndarray
    light: np.ndarray

    @classmethod
    def of(
        cls, surfaces: Sequence[Surface], mood: Mood, cell: float, most: int = MOST_CELLS
    ) -> Lamps:
        """The lamps among some surfaces.

        Parameters
        ----------
        cell : size of the cells, mm.
        most : about so many cells has a side of a surface; its cells are larger otherwise.
        """
        parts: list[tuple[np.ndarray, ...]] = [
            (np.empty((0, 3)), np.empty((0, 3)), np.empty(0), np.empty((0, 3)))
        ]
        for surface in surfaces:
            if surface.glow is None:
                continue
            for side in (1.0, -1.0):
                rest = _open(surface, surfaces, side)
                flat, areas = _cells(rest, max(cell, float(np.sqrt(rest.area / most))))
                height = side * surface.thickness / 2 * surface.normal
                places = flat @ surface.rotation[:, :2].T + surface.translation + height
                many = len(flat)
                light = np.tile(emitted(surface, mood), (many, 1))
                parts.append((places, np.tile(side * surface.normal, (many, 1)), areas, light))
        return cls(*(np.concatenate(each).astype(np.float32) for each in zip(*parts, strict=True)))

    @property
    def count(self) -> int:
        """How many cells there are."""
        return len(self.areas)

    @property
    def stride(self) -> int:
        """Every how many cells are looked at from one place."""
        return 1 if self.count <= FEW_CELLS else 2 if self.count <= 4 * FEW_CELLS else 4

    def falling(self, points: np.ndarray, normals: np.ndarray, behind: np.ndarray) -> np.ndarray:
        """Light on places if nothing hides the lamps, shape (3, n), float32.

        Parameters
        ----------
        points, normals : shape (n, 3).
        behind : share of the light from behind that comes through, by channel, shape (n, 3).
        """
        found = np.empty((3, len(points)), np.float32)
        for some in self._portions(len(points)):
            share = self._shares(points[some], normals[some], slice(None))
            found[:, some] = self._light(share, slice(None), behind[some])
        return found

    def seen(
        self,
        points: np.ndarray,
        normals: np.ndarray,
        behind: np.ndarray,
        tracer: Tracer,
        first: int | None = None,
    ) -> np.ndarray:
        """Light of some cells that reaches places, and if nothing hid them, shape (6, n), float32.

        Parameters
        ----------
        points, normals, behind : see :meth:`falling`.
        first : of the cells that are looked at, modulo the stride; all of them if None.
        """
        cells = slice(None) if first is None else slice(first % self.stride, None, self.stride)
        sums = np.zeros((6, len(points)), np.float32)
        bright = self.light[cells].max(axis=1)[:, None]
        for some in self._portions(len(points)):
            share = self._shares(points[some], normals[some], cells)
            told = np.abs(share) * bright > FAINT
            told &= (share > 0) | (behind[some].max(axis=1) > 0)
            share *= told
            sums[3:, some] = self._light(share, cells, behind[some])
            cell, place = np.nonzero(told)
            free = self._free(points[some][place], normals[some][place], cells, cell, tracer)
            share[cell, place] *= free
            sums[:3, some] = self._light(share, cells, behind[some])
        return sums

    def _portions(self, count: int) -> Iterator[slice]:
        """So many places, some at once."""
        step = max(AT_ONCE // max(self.count, 1), 1)
        return (slice(start, start + step) for start in range(0, count, step))

    def _shares(self, points: np.ndarray, normals: np.ndarray, cells: slice) -> np.ndarray:
        """Share of the light of cells on places, less than nothing from behind, (cells, n)."""
        places, faces, areas = self.places[cells], self.normals[cells], self.areas[cells, None]
        square = np.full((len(places), len(points)), 1e-9, np.float32)
        out, into = np.zeros_like(square), np.zeros_like(square)
        for k in range(3):
            away = points[None, :, k] - places[:, None, k]
            square += away * away
            out += away * faces[:, None, k]
            into -= away * normals[None, :, k]
        np.maximum(out, 0, out=out)
        out *= into
        out *= areas
        square *= np.float32(np.pi) * square + areas
        out /= square
        return out

    def _light(self, share: np.ndarray, cells: slice, behind: np.ndarray) -> np.ndarray:
        """Light of cells with those shares (cells, n), shape (3, n); see :meth:`falling`."""
        light = self.light[cells]
        # Cells of one lamp follow each other.
        starts = np.flatnonzero(np.r_[True, (light[1:] != light[:-1]).any(axis=1)])
        found = np.zeros((3, share.shape[1]), np.float32)
        through = behind.T if behind.any() else None
        for start, end in pairwise([*starts.tolist(), len(light)]):
            mine = share[start:end]
            found += light[start][:, None] * summed(np.maximum(mine, 0))
            if through is not None:
                found += light[start][:, None] * through * summed(np.maximum(-mine, 0))
        return found

    def _free(
        self,
        points: np.ndarray,
        normals: np.ndarray,
        cells: slice,
        cell: np.ndarray,
        tracer: Tracer,
    ) -> np.ndarray:
        """Whether nothing lies between places and cells, pair by pair, shape (m,)."""
        goal = self.places[cells].take(cell, axis=0)
        inside = ((goal - points) * normals).sum(axis=1) < 0
        # What shines through a sheet comes from behind it.
        start = points - BEHIND_MM * normals * inside[:, None]
        towards = goal - start
        away = np.sqrt((towards**2).sum(axis=1))
        towards /= np.maximum(away, np.float32(1e-6))[:, None]
        return tracer.free_within(start, towards, np.maximum(away - STOP_MM, np.float32(1e-3)))


def shaded(open_light: np.ndarray, sums: np.ndarray) -> np.ndarray:
    """Light of lamps (3, n), less what other paper keeps away, from sums of :meth:`Lamps.seen`."""
    shown = np.maximum(sums[3:], np.float32(1e-9))
    return np.asarray(open_light * np.minimum(sums[:3] / shown, 1), np.float32)


def _open(surface: Surface, surfaces: Sequence[Surface], side: float) -> shapely.Geometry:
    """What of one side of a surface no other paper lies on, in its own plane."""
    rest: shapely.Geometry = surface.polygon
    for other in surfaces:
        if other is surface or abs(float(other.normal @ surface.normal)) < 0.9999:
            continue
        gap = side * float((other.translation - surface.translation) @ surface.normal)
        if not 0 <= gap <= COVERED_MM:
            continue
        turn = surface.rotation[:, :2].T @ other.rotation[:, :2]
        shift = surface.rotation[:, :2].T @ (other.translation - surface.translation)
        cover = shapely.transform(other.polygon, lambda p, t=turn, s=shift: p @ t.T + s)
        rest = rest.difference(cover)
    return rest


def _cells(shape: shapely.Geometry, size: float) -> tuple[np.ndarray, np.ndarray]:
    """Middles (c, 2) and areas (c,) of the squares of a raster that a shape fills, mm."""
    if shape.is_empty:
        return np.empty((0, 2)), np.empty(0)
    middles, areas = [], []
    for part in shapely.get_parts(shape):
        low_x, low_y, high_x, high_y = part.bounds
        across, up = (max(1, int(np.ceil(d / size))) for d in (high_x - low_x, high_y - low_y))
        x, y = np.linspace(low_x, high_x, across + 1), np.linspace(low_y, high_y, up + 1)
        left, low = (each.ravel() for each in np.meshgrid(x[:-1], y[:-1]))
        right, top = (each.ravel() for each in np.meshgrid(x[1:], y[1:]))
        cut = shapely.intersection(shapely.box(left, low, right, top), part)
        area = shapely.area(cut)
        kept = area > SCRAP * size**2
        middles.append(shapely.get_coordinates(shapely.centroid(cut[kept])))
        areas.append(area[kept])
    return np.concatenate(middles), np.concatenate(areas)
