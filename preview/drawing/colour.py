"""sRGB and linear light (IEC 61966-2-1): the one place where colours are decoded and encoded."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

# Above this linear value highlights roll off towards white instead of clipping; below it a picture
# shows exactly the colours of the design file. Our choice.
SHOULDER = 0.85


def srgb_to_linear(encoded: np.ndarray) -> np.ndarray:
    """SRGB values in 0..1, any shape, to linear light."""
    encoded = np.asarray(encoded, float)
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(linear: np.ndarray) -> np.ndarray:
    """Linear light in 0..1, any shape, to sRGB values in 0..1."""
    linear = np.clip(np.asarray(linear, float), 0.0, 1.0)
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)


def channels(colour: str) -> tuple[int, int, int]:
    """The three 8-bit channels of ``#rrggbb`` or ``#rgb``; ValueError if it is neither."""
    digits = colour.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    if len(digits) != 6 or not colour.startswith("#"):
        raise ValueError(f"{colour!r} is not a colour like #d9a441")
    return int(digits[:2], 16), int(digits[2:4], 16), int(digits[4:], 16)


@lru_cache(maxsize=4096)
def _linear(colour: str) -> tuple[float, float, float]:
    r, g, b = srgb_to_linear(np.array(channels(colour)) / 255.0)
    return float(r), float(g), float(b)


def linear(colour: str) -> np.ndarray:
    """Linear light of ``#rrggbb``, shape (3,)."""
    return np.array(_linear(colour))


@lru_cache(maxsize=64)
def linears(colours: tuple[str, ...]) -> np.ndarray:
    """Linear light of several of them, shape (n, 3); not to be written to."""
    found = np.array([_linear(colour) for colour in colours]).reshape(-1, 3)
    found.flags.writeable = False
    return found


def roll_off(light: np.ndarray) -> np.ndarray:
    """Tone curve on linear light: identity up to ``SHOULDER``, then a shoulder towards 1."""
    room = 1.0 - SHOULDER
    over = np.maximum(light - SHOULDER, 0.0)
    return np.where(light > SHOULDER, SHOULDER + room * (1.0 - np.exp(-over / room)), light)


TABLE_STEPS = 8192  # our choice
TABLE_TOP = 2.0


@lru_cache(maxsize=1)
def _table() -> np.ndarray:
    return np.rint(_levels()).astype(np.uint8)


@lru_cache(maxsize=1)
def _levels() -> np.ndarray:
    # Steps are even in the square root of the light, where the curve is nearly straight.
    root = np.linspace(0.0, np.sqrt(TABLE_TOP), TABLE_STEPS)
    return (255.0 * linear_to_srgb(roll_off(root**2))).astype(np.float32)


def encode(light: np.ndarray) -> np.ndarray:
    """Linear light to levels of 8 bits through the tone curve, not rounded, float32."""
    return np.asarray(_levels().take(_step_of(light), mode="clip"))


def develop(light: np.ndarray) -> np.ndarray:
    """Linear light to 8-bit pixels through the tone curve, by table: uint8 of the same shape."""
    return np.asarray(_table().take(_step_of(light), mode="clip"))


def _step_of(light: np.ndarray) -> np.ndarray:
    """The nearest entry of a table."""
    scale = np.float32((TABLE_STEPS - 1) / np.sqrt(TABLE_TOP))
    root = np.clip(light, 0.0, TABLE_TOP, dtype=np.float32)
    np.sqrt(root, out=root)
    root *= scale
    root += np.float32(0.5)
    # The fewer bits, the less memory.
    return np.asarray(root.astype(np.uint16))
