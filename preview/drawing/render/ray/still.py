"""Stills: paper with its thickness, light from all round, and pixels looked at in many places.

Every pixel is seen through its middle, and the light that falls there is traced, finely only where
it changes; paper that hides the sky sends its own colour, so that red roofs glow on white walls.
Pixels that show more than one thing are then looked at in many places, each in the light of the
pixel beside that shows the same. The picture is the same for any number of workers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np

from preview.drawing.colour import encode
from preview.drawing.scene import Scene
from preview.parallel import ALONE, Crew
from preview.shot.camera import Camera

from . import ground as grounds
from . import neighbours, samples
from .clear import glaze
from .depth import Sharp, blurred
from .falling import SMOOTHED, PixelView, key_shares, sky_light
from .glare import glare
from .lens import places_of_grid
from .studio import BORDER, RayStudio


@dataclass(frozen=True)
class StillRecipe:
    """How many rays a still may cost.

    Parameters
    ----------
    key, sky : directions of each of the 36 groups of pixels, to the key light and all round.
    vary, refine : how far the square root of the light from all round may differ between neighbours
        before it is traced at half and at full rate.
    places : looked at in a pixel that shows more than one thing.
    calm : standard error of a printed pixel's mean, in levels of 8 bits, at which it is calm.
    orders : how often light may go on from paper to paper at most.
    """

    key: int
    sky: int
    vary: float
    refine: float
    places: int
    calm: float
    orders: int


RECIPES = {
    "still": StillRecipe(key=16, sky=16, vary=0.02, refine=0.06, places=32, calm=2.0, orders=1),
    "fine": StillRecipe(key=32, sky=32, vary=0.01, refine=0.03, places=64, calm=1.0, orders=8),
}
# Light that would change by less than this no longer goes on from paper to paper: a level of 8 bits
# in the middle of their range.
SETTLED = 0.004
# Every so many pixels both ways make the coarse raster: sky light is first traced there.
COARSE = 4
# Where sky light is traced at few pixels, each has so many times the directions: what noise it has
# there spreads over many.
COARSE_SKY = 3
# Work on a pixel of paper, and on an edge, beside that on one of the table.
PAPER_WORK, EDGE_WORK = 1.5, 4.0
# Parts in which a still is drawn, each with rows beside it that others draw as well. Our choice.
PARTS_EACH, LEAST_PARTS = 2, 4
# Rows that are rounded to 8 bits at once.
ROWS_AT_ONCE = 128
# Rows beside those that a worker draws, a multiple of the coarsest step. The light of a pixel can
# hang on five steps of the coarse raster, what is smoothed over in that of every second pixel, and
# one pixel for the filter at each side.
BESIDE = COARSE * -(-(5 * COARSE + 2 * sum(step for step, _ in SMOOTHED) + 2) // COARSE)


def draw(
    scene: Scene,
    camera: Camera,
    size: tuple[int, int],
    recipe: StillRecipe,
    workers: Crew = ALONE,
    advance: Callable[[], None] | None = None,
) -> np.ndarray:
    """A still picture, uint8, shape (h, w, 3), each of the workers drawing some of its rows.

    Parameters
    ----------
    advance : called after each of the :func:`parts`. Where nobody watches, one worker draws the
        picture in one part, which is quicker.
    """
    studio = _studio(scene, camera, size)
    coarse = coarse_view(studio)
    glow = glow_of(studio, coarse, recipe)
    count = parts(workers) if advance or workers.jobs > 1 else 1
    bands = _bands(coarse.kin, studio.kin[-1], size[1], count)
    drawn = []
    for part in workers.in_order(partial(_band, scene, camera, size, recipe, glow), bands):
        drawn.append(part)
        if advance:
            advance()
    sharp = Sharp.joined(drawn)
    drawn.clear()
    if camera.aperture:
        soft = workers.in_order(partial(_blurred_band, scene, camera, size, sharp), bands)
        sharp = replace(sharp, light=np.concatenate(list(soft)))
    light = glazed(studio, sharp, range(size[1]))
    del sharp
    if studio.lamps.count:
        light = np.moveaxis(glare(np.moveaxis(light, -1, 0)), 0, -1)
    _studio.cache_clear()
    return _shown(light, size)


def parts(workers: Crew) -> int:
    """In how many parts a still is drawn: some for each worker, since one may start late."""
    return max(LEAST_PARTS, PARTS_EACH * workers.jobs)


def _band(
    scene: Scene,
    camera: Camera,
    size: tuple[int, int],
    recipe: StillRecipe,
    glow: np.ndarray,
    rows: range,
) -> Sharp:
    """What a worker draws: some rows."""
    return sharp_of(_studio(scene, camera, size), rows, recipe, glow)


def _blurred_band(
    scene: Scene, camera: Camera, size: tuple[int, int], sharp: Sharp, rows: range
) -> np.ndarray:
    """Some rows as the lens of the camera shows them, in linear light."""
    return blurred(_studio(scene, camera, size), sharp, rows)


@lru_cache(maxsize=1)
def _studio(scene: Scene, camera: Camera, size: tuple[int, int]) -> RayStudio:
    """The studio, built once in the process that deals out the rows and draws some of them."""
    return RayStudio(scene, camera, size)


def _bands(key: np.ndarray, table: int, height: int, count: int) -> list[range]:
    """Rows for each of some workers, about equal work for all.

    Parameters
    ----------
    key : patches of a coarse raster, shape (h, w); `table` is that of the table.
    """
    busy = EDGE_WORK * neighbours.edges(key) + PAPER_WORK * (key != table) + 1
    work = np.concatenate([[0], np.cumsum(busy.sum(axis=1))])
    rows = np.minimum(np.arange(len(work)) * COARSE, height)
    cuts = np.rint(np.interp(np.linspace(0, work[-1], count + 1), work, rows)).astype(int)
    return [range(a, b) for a, b in pairwise(cuts.tolist()) if b > a]


def view_of(
    studio: RayStudio, rows: range, step: int = 1, wanted: range | None = None
) -> PixelView:
    """What the middles of the pixels of some rows see; with a step only of every so many.

    Parameters
    ----------
    wanted : see :class:`PixelView`; all if None.
    """
    width = studio.drawn[0]
    down, across = np.arange(rows.start, rows.stop, step), np.arange(0, width, step)
    numbers = (down[:, None] * width + across).ravel()
    rays = studio.rays(numbers, places_of_grid(1))
    hits = studio.tracer.nearest(np.broadcast_to(studio.eye, rays.shape), rays)
    ground = grounds.distance(studio.scene, studio.camera, rays.T)
    distance = np.where(hits.triangle < 0, ground, hits.distance)
    key = studio.patch_of[hits.triangle]
    shape = (len(down), len(across))
    return PixelView(
        numbers,
        shape,
        (rows.start // step, 0),
        key,
        studio.kin[key].reshape(shape),
        studio.before(rays, distance),
        distance,
        wanted or range(len(down)),
    )


def coarse_view(studio: RayStudio) -> PixelView:
    """What every so many pixels of the whole picture see."""
    return view_of(studio, range(BORDER, BORDER + studio.size[1]), COARSE)


def glow_of(studio: RayStudio, view: PixelView, recipe: StillRecipe) -> np.ndarray:
    """Mean light that each patch sends out where it is seen, a guess where it is not.

    So that paper glows on paper. Shape (P + 1, 3).
    """
    glow = studio.first_glow()
    for _ in range(recipe.orders):
        before, glow = glow, _glow_after(studio, view, recipe, glow)
        if np.abs(glow - before).max() < SETTLED:
            break
    return glow


def _glow_after(
    studio: RayStudio, view: PixelView, recipe: StillRecipe, first: np.ndarray
) -> np.ndarray:
    """The same, of paper in the light that other paper sends out at `first`."""
    inside = samples.places(samples.FEW)
    # Only means over patches are wanted, which need no fine light.
    few = samples.FEW
    rough = replace(recipe, key=few, sky=few, vary=np.inf, refine=np.inf)
    shown = _lit(studio, view, rough, first).shown(studio, view, inside, np.inf)
    size = len(first)
    counts = np.bincount(view.key, minlength=size)
    sums = np.stack([np.bincount(view.key, light, size) for light in shown], axis=1)
    # What lamps send is looked for at them, since few rays would meet a lit window.
    mean = sums / np.maximum(counts, 1)[:, None] - studio.emitted
    return np.where(counts[:, None] >= 4, mean, first).astype(np.float32)


def _lit(studio: RayStudio, view: PixelView, recipe: StillRecipe, glow: np.ndarray) -> samples.Lit:
    """The light on the pixels of a view."""
    rays, sky = studio.key_rays(recipe.key), studio.sky(recipe.sky, glow)
    coarse = studio.sky(COARSE_SKY * recipe.sky, glow)
    sun = key_shares(studio, view, rays)
    around = sky_light(studio, view, (coarse, sky), recipe.vary, recipe.refine)
    falling, kept = studio.falling(view.key, view.points, sun, around)
    directions = studio.rays(view.numbers, places_of_grid(1)).T
    heights = ((view.numbers // studio.drawn[0] - BORDER + 0.5) / studio.size[1]).astype(np.float32)
    angle = studio.camera.pixel_angle(studio.size[1])
    ground = grounds.look(studio.scene, studio.camera, directions, heights, angle)
    return samples.Lit(falling, kept, ground, rays, sky)


def light_of(studio: RayStudio, rows: range, recipe: StillRecipe, glow: np.ndarray) -> np.ndarray:
    """Linear light of some rows through a pinhole, shape (rows, w, 3); see :func:`sharp_of`."""
    return glazed(studio, sharp_of(studio, rows, recipe, glow), rows)


def sharp_of(studio: RayStudio, rows: range, recipe: StillRecipe, glow: np.ndarray) -> Sharp:
    """Some rows of the picture through a pinhole, without clear film; `glow` as of `Studio.sky`.

    Rows are the same whichever others are drawn with them: enough rows beside them are drawn as
    well, since filters and the choice of pixels look at neighbours.
    """
    height = studio.drawn[1]
    first, last = rows.start + BORDER, rows.stop + BORDER
    start = max(first - BESIDE, 0) // COARSE * COARSE
    rows_drawn = range(start, min(last + BESIDE, height))
    view = view_of(studio, rows_drawn, wanted=range(first - start, last - start))
    lit = _lit(studio, view, recipe, glow)
    light, plain = samples.picture(studio, view, lit, recipe.places, recipe.calm)

    def kept(image: np.ndarray) -> np.ndarray:
        whole = np.moveaxis(image.reshape(*image.shape[:-1], *view.shape), (-2, -1), (0, 1))
        return whole[first - start : last - start, BORDER:-BORDER]

    return Sharp(kept(light), kept(plain), kept(view.key), kept(view.distance))


def glazed(studio: RayStudio, sharp: Sharp, rows: range) -> np.ndarray:
    """The light of some rows behind the clear film, shape (rows, w, 3)."""
    if not studio.glass.surfaces:
        return sharp.light
    width, height = sharp.key.shape[1], len(rows)
    covered = studio.glass.window(studio.size)
    down, across = covered // width - rows.start, covered % width
    inside = (down >= 0) & (down < height)
    picture = np.moveaxis(sharp.light, -1, 0).reshape(3, -1).copy()
    numbers = np.arange(width * height)
    numbers = (numbers // width + rows.start + BORDER) * studio.drawn[0] + numbers % width + BORDER
    glaze(
        studio.glass,
        picture,
        sharp.distance.ravel(),
        (height, width),
        (down * width + across)[inside],
        lambda some, places: studio.rays(numbers[some], places),
    )
    return np.moveaxis(picture.reshape(3, height, width), 0, -1)


def _shown(light: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Linear light as 8-bit pixels, some rows at a time, since much is in memory for each.

    They are rounded with half a level of fixed noise, which breaks up bands in the backdrop.
    """
    picture = np.empty(light.shape, np.uint8)
    dark = grounds.vignette(size)
    noise = np.random.default_rng(7).random(light.shape[:2], np.float32)[..., None]
    for start in range(0, len(light), ROWS_AT_ONCE):
        rows = slice(start, start + ROWS_AT_ONCE)
        levels = encode(light[rows] * dark[rows]) + (noise[rows] - 0.5) * np.float32(0.9)
        picture[rows] = np.clip(np.rint(levels), 0, 255)
    return picture
