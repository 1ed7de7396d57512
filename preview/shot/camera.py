"""Pinhole cameras: rays, projection, framing, named views and paths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

Point = tuple[float, float, float]

# A long lens, as product photographers use: it keeps uprights upright. Common practice, no source.
LONG_LENS = np.radians(27.0)


@dataclass(frozen=True)
class Camera:
    """A pinhole camera, or one with a lens; z is up.

    Parameters
    ----------
    eye, target : mm.
    field : vertical angle of view, radians.
    aperture : diameter of its lens, mm, which is focused at the distance of the target; 0 for a
        pinhole. Stills of the ``ray`` engine alone show it.
    """

    eye: Point
    target: Point
    field: float = float(LONG_LENS)
    aperture: float = 0.0

    def __post_init__(self) -> None:
        if not np.linalg.norm(np.subtract(self.target, self.eye)) > 0:
            raise ValueError("the camera's eye and target are the same point")

    @property
    def axes(self) -> np.ndarray:
        """Rows right, up and forward, unit vectors, shape (3, 3)."""
        return _axes(self.eye, self.target)

    @property
    def azimuth(self) -> float:
        """Where the camera stands around its target, radians; -pi/2 is the reader's place."""
        away = np.subtract(self.eye, self.target)
        flat = float(np.hypot(away[0], away[1]))
        return float(np.arctan2(away[1], away[0])) if flat > 1e-6 else -np.pi / 2

    @property
    def distance(self) -> float:
        """From eye to target, mm."""
        return float(np.linalg.norm(np.subtract(self.target, self.eye)))

    def rays(self, columns: np.ndarray, rows: np.ndarray, size: tuple[int, int]) -> np.ndarray:
        """Unit directions of the rays through pixel positions, shape (n, 3).

        Parameters
        ----------
        columns, rows : shape (n,), pixels; the centre of the first pixel is (0.5, 0.5).
        size : width and height of the picture, pixels.
        """
        width, height = size
        right, up, forward = self.axes
        reach = np.tan(self.field / 2) / (height / 2)
        x = (np.asarray(columns) - width / 2) * reach
        y = (height / 2 - np.asarray(rows)) * reach
        directions = forward + x[:, None] * right + y[:, None] * up
        return directions / np.linalg.norm(directions, axis=1, keepdims=True)

    def project(self, points: np.ndarray, size: tuple[int, int]) -> np.ndarray:
        """Pixel positions of points, shape (n, 2); NaN for points behind the camera.

        Parameters
        ----------
        points : shape (n, 3), mm.
        size : width and height of the picture, pixels.
        """
        width, height = size
        x, y, depth = ((np.atleast_2d(points) - np.array(self.eye)) @ self.axes.T).T
        depth = np.where(depth > 1e-9, depth, np.nan)
        scale = height / 2 / np.tan(self.field / 2) / depth
        return np.stack([width / 2 + x * scale, height / 2 - y * scale], axis=1)

    def millimetres_per_pixel(self, height: int) -> float:
        """Size of a pixel at the target, mm, for a picture of that many rows."""
        return self.distance * self.pixel_angle(height)

    def pixel_angle(self, height: int) -> float:
        """Angle of a pixel in the middle of a picture of that many rows, radians."""
        return 2 * float(np.tan(self.field / 2)) / height

    def orbit(self, angle: float) -> Camera:
        """The camera carried around the upright line through its target, radians."""
        c, s = np.cos(angle), np.sin(angle)
        x, y, z = np.subtract(self.eye, self.target).tolist()
        tx, ty, tz = self.target
        return replace(self, eye=(tx + c * x - s * y, ty + s * x + c * y, tz + z))

    def zoom(self, factor: float) -> Camera:
        """The camera with its picture enlarged by a factor about the target."""
        return replace(self, field=2 * float(np.arctan(np.tan(self.field / 2) / factor)))

    def with_field(self, field: float) -> Camera:
        """The camera with another angle of view (radians), where it sees as much at its target."""
        scale = np.tan(self.field / 2) / np.tan(field / 2)
        away = np.subtract(self.eye, self.target) * scale
        return Camera(_point(np.add(self.target, away)), self.target, field)


@lru_cache(maxsize=256)
def _axes(eye: Point, target: Point) -> np.ndarray:
    forward = np.subtract(target, eye).astype(float)
    forward /= np.linalg.norm(forward)
    right = np.array([forward[1], -forward[0], 0.0])
    # Straight up or down has no right of its own; keep the reader's.
    right = right / np.linalg.norm(right) if np.linalg.norm(right) > 1e-9 else np.eye(3)[0]
    axes = np.stack([right, np.cross(right, forward), forward])
    axes.flags.writeable = False
    return axes


def from_angles(
    target: Point, azimuth: float, elevation: float, distance: float, field: float = LONG_LENS
) -> Camera:
    """A camera at that azimuth and elevation (radians) and distance (mm) from its target."""
    flat = distance * np.cos(elevation)
    eye = np.add(
        target, [flat * np.cos(azimuth), flat * np.sin(azimuth), distance * np.sin(elevation)]
    )
    return Camera(_point(eye), target, float(field))


