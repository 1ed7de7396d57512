"""Lengths, transforms and shapes of SVG as rows of points."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np

from .tree import DrawingError, Element

TOLERANCE_MM = 0.05
MOST_POINTS = 100_000
MOST_MM = 10_000.0
# CSS Values and Units 3: 1 in = 2.54 cm = 25.4 mm = 96 px = 72 pt = 6 pc.
MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "q": 0.25,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "px": 25.4 / 96,
}
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z%]*)\s*")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
_ARGUMENTS = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewX": (1,),
    "skewY": (1,),
}
_PATH_TOKEN = re.compile(rf"[\s,]*(?:([MmLlHhVvCcSsQqTtAaZz])|({_NUMBER}))")
_FLAG = re.compile(r"[\s,]*(?:([A-Za-z])|([01]))")
_PATH_COUNT = {"m": 2, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7, "z": 0}


def number(text: str | None, element: Element, key: str, default: float | None = None) -> float:
    """A plain coordinate of an attribute, in user units.

    Raises
    ------
    DrawingError
        If it is missing, no number, not finite or absurdly large.
    """
    if text is None:
        if default is None:
            raise DrawingError(f"{element.label} has no {key}")
        return default
    match = _LENGTH.fullmatch(text)
    if not match or match[2] not in ("", "px"):
        raise DrawingError(f"{element.label}: {key} is {_shown(text)}; allowed: a plain number")
    return float(match[1])


def length_mm(text: str | None) -> float | None:
    """A length with an absolute unit in mm; None for anything else, such as per cent."""
    match = _LENGTH.fullmatch(text or "")
    if not match or match[2].lower() not in MM_PER_UNIT:
        return None
    value = float(match[1]) * MM_PER_UNIT[match[2].lower()]
    return value if math.isfinite(value) else None


def view_box(text: str | None) -> tuple[float, float, float, float] | None:
    """The four numbers of a viewBox; None if there is none; DrawingError if it is broken."""
    if text is None:
        return None
    parts = re.split(r"[\s,]+", text.strip())
    try:
        x, y, width, height = map(float, parts)
    except ValueError:
        raise DrawingError(f"viewBox is {_shown(text)}; allowed: four numbers") from None
    if not all(map(math.isfinite, (x, y, width, height))) or width <= 0 or height <= 0:
        raise DrawingError(f"viewBox is {_shown(text)}; allowed: a size above 0")
    return x, y, width, height


def transform(element: Element) -> np.ndarray:
    """The element's transform as a matrix of shape (3, 3) for points as columns."""
    text = element.style("transform") or ""
    matrix, at = np.eye(3), 0
    text = text.strip()
    while at < len(text):
        match = _TRANSFORM.match(text, at)
        if not match:
            raise DrawingError(f"{element.label}: transform {_shown(text)} is not understood")
        step = _step(match[1], match[2], element)
        matrix = matrix @ step if np.isfinite(step).all() else step
        if not np.abs(matrix).max() < 1e9:
            raise DrawingError(f"{element.label}: transform {_shown(text)} is far too large")
        at = match.end()
    return matrix


def _step(name: str, text: str, element: Element) -> np.ndarray:
    parts = [part for part in re.split(r"[\s,]+", text.strip()) if part]
    if len(parts) not in _ARGUMENTS[name] or not all(re.fullmatch(_NUMBER, p) for p in parts):
        raise DrawingError(f"{element.label}: {name}({text[:40]}) is not understood")
    v = [float(part) for part in parts]
    if name == "matrix":
        return np.array([[v[0], v[2], v[4]], [v[1], v[3], v[5]], [0, 0, 1]])
    if name == "translate":
        return _affine(1, 0, 0, 1, v[0], v[1] if len(v) > 1 else 0.0)
    if name == "scale":
        return _affine(v[0], 0, 0, v[-1], 0, 0)
    if name == "rotate":
        c, s = math.cos(math.radians(v[0])), math.sin(math.radians(v[0]))
        x, y = (v[1], v[2]) if len(v) == 3 else (0.0, 0.0)
        return _affine(c, s, -s, c, x - c * x + s * y, y - s * x - c * y)
    lean = math.tan(math.radians(v[0]))
    return _affine(1, 0, lean, 1, 0, 0) if name == "skewX" else _affine(1, lean, 0, 1, 0, 0)


