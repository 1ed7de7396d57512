"""The light that falls on each pixel of a still: traced finely only where it changes.

The key is looked for twice: a few rays everywhere, and many where neighbours of the same paper
disagree. Sky and table are traced at every fourth pixel both ways, at every second one where they
vary between those, and at all where they vary between these.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import neighbours
from .sampling import FIRST, TILE
from .studio import RayStudio, Sky

# Light of the sky on one patch is smoothed over pixels of the coarser raster this far apart, where
# it differs by less than a share of it: noise, but no shadow's edge.
SMOOTHED = ((1, 0.12), (2, 0.06))
# A penumbra is smoothed where that changes it by less than this, once for each value.
SOFT_STEPS = (0.06, 0.04)
# Rows beside those that are wanted on which filters at full rate look.
FILTERED = 8


@dataclass(frozen=True, eq=False)
class PixelView:
    """What the middles of the pixels of a rectangle see.

    Parameters
    ----------
    numbers : of the pixels, shape (n,).
    shape : rows and columns.
    first : row and column of the first of them; multiples of the step of a coarse raster.
    key : the patch of each pixel, shape (n,).
    kin : the same for the filters, an image; see :attr:`Studio.kin`.
    points : shape (n, 3), mm, just before the surface on the way from the eye.
    distance : from the eye, shape (n,), mm.
    wanted : rows of which the picture is wanted; those beside them serve filters.
    """

    numbers: np.ndarray
    shape: tuple[int, int]
    first: tuple[int, int]
    key: np.ndarray
    kin: np.ndarray
    points: np.ndarray
    distance: np.ndarray
    wanted: range

    def near(self, beside: int) -> np.ndarray:
        """Whether each pixel lies in a wanted row or in one of so many beside, shape (n,)."""
        row = np.arange(self.shape[0])
        found = (row >= self.wanted.start - beside) & (row < self.wanted.stop + beside)
        return np.repeat(found, self.shape[1])

    def groups(self, step: int) -> list[np.ndarray]:
        """Of every `step`-th pixel both ways, the numbers of each group; see :func:`by_group`."""
        height, width = (-(-count // step) for count in self.shape)
        down, across = np.divmod(np.arange(height * width), width)
        return by_group(down + self.first[0] // step, across + self.first[1] // step)


def by_group(down: np.ndarray, across: np.ndarray) -> list[np.ndarray]:
    """Of pixels, given by row and column, the numbers of those of each group of an interleave.

    Directions are dealt to the 6 × 6 groups in turn. Numbers of groups are such that any 3 × 3
    window has one of every four, so that it sees all round.
    """
    group = 4 * (down % 3 * 3 + across % 3) + 2 * (down // 3 % 2) + across // 3 % 2
    order = np.argsort(group, kind="stable")
    return np.split(order, np.searchsorted(group[order], np.arange(1, TILE**2)))


def key_shares(studio: RayStudio, view: PixelView, rays: np.ndarray) -> np.ndarray:
    """Share of the key that each pixel sees, shape (n,), float32.

    Parameters
    ----------
    rays : directions of each group, shape (36, k, 3); see :func:`probing`.
    """
    lit = studio.is_lit[view.key] & view.near(FILTERED)
    is_open = studio.open_table(view.points, view.key, rays)
    seen = np.where(lit & is_open, np.float32(FIRST), np.float32(0))
    asked = lit & ~is_open
    dealt = view.groups(1)
    for places, beams in zip(dealt, rays, strict=True):
        some = places[asked[places]]
        seen[some] = studio.key_seen(view.points[some], view.key[some], beams[:FIRST])
    # Only some of the light was looked at, so one more ring of pixels may see part of it.
    partly = neighbours.mixed(view.kin, seen.reshape(view.shape))
    partly |= ((seen > 0) & (seen < FIRST)).reshape(view.shape)
    partly = neighbours.grown(partly).ravel() & lit
    for places, beams in zip(dealt, rays, strict=True):
        some = places[partly[places]]
        seen[some] += studio.key_seen(view.points[some], view.key[some], beams[FIRST:])
    seen /= np.where(partly, rays.shape[1], FIRST).astype(np.float32)
    weight = lit.astype(np.float32)
    where = np.flatnonzero(partly)
    total, count = neighbours.box_at(where, view.kin, seen, weight)
    seen[where] = total / count
    for reach in SOFT_STEPS:
        where = np.flatnonzero((seen > 0) & (seen < 1))
        total, count = neighbours.box_at(where, view.kin, seen, weight)
        mine, mean = seen[where], total / count
        near = np.clip(1 - np.abs(mean - mine) / np.float32(reach), 0, 1)
        seen[where] = mine + near * (mean - mine)
    return seen


def sky_light(
    studio: RayStudio, view: PixelView, skies: tuple[Sky, Sky], vary: float, refine: float
) -> np.ndarray:
    """Light from sky, table and other paper on each pixel, shape (3, n), float32.

    Parameters
    ----------
    skies : directions for the coarse rasters and for every pixel.
    vary, refine : how far the square root of the light may differ between neighbours before it is
        traced at the next finer raster, at every second and at every pixel.
    """
    light = _sky_at(studio, view, skies[0], 4, None, None)
    for step, most in ((2, vary), (1, refine)):
        kin = view.kin[:: 2 * step, :: 2 * step]
        busy = neighbours.spread(kin, np.sqrt(light.mean(axis=0))) > most
        if step == 1:
            for far, reach in SMOOTHED:
                light = neighbours.smooth_light(kin, np.maximum(light, 1e-4), far, reach)
        light = _sky_at(studio, view, skies[step == 1], step, light, neighbours.grown(busy))
    return light.reshape(3, -1)


def _sky_at(
    studio: RayStudio,
    view: PixelView,
    sky: Sky,
    step: int,
    coarse: np.ndarray | None,
    busy: np.ndarray | None,
) -> np.ndarray:
    """The light at every `step`-th pixel both ways, shape (3, rows, columns).

    Parameters
    ----------
    coarse : at every second of these, of the same form; if None, all are traced.
    busy : where between the coarse ones light is traced, an image of as many pixels as `coarse`.
    """
    kin = view.kin[::step, ::step]
    key = view.key.reshape(view.shape)[::step, ::step].ravel()
    points = view.points.reshape(*view.shape, 3)[::step, ::step].reshape(-1, 3)
    fine = np.ones(kin.shape, bool)
    image = np.empty((3, *kin.shape), np.float32)
    if coarse is not None and busy is not None:
        image, missing = neighbours.upsample(kin, kin[::2, ::2], coarse)
        fine = np.repeat(np.repeat(busy, 2, 0), 2, 1)[: kin.shape[0], : kin.shape[1]]
        fine.ravel()[missing] = True
    if step == 1:
        fine &= view.near(FILTERED).reshape(view.shape)
    chosen = fine.ravel()
    sums = np.zeros((studio.rows, len(key)), np.float32)
    for group, places in enumerate(view.groups(step)):
        some = places[chosen[places]]
        sums[:, some] = studio.sky_sums(points[some], key[some], group, sky)
    where = np.flatnonzero(chosen)
    filtered = np.stack(neighbours.box_at(where, kin, *sums))
    image.reshape(3, -1)[:, where] = studio.sky_falling(key[where], filtered, points[where])
    return image
