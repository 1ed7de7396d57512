"""Contrast and flashing as the Web Content Accessibility Guidelines define them."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from .colour import srgb_to_linear

# Source: WCAG 2.2, definition of "general flash": a pair of opposing changes of at least 10 % of
# the maximum relative luminance, the darker state below 0.80.
FLASH_STEP = 0.10
# Source: the same definition.
FLASH_DARK = 0.80
# More than a quarter of any 10 degree field: about 21,824 of 1024 × 768 pixels (source: WCAG 2.2,
# same definition), taken here as a share of the whole picture.
FLASH_AREA = 21_824 / (1024 * 768)
# Source: WCAG 2.2, success criterion 2.3.1: not more than three general flashes in any one second.
FLASHES_ALLOWED = 3


def relative_luminance(picture: np.ndarray) -> np.ndarray:
    """Relative luminance of sRGB colours, 0 black to 1 white.

    ``L = 0.2126 R + 0.7152 G + 0.0722 B`` of the linear channels. Source: WCAG 2.2, definition of
    relative luminance.

    Parameters
    ----------
    picture : shape (..., 3), uint8.
    """
    red, green, blue = (_levels()[np.asarray(picture)[..., channel]] for channel in range(3))
    return np.asarray(0.2126 * red + 0.7152 * green + 0.0722 * blue)


@lru_cache(maxsize=1)
def _levels() -> np.ndarray:
    """Linear light of each of the 256 levels of sRGB."""
    return srgb_to_linear(np.arange(256) / 255.0)


def contrast_ratio(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Contrast of two relative luminances, 1 to 21: ``(L1 + 0.05) / (L2 + 0.05)``.

    Source: WCAG 2.2, definition of contrast ratio.
    """
    lighter, darker = np.maximum(first, second), np.minimum(first, second)
    return (lighter + 0.05) / (darker + 0.05)


def most_flashes(frames: Iterable[np.ndarray], fps: float) -> int:
    """The largest number of general flashes within any one second.

    Source: WCAG 2.2, success criterion 2.3.1; at most three are allowed. A pixel turns when its
    luminance has moved by 10 % of the maximum away from its last extreme; two opposing turns are a
    flash. What counts is how often more than the allowed area flashes within the same second.

    Parameters
    ----------
    frames : sRGB pictures of one size, shape (h, w, 3), uint8.
    fps : frames per second.
    """
    second: deque[np.ndarray] = deque(maxlen=max(1, math.ceil(fps)))
    extreme = direction = turns = None
    most = 0
    for frame in frames:
        luminance = relative_luminance(frame)
        if extreme is None or direction is None or turns is None:
            extreme, direction = luminance, np.zeros(luminance.shape, np.int8)
            turns = np.zeros(luminance.shape, np.int32)
            continue
        change = luminance - extreme
        sign = np.sign(change)
        dark = np.minimum(luminance, extreme) < FLASH_DARK
        turned = (np.abs(change) >= FLASH_STEP) & dark & (sign != direction)
        direction = np.where(turned, sign, direction).astype(np.int8)
        extreme = np.where(turned | (sign == direction), luminance, extreme)
        if len(second) == second.maxlen:
            turns -= second[0]
        second.append(turned)
        turns += turned
        while ((turns // 2) > most).mean() > FLASH_AREA:
            most += 1
    return most
