"""What a photographic lens sees: field of view, distance and depth of field.

Lengths are millimetres, angles radians. Distances are measured from the front principal plane of a
thin lens, as the textbook formulas are; the marked film plane of a real camera lies farther back
by about ``focal * (1 + magnification)``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Sensor:
    """The picture area of a camera.

    Parameters
    ----------
    width, height : mm.
    confusion : diameter of the circle of confusion, mm (common practice, no source: about the
        sensor's diagonal divided by 1,400).
    """

    name: str
    width: float
    height: float
    confusion: float

    @property
    def diagonal(self) -> float:
        """Diagonal of the picture area, mm."""
        return math.hypot(self.width, self.height)

    def crop(self, aspect: float) -> Sensor:
        """The largest part of the sensor with that width over height."""
        width = min(self.width, self.height * aspect)
        return Sensor(self.name, width, width / aspect, self.confusion)

    def upright(self) -> Sensor:
        """The same sensor with the camera turned to portrait."""
        return Sensor(self.name, self.height, self.width, self.confusion)


# Common practice, no source; makers differ a little.
SENSORS = {
    "full-frame": Sensor("full-frame", 36.0, 24.0, 0.03),
    "aps-c": Sensor("aps-c", 23.5, 15.6, 0.02),
    "four-thirds": Sensor("four-thirds", 17.3, 13.0, 0.015),
    "one-inch": Sensor("one-inch", 13.2, 8.8, 0.011),
    # A typical main camera of a telephone; makers differ.
    "phone": Sensor("phone", 9.8, 7.3, 0.008),
}


@dataclass(frozen=True)
class LensStop:
    """How far a lens is stopped down, on a camera with that sensor.

    Parameters
    ----------
    f_number : focal length over the diameter of the opening.
    """

    sensor: Sensor
    f_number: float

    def diameter(self, angle: float, distance: float, aspect: float) -> float:
        """Diameter of the opening, mm, of a lens that has a vertical angle of view (radians).

        Parameters
        ----------
        distance : at which it is focused, mm.
        aspect : width of the picture over its height; the camera is turned for upright ones.
        """
        whole = self.sensor.upright() if aspect < 1 else self.sensor
        return focal_length(angle, whole.crop(aspect).height, distance) / self.f_number


@dataclass(frozen=True)
class Focus:
    """The distances that look sharp, mm; `far` is infinite from the hyperfocal distance on."""

    hyperfocal: float
    near: float
    far: float

    @property
    def depth(self) -> float:
        """Depth of field, mm."""
        return self.far - self.near


def field_of_view(side: float, focal: float) -> float:
    """Angle of view over one side of the sensor: ``2 atan(side / 2 f)``, radians.

    Source: the pinhole model of any optics textbook.
    """
    return 2 * math.atan(side / (2 * focal))


def distance_for_width(width: float, side: float, focal: float) -> float:
    """Distance at which a subject `width` wide fills a sensor side: ``f (1 + 1/m)``, mm.

    `m = side / width` is the magnification. Source: thin-lens equation.
    """
    return focal * (1 + width / side)


def covered_width(distance: float, side: float, focal: float) -> float:
    """Width of the subject plane at that distance which a sensor side takes in, mm."""
    return side * (distance / focal - 1)


def focal_length(angle: float, side: float, distance: float) -> float:
    """Focal length of a lens that is focused at a distance and sees a side at an angle, mm.

    Behind the lens the picture lies ``v = side / (2 tan(angle / 2))`` away, and
    ``1 / f = 1 / v + 1 / distance``. Source: thin-lens equation.

    Parameters
    ----------
    angle : radians.
    side, distance : mm.
    """
    behind = side / (2 * math.tan(angle / 2))
    return behind * distance / (behind + distance)


def blur_circle(focal: float, f_number: float, focused: float, distance: float) -> float:
    """Diameter of the disc on the sensor over which a point out of focus spreads, mm.

    ``c = f / N · |s - d| / s · f / (d - f)`` for a point at s and a lens focused at d. Source:
    thin-lens equation and similar triangles, as in any optics textbook.

    Parameters
    ----------
    focal, focused, distance : mm.
    """
    return focal / f_number * abs(distance - focused) / distance * focal / (focused - focal)


def focus(focal: float, f_number: float, confusion: float, distance: float) -> Focus:
    """Hyperfocal distance, near and far limit of sharpness.

    ``H = f²/(N c) + f``, ``near = s (H - f)/(H + s - 2 f)``, ``far = s (H - f)/(H - s)``.
    Source: A. R. Greenleaf, Photographic Optics, MacMillan 1950, pp. 25-27.

    Parameters
    ----------
    focal, confusion, distance : mm.

    Raises
    ------
    ValueError
        If the subject is nearer than the focal length or a number is not positive.
    """
    if min(focal, f_number, confusion) <= 0 or distance <= focal:
        raise ValueError(
            f"cannot focus at {distance:g} mm with a {focal:g} mm lens; "
            "the subject must be farther away than the focal length"
        )
    hyperfocal = focal**2 / (f_number * confusion) + focal
    near = distance * (hyperfocal - focal) / (hyperfocal + distance - 2 * focal)
    far = np.inf
    if distance < hyperfocal:
        far = distance * (hyperfocal - focal) / (hyperfocal - distance)
    return Focus(hyperfocal, near, float(far))
