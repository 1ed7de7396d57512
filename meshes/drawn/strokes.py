"""From the tree to strokes that know what they are, in millimetres.

What a stroke is follows from a word on the element or on the nearest group around it that has one:
a class, the first word of a label (a layer's name) or the first part of an id. The words are those
of `ROLES`, in a label in any case and in the plural as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

import numpy as np

from . import geometry
from .tree import DrawingError, Element

# Words of our own choosing: what the line does to the paper.
ROLES = (
    "cut", "slit", "valley", "mountain", "glue", "place", "name", "gutter", "pin", "track", "spine"
)  # fmt: skip
# A point says where, whatever it is drawn with.
_POINTS = ("name", "pin")
# Areas with a letter, which a group around them may give.
_LETTERED = ("glue", "place")
# Groups: one sheet of paper; the open spread beneath; things only for the eye.
GROUPS = ("sheet", "spread", "notes")
MOST_USES = 2000
MOST_USE_DEPTH = 8
_SKIPPED = {
    "defs", "symbol", "clipPath", "mask", "marker", "pattern", "style", "metadata", "title", "desc",
    "script", "foreignObject", "image", "linearGradient", "radialGradient", "filter", "animate",
}  # fmt: skip
# Of these, what draws nothing anyway.
_SILENT = _SKIPPED - {"foreignObject", "image"}


@dataclass(frozen=True)
class Group:
    """The sheet that strokes belong to.

    Parameters
    ----------
    frame : True if its coordinates are the sheet's own, in mm and y up.
    back : drawn as seen from the back, so that valley and mountain are swapped.
    """

    key: str
    word: str
    attributes: Mapping[str, str] = field(default_factory=dict)
    frame: bool = False
    back: bool = False


@dataclass(frozen=True)
class Stroke:
    """One line of a drawing, mm, y up.

    Parameters
    ----------
    label : what to call its element in a message.
    points : shape (n, 2).
    """

    role: str
    name: str
    label: str
    points: np.ndarray
    closed: bool
    group: Group
    attributes: Mapping[str, str]


@dataclass(frozen=True)
class LeftAlone:
    """A line or another thing of a drawing that means nothing here.

    Parameters
    ----------
    layer : the name or id of the nearest group around it, if it has one.
    reason : ``no word``, ``in notes``, ``hidden`` or ``no line``.
    lines : what it would have drawn, each of shape (n, 2), mm; none if it can't be told.
    """

    label: str
    layer: str
    reason: str
    lines: tuple[np.ndarray, ...] = ()


@dataclass(frozen=True)
class _State:
    """What an element inherits; `letter` of a group that is a glue area or its place."""

    matrix: np.ndarray
    inner: np.ndarray
    role: str
    name: str
    group: Group
    uses: tuple[str, ...] = ()
    letter: str = ""
    layer: str = ""


def strokes(root: Element, scale: float | None) -> list[Stroke]:
    """All strokes with a role.

    Parameters
    ----------
    scale : mm in a user unit, for a file that gives no size of its own.

    Raises
    ------
    DrawingError
        If the file has no physical size and no scale is given, or anything in it is not
        understood.
    """
    return list(_Walk(root, _page_matrix(root, scale)).walk())


def told_apart(root: Element, scale: float | None) -> tuple[list[Stroke], list[LeftAlone]]:
    """All strokes with a role, and whatever else the drawing holds; raises as :func:`strokes`."""
    walk = _Walk(root, _page_matrix(root, scale))
    found = list(walk.walk())
    return found, walk.left


def _page_matrix(root: Element, scale: float | None) -> np.ndarray:
    """User units to mm with y up, shape (3, 3)."""
    wide = geometry.length_mm(root.attributes.get("width"))
    high = geometry.length_mm(root.attributes.get("height"))
    view = geometry.view_box(root.attributes.get("viewBox"))
    if scale is not None:
        x, y, size = (view[0], view[1], view[3]) if view else (0.0, 0.0, 0.0)
        return np.array([[scale, 0, -scale * x], [0, -scale, scale * (y + size)], [0, 0, 1.0]])
    if wide is None or high is None or not (wide > 0 and high > 0):
        raise DrawingError(
            "has no size: width and height need a unit, such as 210mm; or give `scale`, mm in one "
            "unit of the drawing"
        )
    if view is None:
        px = geometry.MM_PER_UNIT["px"]
        return np.array([[px, 0, 0], [0, -px, high], [0, 0, 1.0]])
    x, y, view_wide, view_high = view
    ratio = root.attributes.get("preserveAspectRatio", "xMidYMid meet")
    across, down = wide / view_wide, high / view_high
    if ratio.strip().startswith("none"):
        if abs(across / down - 1) > 1e-3:
            raise DrawingError("is stretched: its viewBox and its size have different proportions")
    else:
        across = down = max(across, down) if "slice" in ratio else min(across, down)
    left = _aligned(ratio, "x", wide - across * view_wide)
    top = _aligned(ratio, "Y", high - down * view_high)
    return np.array(
        [[across, 0, left - across * x], [0, -down, high - top + down * y], [0, 0, 1.0]]
    )


def _aligned(ratio: str, axis: str, rest: float) -> float:
    """Room before the drawing, by preserveAspectRatio (SVG 1.1, 7.8)."""
    match = re.search(rf"{axis}(Min|Mid|Max)", ratio)
    part = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}[match[1]] if match else 0.0
    return part * rest


class _Walk:
    """One pass over the tree; counts what `use` repeats."""

    def __init__(self, root: Element, page: np.ndarray) -> None:
        self.root, self.page = root, page
        self.by_id: dict[str, Element] = {}
        self._index(root)
        self.used = self.points = 0
        self.left: list[LeftAlone] = []

    def _index(self, element: Element) -> None:
        if "id" in element.attributes:
            self.by_id.setdefault(element.attributes["id"], element)
        for child in element.children:
            self._index(child)

    def walk(self) -> Iterator[Stroke]:
        """Every stroke, in the order of the file."""
        state = _State(self.page, np.eye(3), "", "", Group("", "sheet"))
        for child in self.root.children:
            yield from self._element(child, state)

    def _element(self, element: Element, state: _State) -> Iterator[Stroke]:
        if element.tag in _SKIPPED or element.style("display") == "none":
            if element.tag not in _SILENT:
                self._leave(element, state, "hidden" if element.tag not in _SKIPPED else "no line")
            return
        state = self._inherited(element, state)
        if state.group.word == "notes":
            self._leave(element, state, "in notes")
            return
        if element.tag == "use":
            yield from self._use(element, state)
        elif element.tag in ("g", "a", "svg", "switch"):
            if element.tag == "svg":
                raise DrawingError(f"{element.label}: an svg inside the svg is not understood")
            if not state.role:
                _check_spelling(element)
            for child in element.children:
                yield from self._element(child, state)
        elif state.role and element.style("visibility") != "hidden":
            yield from self._shape(element, state)
        elif not state.role:
            _check_spelling(element)
            self._leave(element, state, "no word")
        else:
            self._leave(element, state, "hidden")

    def _leave(self, element: Element, state: _State, reason: str) -> None:
        """Note the element and all that is in it as left alone."""
        if element.children and element.tag in ("g", "a", "switch"):
            inner = self._inherited(element, state)
            for child in element.children:
                if child.tag not in _SILENT:
                    self._leave(child, inner, reason)
            return
        matrix = state.matrix @ _step_of(element)
        try:
            scale = float(np.sqrt(abs(np.linalg.det(matrix[:2, :2]))))
            found = geometry.outlines(element, scale)
        except DrawingError:
            found = []
        lines = tuple(geometry.apply(matrix, points) for points, _ in found)
        if not lines and element.tag not in ("use", "g"):
            reason = "no line"
        self.left.append(LeftAlone(element.label, state.layer, reason, lines))

    def _inherited(self, element: Element, state: _State) -> _State:
        step = geometry.transform(element)
        role, name, group = state.role, state.name, state.group
        inner = state.inner @ step
        word = _word(element, GROUPS)
        if word is not None and element.tag in ("g", "use"):
            a = element.attributes
            frame = a.get("data-frame") == "sheet"
            back = a.get("data-face") == "back"
            key = a.get("id") or f"line {element.line}"
            group, role, inner = Group(key, word, a, frame, back), "", np.eye(3)
        found = _word(element, ROLES)
        layer, letter = state.layer, state.letter
        if found is not None:
            role = found
        if element.tag in ("g", "use"):
            layer = _layer(element) or layer
            if found is not None:
                letter = _own_name(element, role) if role in _LETTERED else ""
        else:
            name = _own_name(element, role) or letter
            name = name or _plain_id(element.attributes.get("id", ""), role)
        return _State(state.matrix @ step, inner, role, name, group, state.uses, letter, layer)

    def _use(self, element: Element, state: _State) -> Iterator[Stroke]:
        target = element.attributes.get("href", "")
        self.used += 1
        if not target.startswith("#"):
            raise DrawingError(f"{element.label}: uses something outside the file")
        if self.used > MOST_USES or len(state.uses) >= MOST_USE_DEPTH or target in state.uses:
            raise DrawingError(
                f"{element.label}: use repeats too much; allowed: {MOST_USES} in all, "
                f"{MOST_USE_DEPTH} deep, never itself"
            )
        found = self.by_id.get(target[1:])
        if found is None:
            raise DrawingError(f"{element.label}: uses {target}, which does not exist")
        x = geometry.number(element.attributes.get("x"), element, "x", 0.0)
        y = geometry.number(element.attributes.get("y"), element, "y", 0.0)
        step = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])
        inner = _State(
            state.matrix @ step,
            state.inner @ step,
            state.role,
            state.name,
            state.group,
            (*state.uses, target),
        )
        if found.tag == "symbol":
            raise DrawingError(f"{element.label}: a symbol is not understood; use a group")
        said = _word(element, ROLES)
        if said is None or found.tag in ("g", "use"):
            yield from self._element(found, inner)
            return
        # A copy of one line can be something else, as a place is a copy of its glue area.
        name = _plain_id(element.attributes.get("id", ""), said) if _named(element, said) else ""
        state = self._inherited(found, inner)
        yield from self._shape(found, replace(state, role=said, name=name or state.name))

    def _shape(self, element: Element, state: _State) -> Iterator[Stroke]:
        matrix = state.inner if state.group.frame else state.matrix
        scale = float(np.sqrt(abs(np.linalg.det(matrix[:2, :2]))))
        if state.role in _POINTS:
            lines = [(_middle(element), False)]
        else:
            lines = geometry.outlines(element, scale)
        for points, closed in lines:
            moved = geometry.apply(matrix, points)
            self.points += len(moved)
            if self.points > geometry.MOST_POINTS:
                raise DrawingError(f"has more than {geometry.MOST_POINTS} points")
            if not np.isfinite(moved).all() or np.abs(moved).max() > geometry.MOST_MM:
                raise DrawingError(
                    f"{element.label}: lies beyond {geometry.MOST_MM / 1000:g} m; allowed: finite "
                    "coordinates"
                )
            yield Stroke(
                state.role,
                state.name,
                element.label,
                moved,
                closed,
                state.group,
                element.attributes,
            )


def _word(element: Element, words: tuple[str, ...]) -> str | None:
    """The first of the words that the element's class, layer name or id says."""
    attributes = element.attributes
    said = [*attributes.get("class", "").split()]
    first = re.split(r"[^a-z]", attributes.get("inkscape:label", "").strip().lower(), maxsplit=1)[0]
    said += [first, first.removesuffix("s")]
    said += [re.split(r"[-_.\s\d]", attributes.get("id", ""), maxsplit=1)[0].lower()]
    return next((word for word in said if word in words), None)