def _affine(a: float, b: float, c: float, d: float, e: float, f: float) -> np.ndarray:
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]], float)


def apply(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points of shape (n, 2) moved by a matrix of shape (3, 3)."""
    return np.asarray(points @ matrix[:2, :2].T + matrix[:2, 2])


Line = tuple[np.ndarray, bool]


def outlines(element: Element, scale: float) -> list[Line]:
    """The lines of a shape in user units: points of shape (n, 2), and whether they close.

    Parameters
    ----------
    scale : mm in a user unit, so that curves are flattened to ``TOLERANCE_MM`` on paper.
    """
    maker = _SHAPES.get(element.tag)
    return maker(element, scale) if maker else []


def _path(element: Element, scale: float) -> list[Line]:
    data = element.attributes.get("d", "")
    _check_path(data, element)
    return _flatten(data, element, scale)


def _check_path(data: str, element: Element) -> None:
    """Refuse what the path grammar of SVG does not allow: a reader must not guess."""
    at, command, count, numbers = 0, "", 0, 0

    def close() -> None:
        need = _PATH_COUNT[command.lower()] if command else 0
        if command and (count % need if need else count):
            raise DrawingError(f"{element.label}: path breaks off in {command} near {_near()}")
        if command and need and not count:
            raise DrawingError(f"{element.label}: path has an empty {command} near {_near()}")

    def _near() -> str:
        return f"character {at}"

    data = data.rstrip(" \t\r\n,")
    while at < len(data):
        # The two flags of an arc are one digit each and need nothing between them.
        flag = command in "Aa" and bool(command) and count % 7 in (3, 4)
        match = (_FLAG if flag else _PATH_TOKEN).match(data, at)
        if not match:
            raise DrawingError(f"{element.label}: path is not understood near {_near()}")
        if match[1]:
            close()
            command, count = match[1], 0
        else:
            count += 1
            numbers += 1
            if not math.isfinite(float(match[2])) or not command:
                raise DrawingError(f"{element.label}: path is not understood near {_near()}")
        if numbers > 2 * MOST_POINTS:
            raise DrawingError(f"{element.label}: path has more than {MOST_POINTS} points")
        at = match.end()
    close()
    if data and data.lstrip()[0] not in "Mm":
        raise DrawingError(f"{element.label}: path does not begin with M")


def _flatten(data: str, element: Element, scale: float) -> list[Line]:
    from svgelements import Arc, Close, CubicBezier, Move, Path, QuadraticBezier

    lines: list[Line] = []
    points: list[np.ndarray] = []
    try:
        segments = list(Path(data))
    except (ValueError, IndexError, TypeError, ZeroDivisionError, AttributeError) as error:
        raise DrawingError(f"{element.label}: path is not understood: {error}") from None
    for segment in segments:
        if isinstance(segment, Move):
            _finish(lines, points, False)
            points = [_pair(segment.end)]
        elif isinstance(segment, Close):
            _finish(lines, points, True)
            points = [_pair(segment.end)] if segment.end is not None else []
        elif isinstance(segment, Arc):
            for cubic in segment.as_cubic_curves():
                points += bezier(_controls(cubic), scale)
        elif isinstance(segment, (CubicBezier, QuadraticBezier)):
            points += bezier(_controls(segment), scale)
        else:
            points.append(_pair(segment.end))
        if len(points) > MOST_POINTS:
            raise DrawingError(f"{element.label}: path has more than {MOST_POINTS} points")
    _finish(lines, points, False)
    return lines


def _finish(lines: list[Line], points: list[np.ndarray], closed: bool) -> None:
    if len(points) > 1:
        lines.append((np.array(points), closed))


def _pair(point: Any) -> np.ndarray:
    return np.array([float(point.x), float(point.y)])


def _controls(segment: Any) -> np.ndarray:
    names = ("start", "control1", "control2", "control", "end")
    found = [getattr(segment, name) for name in names if getattr(segment, name, None) is not None]
    return np.array([_pair(point) for point in found])


def bezier(controls: np.ndarray, scale: float) -> list[np.ndarray]:
    """Points of a Bézier curve after its start, chords within ``TOLERANCE_MM`` of it.

    The number of chords follows from the second differences of the controls (Wang's formula:
    G. Wang, The subdivision method for finding the intersection between two Bézier curves or
    surfaces, 1984): n = sqrt(d (d - 1) / 8 · max |P(i+2) - 2 P(i+1) + P(i)| / tolerance).

    Parameters
    ----------
    controls : shape (3, 2) or (4, 2), user units.
    scale : mm in a user unit.
    """
    degree = len(controls) - 1
    bend = np.linalg.norm(np.diff(controls, 2, axis=0), axis=1).max() * scale
    bound = math.sqrt(degree * (degree - 1) / 8 * bend / TOLERANCE_MM)
    if not math.isfinite(bound):
        raise DrawingError("a curve is far too large")
    chords = min(max(1, math.ceil(bound)), MOST_POINTS)
    t = np.linspace(0, 1, chords + 1)[1:, None]
    rows = list(controls)
    while len(rows) > 1:
        rows = [(1 - t) * a + t * b for a, b in pairwise(rows)]
    return list(rows[0])


def _line(element: Element, _: float) -> list[Line]:
    x1, y1, x2, y2 = (_at(element, key, 0.0) for key in ("x1", "y1", "x2", "y2"))
    return [(np.array([[x1, y1], [x2, y2]]), False)]


def _poly(element: Element, _: float) -> list[Line]:
    text = element.attributes.get("points", "").strip()
    parts = [part for part in re.split(r"[\s,]+", text) if part]
    if len(parts) > 2 * MOST_POINTS:
        raise DrawingError(f"{element.label}: has more than {MOST_POINTS} points")
    if len(parts) % 2 or not all(re.fullmatch(_NUMBER, part) for part in parts):
        raise DrawingError(f"{element.label}: points are not understood")
    points = np.array([float(part) for part in parts]).reshape(-1, 2)
    return [(points, element.tag == "polygon")] if len(points) > 1 else []


def _rectangle(element: Element, scale: float) -> list[Line]:
    x, y = _at(element, "x", 0.0), _at(element, "y", 0.0)
    wide, high = _at(element, "width"), _at(element, "height")
    if wide <= 0 or high <= 0:
        raise DrawingError(f"{element.label}: width and height must be above 0")
    rx, ry = element.attributes.get("rx"), element.attributes.get("ry")
    if rx in (None, "auto", "0") and ry in (None, "auto", "0"):
        corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        return [(np.array(corners, float), True)]
    a = min(_at(element, "rx" if rx is not None else "ry"), wide / 2)
    b = min(_at(element, "ry" if ry is not None else "rx"), high / 2)
    data = (
        f"M {x + a} {y} H {x + wide - a} A {a} {b} 0 0 1 {x + wide} {y + b} V {y + high - b} "
        f"A {a} {b} 0 0 1 {x + wide - a} {y + high} H {x + a} A {a} {b} 0 0 1 {x} {y + high - b} "
        f"V {y + b} A {a} {b} 0 0 1 {x + a} {y} Z"
    )
    return _flatten(data, element, scale)


def _ellipse(element: Element, scale: float) -> list[Line]:
    x, y = _at(element, "cx", 0.0), _at(element, "cy", 0.0)
    if element.tag == "circle":
        a = b = _at(element, "r")
    else:
        a, b = _at(element, "rx"), _at(element, "ry")
    if a <= 0 or b <= 0:
        raise DrawingError(f"{element.label}: its radius must be above 0")
    data = f"M {x + a} {y} A {a} {b} 0 0 1 {x - a} {y} A {a} {b} 0 0 1 {x + a} {y} Z"
    return _flatten(data, element, scale)


def _at(element: Element, key: str, default: float | None = None) -> float:
    value = number(element.attributes.get(key), element, key, default)
    if not math.isfinite(value) or abs(value) > 1e9:
        raise DrawingError(f"{element.label}: {key} is far too large")
    return value


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else f"{text[:37]}…")


_SHAPES: dict[str, Callable[[Element, float], list[Line]]] = {
    "path": _path,
    "line": _line,
    "polyline": _poly,
    "polygon": _poly,
    "rect": _rectangle,
    "circle": _ellipse,
    "ellipse": _ellipse,
}
