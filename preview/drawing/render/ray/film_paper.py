"""Frames of a film: what metal, coarse paper and lamps make of their light."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from . import neighbours
from .finish import FINISHES, LEAST_SKY, metal_normals
from .lamps import shaded
from .material import (
    TOOTH_ALBEDO,
    TOOTH_FADE_MM,
    TOOTH_KEY,
    TOOTH_SKY,
    Texture,
    footprint,
    grain,
)

if TYPE_CHECKING:
    from .film import FilmFrame

# Metal that the key grazes is lit as if its cosine with it were this. Our choice.
LEAST_FACING = 0.08
# Paper that the key grazes shows no deeper tooth than at this cosine: its sky is even. Our choice.
LEAST_LIT = 0.35


def mirroring(
    frame: FilmFrame, keys: np.ndarray, rays: np.ndarray, sun: np.ndarray, sky: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Shares of key and sky (n,), changed where metal mirrors them.

    Parameters
    ----------
    rays : from the eye, unit, shape (n, 3).
    """
    shiny = np.flatnonzero(frame.sheen.take(keys)) if frame.sheen.any() else np.zeros(0, int)
    if not len(shiny):
        return sun, sky
    mine, rays, sun, sky = keys[shiny], rays[shiny], sun.copy(), sky.copy()
    key, around = frame.mirror.shown(rays, _metal_normals(frame, mine, rays))
    facing, sheen = frame.facing[mine], frame.sheen[mine]
    # Dull paper makes of the key what its cosine with it is.
    up = np.float32(frame.light.towards_key[2])
    share = 1 + sheen * (up * key / np.maximum(facing, LEAST_FACING) - 1)
    sun[shiny] *= np.where(facing > 0, share, 1)
    sky[shiny] *= 1 + sheen * (around / np.maximum(frame.open_sky[mine], LEAST_SKY) - 1)
    return sun, sky


def _metal_normals(frame: FilmFrame, keys: np.ndarray, rays: np.ndarray) -> np.ndarray:
    """Normals of metallic card where rays from the eye meet it, shape (n, 3)."""
    axes = np.array([s.rotation[:, :2] for s in frame.solid], np.float32)[keys]
    places = np.array([s.translation for s in frame.solid], np.float32)[keys]
    normals = frame.normals[keys]
    away = ((places - frame.lens.eye) * normals).sum(axis=1) / (rays * normals).sum(axis=1)
    local = frame.lens.eye + away[:, None] * rays - places
    flat = (local[:, :, None] * axes).sum(axis=1)
    seeds = np.array([s.seed % 9973 for s in frame.solid])[keys]
    return metal_normals(normals, axes, flat, seeds)


def textures_of(frame: FilmFrame, patches: Iterable[int]) -> list[Texture]:
    """What some patches show beyond their plain colours."""
    camera, found = frame.lens.camera, []
    angle, eye = camera.pixel_angle(frame.lens.shape[0]), np.array(camera.eye)
    for k in patches:
        surface, front = frame.solid[k], bool(frame.patches.front[k])
        if Texture.needed(surface, front):
            seen = footprint(surface, eye, angle)
            found.append(Texture(k, surface, front, frame.patches.albedo[k], seen))
    return found


def roughness(frame: FilmFrame, patch: int, points: np.ndarray) -> np.ndarray:
    """What the tooth of coarse paper makes of its light at points (n, 3): a factor, shape (n,).

    That of card is finer than the pixels of a film.
    """
    low, high = TOOTH_FADE_MM
    fade = np.clip((high - frame.lens.pixel / 2) / (high - low), 0.0, 1.0)
    if not fade:
        return np.ones(len(points), np.float32)
    surface, lens = frame.solid[patch], frame.lens
    axes = surface.rotation[:, :2].astype(np.float32)
    flat = (points - surface.translation.astype(np.float32)) @ axes
    relief = grain(flat, np.full(len(points), surface.seed % 9973), lens.pixel, True)
    height, slope = relief[:, 0], -relief[:, 1:] @ (frame.light.towards_key @ axes)
    bent = TOOTH_KEY * slope / max(abs(float(frame.facing[patch])), LEAST_LIT) / 2
    tooth = fade * FINISHES[surface.finish].tooth
    factor = 1 + tooth * (TOOTH_ALBEDO * height + bent + TOOTH_SKY * slope / 2)
    return np.asarray(np.maximum(factor, 0), np.float32)


def light_of_lamps(frame: FilmFrame) -> np.ndarray:
    """Light of lamps on each pixel, shape (3, n): looked for at every second one both ways."""
    step = frame.recipe.lamps
    raster = frame.lens.grid(step)
    key = frame.key_image[::step, ::step]
    sums = np.zeros((6, len(raster.pixels)), np.float32)
    for group, places in enumerate(raster.groups):
        mine = raster.pixels[places]
        sums[:, places] = _lamps_seen(frame, frame.places(mine).T, frame.key[mine], group)
    filtered = np.stack(neighbours.box(key, *(row.reshape(key.shape) for row in sums)))
    keys, points = frame.key[raster.pixels], frame.places(raster.pixels).T
    falling = frame.lamps.falling(points, frame.normals[keys], frame.through[keys])
    light = shaded(falling, filtered.reshape(6, -1)).reshape(3, *key.shape)
    while step > 1:
        step //= 2
        coarse, key = key, frame.key_image[::step, ::step]
        light, lost = neighbours.upsample(key, coarse, light)
        if len(lost):
            alone = frame.lens.grid(step).pixels[lost]
            found = lamps_at(frame, frame.places(alone).T, frame.key[alone])
            light.reshape(3, -1)[:, lost] = found
    return light.reshape(3, -1)


def _lamps_seen(
    frame: FilmFrame, points: np.ndarray, keys: np.ndarray, group: int | None
) -> np.ndarray:
    return frame.lamps.seen(points, frame.normals[keys], frame.through[keys], frame.quick, group)


def lamps_at(frame: FilmFrame, points: np.ndarray, keys: np.ndarray) -> np.ndarray:
    """Light of lamps on single points (n, 3), shape (3, n)."""
    falling = frame.lamps.falling(points, frame.normals[keys], frame.through[keys])
    return shaded(falling, _lamps_seen(frame, points, keys, None))