def _own_name(element: Element, role: str) -> str:
    """The name that an element gives itself: ``data-name``, a label, or an id with its role."""
    said = element.attributes.get("data-name", "")
    if said:
        return said
    label = element.attributes.get("inkscape:label", "").strip()
    if not label and _named(element, role):
        return _plain_id(element.attributes["id"], role)
    match = re.match(rf"{role}s?(?![a-z])[-_.\s:]*", label, re.IGNORECASE) if role else None
    if match is None:
        return label
    # "Glue A" is the area A, but "Mountain folds" names no fold.
    joined = role in _LETTERED or re.match(rf"{role}s?[-_.]", label, re.IGNORECASE)
    return label[match.end() :] if joined else ""


def _layer(element: Element) -> str:
    attributes = element.attributes
    return attributes.get("inkscape:label") or attributes.get("id") or ""


def _step_of(element: Element) -> np.ndarray:
    """The element's transform, or none if it is not understood."""
    try:
        return geometry.transform(element)
    except DrawingError:
        return np.eye(3)


def _check_spelling(element: Element) -> None:
    """A class or a layer's name that is nearly one of our words is meant to be it."""
    said = [("class", word) for word in element.attributes.get("class", "").split()]
    if element.tag == "g" and _word(element, (*ROLES, *GROUPS)) is None:
        label = element.attributes.get("inkscape:label", "").strip()
        said.append(("layer", re.split(r"[^A-Za-z]", label, maxsplit=1)[0]))
    for kind, word in said:
        near = get_close_matches(word.lower(), ROLES, 1, 0.8)
        if near and word.lower() not in (*ROLES, *(f"{role}s" for role in ROLES)):
            raise DrawingError(
                f"{element.label}: {kind} {word!r} is not a known word; try: {near[0]}"
            )


def _named(element: Element, role: str) -> bool:
    """Whether the id names a line of that role, as ``place-A`` does."""
    return re.match(rf"{role}[-_.]", element.attributes.get("id", "")) is not None


def _plain_id(identifier: str, role: str) -> str:
    """An id as a name: ``glue-A`` is A, ``valley-rib`` is rib."""
    return re.sub(rf"^{role}[-_.]", "", identifier) if role else identifier


def _middle(element: Element) -> np.ndarray:
    """The point that a facet's label or a pin marks, shape (1, 2), user units."""
    if element.tag in ("circle", "ellipse"):
        keys = ("cx", "cy")
    elif element.tag in ("text", "rect"):
        keys = ("x", "y")
    else:
        lines = geometry.outlines(element, 1.0)
        if not lines:
            raise DrawingError(f"{element.label}: marks no point")
        points = lines[0][0]
        return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2)[None]
    return np.array([[geometry.number(element.attributes.get(k), element, k, 0.0) for k in keys]])
