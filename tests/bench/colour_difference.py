"""CIEDE2000, the colour difference of CIE 142-2001, as in G. Sharma, W. Wu, E. N. Dalal, "The
CIEDE2000 color-difference formula", Color Research and Application 30 (2005), 21.
"""

from __future__ import annotations

import numpy as np

# From sRGB in linear light to CIE XYZ under D65. Source: IEC 61966-2-1.
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = TO_XYZ.sum(axis=1)


def lab(srgb: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of sRGB colours, 0 to 1, shape (..., 3). Source: CIE 15, IEC 61966-2-1."""
    light = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    share = light @ TO_XYZ.T / WHITE
    f = np.where(share > (6 / 29) ** 3, np.cbrt(share), share * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def ciede2000(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Difference of two arrays of L*a*b* colours, shape (..., 3) each."""
    (l1, a1, b1), (l2, a2, b2) = np.moveaxis(one, -1, 0), np.moveaxis(other, -1, 0)
    mean7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1 + 0.5 * (1 - np.sqrt(mean7 / (mean7 + 25.0**7)))
    c1, c2 = np.hypot(stretch * a1, b1), np.hypot(stretch * a2, b2)
    h1, h2 = (np.degrees(np.arctan2(b, stretch * a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = np.where(c1 * c2 == 0, 0, (h2 - h1 + 180) % 360 - 180)
    hue_step = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)
    light, chroma, hue = (l1 + l2) / 2, (c1 + c2) / 2, _mean_hue(h1, h2, c1 * c2 == 0)
    s_l = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    s_c, s_h = 1 + 0.045 * chroma, 1 + 0.015 * chroma * _hue_weight(hue)
    blue = 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    turned = -np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2)))) * blue
    dl, dc, dh = (l2 - l1) / s_l, (c2 - c1) / s_c, hue_step / s_h
    return np.asarray(np.sqrt(dl**2 + dc**2 + dh**2 + turned * dc * dh))


def _mean_hue(h1: np.ndarray, h2: np.ndarray, grey: np.ndarray) -> np.ndarray:
    """Mean of two hue angles, degrees, the short way round."""
    total = h1 + h2
    far = np.abs(h1 - h2) > 180
    mean = np.where(far, np.where(total < 360, total + 360, total - 360), total) / 2
    return np.where(grey, total, mean)


def _hue_weight(hue: np.ndarray) -> np.ndarray:
    angles = [(hue - 30, -0.17), (2 * hue, 0.24), (3 * hue + 6, 0.32), (4 * hue - 63, -0.20)]
    return 1 + sum(share * np.cos(np.radians(angle)) for angle, share in angles)
