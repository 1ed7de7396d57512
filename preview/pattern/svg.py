"""A page of a pattern as SVG: millimetres, classes that say what a line is, and exact sheets.

Each sheet is a group of class ``sheet`` that holds the sheet's own coordinates (y up) and places
them on the page by its transform, so a program can read back exactly what was solved. The classes
are ``cut``, ``slit``, ``valley``, ``mountain``, ``glue``, ``place`` and ``name``;
:mod:`meshes.drawn` reads them. Everything else, such as hatching, names and check bars, lies in
the group ``notes``.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from . import font
from .drawing import Fill, Mark, PenStroke, PrintedImage, Text
from .glue import GlueArea
from .layout import Pattern, PatternPage, shown_on
from .line import INKS, Role, dashes
from .marks import Placed, marks, rings, seen_sign
from .template import FoldMark

_OWN = ("cut", "slit", "valley", "mountain")


def page_svg(pattern: Pattern, page: PatternPage) -> str:
    """One page as an SVG document.

    Raises
    ------
    DesignError
        If any cut would be missing; it is read back first.
    """
    from .proof import cuts_of_svg, prove_pages

    show = shown_on(page, pattern.options)
    sheets, below, above = [], [], []
    for placed in page.placed:
        drawn = marks(placed, show)
        exact = placed.window is None and show.lines
        if exact:
            sheets.append(_sheet(placed))
            drawn = [m for m in drawn if not (isinstance(m, PenStroke) and m.role in _OWN)]
        below += [element(mark) for mark in drawn if isinstance(mark, Fill | PrintedImage)]
        above += [_named(mark) for mark in drawn if not isinstance(mark, Fill | PrintedImage)]
    notes = [element(mark) for mark in page.furniture]
    body = [
        *_group("notes-colour", below),
        *sheets,
        *_group("notes", above + notes),
    ]
    text = document(
        page.stock.width, page.stock.height, pattern.title, _scaled(pattern, page, body)
    )
    prove_pages(pattern, [cuts_of_svg(text)], [page])
    return text


def document(width: float, height: float, title: str, body: Sequence[str]) -> str:
    """An SVG document of a size in mm, whose user unit is 1 mm."""
    size = f'width="{number(width)}mm" height="{number(height)}mm"'
    view = f'viewBox="0 0 {number(width)} {number(height)}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} version="1.1">'
    declaration = '<?xml version="1.0" encoding="UTF-8"?>'
    name = f"<title>{escape(font.printable(title))}</title>"
    return "\n".join([declaration, head, name, *body, "</svg>", ""])


def _scaled(pattern: Pattern, page: PatternPage, body: Sequence[str]) -> list[str]:
    across, upright = pattern.options.scale
    if (across, upright) == (1.0, 1.0):
        return list(body)
    x, y = page.stock.width / 2, page.stock.height / 2
    move = f"translate({number(x)} {number(y)}) scale({1 / across:.9g} {1 / upright:.9g})"
    return [f'<g transform="{move} translate({number(-x)} {number(-y)})">', *body, "</g>"]


def _group(name: str, elements: Sequence[str]) -> list[str]:
    return [f'<g id="{name}">', *elements, "</g>"] if elements else []


def number(value: float) -> str:
    """A coordinate, far finer than a solver can tell, as short as it can be written."""
    text = f"{value:.12f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def path_data(points: np.ndarray, closed: bool) -> str:
    """The ``d`` of a path through points, shape (n, 2)."""
    steps = " L ".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M {steps}{' Z' if closed else ''}"


def _sheet(placed: Placed) -> str:
    template = placed.template
    (a, c), (b, d) = placed.matrix
    e, f = placed.shift
    matrix = " ".join(number(value) for value in (a, b, c, d, e, f))
    sheet = template.sheet
    name = f"sheet-{template.number}"
    if template.part:
        name += f"-{template.part.split()[1]}"
    lines = [
        f'<g class="sheet" id="{name}" data-frame="sheet" '
        f'data-face="{placed.face}" data-piece={quoteattr(sheet.piece)} '
        f'data-sheet={quoteattr(sheet.name)} transform="matrix({matrix})">'
    ]
    lines += [_area(area) for area in template.glue]
    lines += [_fold(placed, fold) for fold in template.folds]
    outer, *holes = rings(template.outline)
    lines += [_line("slit", hole, True) for hole in holes]
    lines.append(_line("cut", outer, True))
    for name, (x, y) in template.labels.items():
        at = f'cx="{number(x)}" cy="{number(y)}" r="0.1"'
        lines.append(f'<circle class="name" data-name={quoteattr(name)} {at} fill="none"/>')
    return "\n".join([*lines, "</g>"])


def _area(area: GlueArea) -> str:
    data = path_data(rings(area.polygon)[0], True)
    kind = "place" if area.lands else "glue"
    return (
        f'<path class="{kind} {area.face}" data-letter="{area.letter}" '
        f'data-facet={quoteattr(area.facet)} fill="none" d="{data}"/>'
    )


def _fold(placed: Placed, fold: FoldMark) -> str:
    role: Role = "mountain" if seen_sign(placed, fold) > 0 else "valley"
    more = f' data-name={quoteattr(fold.name)} data-rest-deg="{number(np.degrees(fold.rest))}"'
    more += f' data-stiffness="{number(fold.stiffness)}"'
    return _line(role, np.array([fold.start, fold.end]), False, more)


def _line(role: Role, points: np.ndarray, closed: bool, more: str = "") -> str:
    return _stroked(PenStroke(role, points, closed), f'class="{role}"{more} ')


def _stroked(mark: PenStroke, more: str = "") -> str:
    ink = INKS[mark.role]
    pattern = dashes(mark.role, mark.length)
    dash = f' stroke-dasharray="{" ".join(f"{p:.4g}" for p in pattern)}"' if pattern else ""
    colour = "#ffffff" if mark.light else _grey(ink.grey)
    inside = colour if ink.filled else "none"
    style = (
        f'fill="{inside}" stroke="{colour}" stroke-width="{ink.width:g}" stroke-linejoin="round"'
    )
    return f'<path {more}{style}{dash} d="{path_data(mark.points, mark.closed)}"/>'


def _grey(level: float) -> str:
    return "#" + f"{round(level * 255):02x}" * 3


def element(mark: Mark) -> str:
    """One mark in page coordinates."""
    if isinstance(mark, PenStroke):
        return _stroked(mark)
    if isinstance(mark, Fill):
        data = " ".join(path_data(ring, True) for ring in mark.rings)
        return f'<path fill="{mark.colour}" fill-rule="evenodd" d="{data}"/>'
    return _picture(mark) if isinstance(mark, PrintedImage) else _text(mark)


def _named(mark: Mark) -> str:
    """A mark of a piece: what a line is, its class says, on the parts of a split piece too."""
    return _stroked(mark, f'class="{mark.role}" ') if isinstance(mark, PenStroke) else element(mark)


def _picture(mark: PrintedImage) -> str:
    x, y = number(round(mark.x, 4)), number(round(mark.y, 4))
    size = f'width="{mark.width:.4f}" height="{mark.height:.4f}" preserveAspectRatio="none"'
    turn = f' transform="rotate({-np.degrees(mark.angle):.4f} {x} {y})"' if mark.angle else ""
    data = base64.b64encode(mark.png).decode()
    return f'<image x="{x}" y="{y}" {size}{turn} href="data:image/png;base64,{data}"/>'


def _text(mark: Text) -> str:
    x, y = number(round(mark.x, 4)), number(round(mark.y, 4))
    turn = f' transform="rotate({-np.degrees(mark.angle):.4f} {x} {y})"' if mark.angle else ""
    weight = ' font-weight="600"' if mark.bold else ""
    family = f"'{font.FAMILY} Pro', '{font.FAMILY} 3', sans-serif"
    return (
        f'<text x="{x}" y="{y}" font-family="{family}" '
        f'font-size="{mark.size:g}" text-anchor="{mark.anchor}" fill="{_grey(mark.grey)}"'
        f"{weight}{turn}>{escape(mark.text)}</text>"
    )
