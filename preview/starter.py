"""A design to start from: a piece of one kind with its comments, a flower, or a small scene.

Numbers come from the paper drawer of the page, and are made larger or smaller as they are there: in
the largest size in which the check neither finds a problem nor warns.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from meshes import designs
from meshes.check import case_of, report
from meshes.design.edit import SetValue
from meshes.design.edit.names import tables_of
from meshes.design.edit.splice import without
from meshes.design.mistakes import nearest
from meshes.pieces import KINDS
from meshes.spread import Spread, read
from preview import begin, remarks
from preview.errors import UseError
from preview.viewer.drawer import Drawer, Dropped
from preview.viewer.sizing import fitting, largest_of, sized
from preview.viewer.stock import stock
from preview.viewer.values import meaning

Json = dict[str, Any]

# Designs of their own, each with the name of its file; they become larger or smaller as a whole.
WHOLE = {"flower": "start", "scene": "scene"}
# In these sizes of what the page has room for; and no larger than this, so that its longest piece
# is cut from one sheet of A4.
_SIZES, _LARGEST = (1.0, 0.95, 0.9, 0.8, 0.7), 1.3
# What else the drawer calls otherwise.
_CALLED = {"drawn": "boat"}
# How far up the page the hand lays a piece down, as a share of its height; else in the middle.
# Our choice, as are the places and colours below.
_HEIGHTS = {"tower": 0.5, "v-fold": 0.42, "zigzag": 0.2, "pivot": 0.4, "blossom": 0.47}
# What must be there before a piece, and what shows what it is for: things of the drawer with the
# facet or crease on which they are laid, and where on the facet as shares of the page.
_BEFORE = {"arm": ("v-fold", "page.right", 0.02, 0.3)}
_AFTER = {
    "arm": ("star", "arm.arm", 0.0, 0.15),
    "carrier": ("v-fold", "carrier.crease", 0.0, 0.0),
}
_PLACES = {"arm": ("v-fold.right", 0.09, 0.15)}
_COLOURS = ("#d9603b", "#3f7a5a", "#f0c04a")
_PLAIN = ("arm", "flyleaf")


def kinds() -> list[str]:
    """What a design can be started with."""
    folded = [one.name for one in stock().values() if one.group == "folded"]
    return [*WHOLE, *folded, *_CALLED]


def started(title: str, file: str, kind: str, page: str) -> tuple[str, Mapping[str, bytes]]:
    """The text of a commented design with one piece of a kind, and the files that it names.

    Parameters
    ----------
    file : the name that the design will have, for the commands in its comments.
    page : ``A5``, ``letter`` …, or width and height in mm such as ``150x200``.

    Raises
    ------
    UseError
        If there is no such kind or page, or the page has no room for the piece.
    """
    if kind not in kinds():
        near = nearest(kind, kinds())
        meant = f"did you mean {near}? " if near else ""
        raise UseError(f"there is no kind {kind!r}; {meant}kinds: {', '.join(kinds())}")
    blank = begin.blank(title, page, "")
    if kind in WHOLE:
        return _resized(designs.start(title, file, WHOLE[kind]), tables_of(blank)["spread"]), {}
    name = _CALLED.get(kind, kind)
    text = blank
    for number, one in enumerate(_laid(name)):
        text = _with_piece(text, one, number)
    text = _commented(text, blank, file, name)
    drawing = stock()[name].file
    return text, {} if drawing is None else {f"drawings/{drawing.name}": drawing.read_bytes()}


def _read(text: str) -> Spread:
    """A design as if it stood beside those that are shipped, where its drawings are."""
    return read(designs.path(designs.names()[0]), text=text, blank=True)


def _laid(name: str) -> list[tuple[str, str, float, float]]:
    """Things of the drawer in the order in which they are laid down, and where."""
    facet, x, y = _PLACES.get(name, ("page.right", 0.02, _HEIGHTS.get(name, 0.5)))
    if stock()[name].stands == "facet" and name not in _PLACES:
        x = 0.5
    own = (name, facet, x, y)
    return [one for one in (_BEFORE.get(name), own, _AFTER.get(name)) if one is not None]


def _with_piece(text: str, laid: tuple[str, str, float, float], number: int) -> str:
    """The text with something of the drawer in the largest size that has room there."""
    kind, where, x, y = laid
    spread = _read(text)
    page = spread.design.spread
    place = {"facet": where, "place": (x * page.width, y * page.height)}
    if stock()[kind].stands == "crease" and number:
        place = {"on": where}
    try:
        edit = Drawer(strict=True).added(text, spread, Dropped(made="", kind=kind, **place))
    except UseError as error:
        raise UseError(f"a page of {page.width:g} × {page.height:g} mm: {error}") from None
    if "front" not in edit.table and stock()[kind].kind not in _PLAIN:
        colour = _COLOURS[number % len(_COLOURS)]
        edit = edit.model_copy(update={"table": {**edit.table, "front": colour}})
    return edit.apply(text)


def _commented(text: str, blank: str, file: str, name: str) -> str:
    """The text of a design with what each line of it means."""
    kind = stock()[name].kind
    head = [
        "# Change a number, save, and look again:",
        f"#   foldstage still {file} --opening 120",
        f"#   foldstage view {file}",
        "# and before you cut:",
        f"#   foldstage check {file}",
        f"# All that can be said of such a piece: foldstage help {kind}",
        "# Lengths in mm, angles in degrees; x = 0 is the gutter, y = 0 the foot of the page.",
    ]
    blocks = ["\n".join([*head, blank.rstrip()])]
    for own, table in tables_of(text)["pieces"].items():
        about = stock()[own].means if own in stock() else meaning(KINDS[table["kind"]])
        blocks.append("\n".join(remarks.lines(own, table, about)))
    return "\n\n".join(blocks) + "\n"


def _resized(text: str, page: Mapping[str, Any]) -> str:
    """A design for A5 in the largest size that has room on another page.

    Parameters
    ----------
    page : ``page``, or ``width`` and ``height``.
    """
    if "page" not in page:
        text = without(text, ("spread", "page"))
    for key, value in page.items():
        text = SetValue(path=("spread", key), value=value).apply(text)
    spread = _read(text).design.spread
    fit = min(fitting((spread.width, spread.height)), _LARGEST)
    texts = [_larger(text, fit * size) for size in _SIZES]
    number, why = largest_of(texts, _trouble)
    if number is None:
        raise UseError(f"a page of {spread.width:g} × {spread.height:g} mm is no place: {why}")
    return texts[number]


def _larger(text: str, size: float) -> str:
    """A design's text with every length of its pieces so many times as large."""
    tables = tables_of(text)
    names = list(tables["pieces"])
    larger = sized(tables, names, size)
    for path in (("values",), *(("pieces", name) for name in names)):
        before, after = tables, larger
        for key in path:
            before, after = before.get(key, {}), after.get(key, {})
        for key, value in after.items():
            if value != before[key]:
                text = SetValue(path=(*path, key), value=value).apply(text)
    return text


def _trouble(text: str) -> str:
    """The first thing that the check finds or warns of; empty if there is none."""
    spread = _read(text)
    findings = report(case_of(spread), spread.design.check, trims=False).findings
    return next((one.text for one in findings if one.severity != "note"), "")