def frame(
    points: np.ndarray,
    azimuth: float,
    elevation: float,
    aspect: float,
    field: float = LONG_LENS,
    margins: tuple[float, float] = (0.06, 0.06),
) -> Camera:
    """The nearest camera looking that way which has all points in its picture, centred.

    Parameters
    ----------
    points : shape (n, 3), mm.
    azimuth, elevation : where the camera stands, radians.
    aspect : width over height of the picture.
    field : vertical angle of view, radians.
    margins : share of the width and of the height to leave free on each side.

    Notes
    -----
    With the direction fixed, "point i is inside the picture" is linear in the eye, so the nearest
    eye follows from the extremes of the points along the four sides of the view.
    """
    axes = from_angles((0.0, 0.0, 0.0), azimuth, elevation, 1.0, field).axes
    x, y, depth = axes @ np.asarray(points, float).T
    upright = np.tan(field / 2) * (1 - 2 * margins[1])
    across = np.tan(field / 2) * aspect * (1 - 2 * margins[0])
    centre, nearest = [], []
    for side, slope in ((x, across), (y, upright)):
        most, least = (side - slope * depth).max(), (-side - slope * depth).max()
        nearest.append(-(most + least) / (2 * slope))
        centre.append((most - least) / 2)
    eye = np.array([*centre, min(nearest)])
    target = np.array([*centre, (depth.min() + depth.max()) / 2])
    return Camera(_point(eye @ axes), _point(target @ axes), float(field))


@dataclass(frozen=True)
class View:
    """A named place to look from.

    Parameters
    ----------
    azimuth, elevation : radians; azimuth -pi/2 is the reader's place.
    field : vertical angle of view, radians.
    is_close : whether it has only what stands up in its picture, not all of the pages.
    """

    name: str
    title: str
    azimuth: float
    elevation: float
    field: float = float(LONG_LENS)
    is_close: bool = False

    def frame(
        self, points: np.ndarray, aspect: float, margins: tuple[float, float] = (0.06, 0.06)
    ) -> Camera:
        """The camera of this view which has all points in its picture; see :func:`frame`."""
        return frame(points, self.azimuth, self.elevation, aspect, self.field, margins)


def _view(
    name: str, title: str, azimuth_deg: float, elevation_deg: float, is_close: bool = False
) -> View:
    azimuth, elevation = (np.radians(angle).item() for angle in (azimuth_deg, elevation_deg))
    return View(name, title, azimuth, elevation, is_close=is_close)


# Our choice.
VIEWS = {
    view.name: view
    for view in (
        _view("reader", "from the reader's place, looking down at the pages", -86, 27),
        _view("near", "close to what stands up; pages run out of the picture", -86, 30, True),
        _view("overhead", "straight down, as a camera on an arm sees it", -90, 88),
        _view("low", "near the table, so that the layers stand up", -84, 11),
        _view("right-corner", "from the right corner", -52, 26),
        _view("left-corner", "from the left corner", -128, 26),
        _view("edge-on", "along the pages, from the right", -8, 14),
        _view("level", "level with the pages", -90, 4),
    )
}


def close_up(points: np.ndarray, aspect: float, azimuth: float = np.radians(-68)) -> Camera:
    """A camera near one piece, given its points (n, 3) over the motion, mm."""
    return frame(
        points, azimuth, np.radians(22), aspect, field=np.radians(18), margins=(0.14, 0.14)
    )


def turntable(camera: Camera, count: int, turns: float = 1.0) -> list[Camera]:
    """Cameras around the target in even steps; the last is one step short of the first."""
    return [camera.orbit(2 * np.pi * turns * k / count) for k in range(count)]


def arc(camera: Camera, count: int, sweep: float) -> list[Camera]:
    """Cameras swinging through `sweep` radians, half to each side, eased at both ends."""
    if count == 1:
        return [camera]
    share = np.arange(count) / (count - 1)
    eased = share**3 * (10 - 15 * share + 6 * share**2)
    return [camera.orbit(float(sweep * (e - 0.5))) for e in eased]


def path(cameras: Sequence[Camera], count: int) -> list[Camera]:
    """Cameras in even steps along a smooth path through the given ones; see :func:`along`."""
    return along(cameras, np.linspace(0.0, 1.0, count)) if count > 1 else [cameras[0]]


def along(cameras: Sequence[Camera], travel: np.ndarray) -> list[Camera]:
    """Cameras on a smooth path through the given ones.

    Targets, distances, directions and fields are interpolated by splines, so that the picture
    neither jumps at a given camera nor cuts corners through the scene.

    Parameters
    ----------
    travel : places on the path, shape (n,), 0 at the first camera and 1 at the last.
    """
    from scipy.interpolate import PchipInterpolator

    if len(cameras) == 1:
        return [cameras[0]] * len(travel)
    rows = [
        [*c.target, azimuth, _elevation(c), np.log(c.distance), np.tan(c.field / 2)]
        for c, azimuth in zip(cameras, np.unwrap([c.azimuth for c in cameras]), strict=True)
    ]
    knots = np.linspace(0.0, 1.0, len(cameras))
    return [
        from_angles(
            _point(row[:3]), row[3], row[4], float(np.exp(row[5])), 2 * float(np.arctan(row[6]))
        )
        for row in PchipInterpolator(knots, np.array(rows))(travel)
    ]


def _elevation(camera: Camera) -> float:
    return float(np.arcsin((camera.eye[2] - camera.target[2]) / camera.distance))


def _point(vector: np.ndarray) -> Point:
    x, y, z = np.asarray(vector, float).tolist()
    return x, y, z
