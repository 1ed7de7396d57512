"""Nothing is lost: what is about to be written is held against the sheets before it is written.

Two things are proved. Each template's rings bound exactly the paper of its facets: the areas agree,
and so do the lengths, for every edge of a facet is either a cut, once, or a fold, twice. And the
file, read back from its own bytes, cuts along every one of these rings where its piece lies, and
along nothing else.
"""

from __future__ import annotations

import io
import re
from collections.abc import Collection, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from meshes.allowance import Allowed, Change
from meshes.errors import DesignError, Mistake
from meshes.sheet import Sheet

from .drawing import PenStroke, moved
from .layout import Pattern, PatternPage
from .marks import clipped, rings
from .template import Template, fold_lines

# Folds end where the outline is within rounding: our choice, a thousandth of what a knife shows.
WITHIN_MM = 1e-3
# A PDF rounds its coordinates and the height of its page to 0.01 point: our choice, twice that.
_ROUNDED_MM = 0.01
# Classes of cut lines in our pages and machine files.
_CUTS = {"cut", "slit", "cuts", "CUTS"}


def prove_templates(templates: Sequence[Template]) -> None:
    """Hold outlines against facets.

    Raises
    ------
    DesignError
        Naming every piece of which paper would be lost.
    """
    lost = [found for found in map(_lost, templates) if found is not None]
    if lost:
        raise DesignError(lost)


def _lost(template: Template) -> Mistake | None:
    facets = [facet.polygon for facet in template.sheet.facets]
    outline = template.outline
    paper = sum(polygon.area for polygon in facets)
    edges = sum(polygon.length for polygon in facets)
    folds = sum(line.length for line in fold_lines(template))
    # A fold may miss the outline by a rounding at both of its ends, and every facet at its own.
    slack = WITHIN_MM * (1 + len(facets))
    parts = [polygon.difference(outline.buffer(WITHIN_MM)).area for polygon in facets]
    wrong = ""
    if max(parts, default=0.0) > WITHIN_MM or abs(paper - outline.area) > slack * outline.length:
        wrong = f"an outline of {outline.area:.2f} mm² for {paper:.2f} mm² of paper"
    elif abs(edges - 2 * folds - outline.length) > slack:
        wrong = f"cuts of {outline.length:.3f} mm where facets have {edges - 2 * folds:.3f} mm"
    if not wrong:
        return None
    return Mistake(
        "",
        f"part of {template.title} would not be printed",
        piece=template.sheet.piece,
        found=wrong,
        advice="other sizes for this piece, and tell us: this is a fault of the program",
    )


def prove_allowed(designed: Sequence[Sheet], cut: Allowed) -> None:
    """Hold sheets with an allowance for thick paper against the sheets as designed.

    Facet by facet, moved back to its place: it may differ only in the strips beside the lines that
    its changes state, as wide as stated, and by as much paper as these strips have; strips that
    they leave free beside folds are cut away whole.

    Raises
    ------
    DesignError
        Naming every piece that differs otherwise.
    """
    stated: dict[tuple[str, str], list[Change]] = {}
    for change in [c for c in cut.changes if not c.kept]:
        stated.setdefault((change.piece, change.sheet), []).append(change)
    wrong = []
    for before, after in zip(designed, cut.sheets, strict=True):
        changes = stated.get((before.piece, before.name), [])
        if after is not before and (not changes or _differs(before, after, changes)):
            wrong.append(
                Mistake(
                    "",
                    f"{before.piece}: its allowance for thick paper is not the one stated",
                    piece=before.piece,
                    advice="--no-allowance, and tell us: this is a fault of the program",
                )
            )
    if wrong:
        raise DesignError(wrong)


def _differs(before: Sheet, after: Sheet, changes: Sequence[Change]) -> bool:
    """Whether any facet differs beyond the strips beside moved lines and folds."""
    moved = [line for change in changes for line in change.lines]
    lines = [shapely.LineString([line.start, line.end]) for line in moved]
    wide = [abs(line.by) + WITHIN_MM for line in moved]
    if [f.name for f in before.facets] != [f.name for f in after.facets]:
        return True
    for old, new in zip(before.facets, after.facets, strict=True):
        own = [k for k, line in enumerate(moved) if line.facet == old.name]
        free = shapely.union_all([strip for c in changes for strip in c.strips(old.name)])
        turned = _turned(old.polygon, lines, wide)
        # The square roots reach round the corners in which two moved lines meet.
        strips = [(lines[k], wide[k] * np.sqrt(2)) for k in own] + turned
        allowed_there = shapely.union_all([line.buffer(by) for line, by in strips])
        shift = [c.moves[old.name] for c in changes if c.moves]
        back = affinity.translate(new.polygon, *(-sum(shift, np.zeros(2))))
        more = sum(moved[k].by * lines[k].length for k in own)
        slack = 4 * sum(by**2 for by in wide) + sum(line.length * by for line, by in turned)
        left = old.polygon.difference(free)
        slack += allowed_there.intersection(free).area
        if (
            back.symmetric_difference(left).difference(allowed_there).area > WITHIN_MM
            or back.intersection(free).area > WITHIN_MM
            or abs(back.area - left.area - more) > slack + WITHIN_MM
            or len(new.polygon.interiors) != len(old.polygon.interiors)
        ):
            return True
    return False


def _turned(
    facet: Polygon, lines: Sequence[shapely.LineString], wide: Sequence[float]
) -> list[tuple[shapely.LineString, float]]:
    """Edges of a facet that end where moved lines end, and so turn a little with these."""
    found = []
    ends = [(shapely.Point(p), by) for li, by in zip(lines, wide, strict=True) for p in li.coords]
    ring = list(facet.exterior.coords)
    for edge in map(shapely.LineString, pairwise(ring)):
        near = [by for end, by in ends if edge.boundary.distance(end) < WITHIN_MM]
        if near:
            found.append((edge, max(near) * np.sqrt(2)))
    return found


def expected(
    pattern: Pattern, page: PatternPage, fastener: float = 0.0
) -> list[tuple[str, np.ndarray]]:
    """Title and points, shape (n, 2), page mm, of every cut on a page; rings end as they begin.

    Parameters
    ----------
    fastener : diameter of the holes for paper fasteners, mm; 0 if none are cut.
    """
    from .layout import shown_on
    from .machine import hole
    from .pdf import compensation

    if not shown_on(page, pattern.options).lines:
        return []
    found = []
    for placed in page.placed:
        own = [
            PenStroke("cut", placed.apply(r), closed=True) for r in rings(placed.template.outline)
        ]
        if fastener:
            holes = [hole(placed, pivot, fastener) for pivot in placed.template.pivots]
            own += [PenStroke("cut", ring, closed=True) for ring in holes]
        cut = own if placed.window is None else clipped(list(own), placed.window)
        if pattern.options.scale != (1.0, 1.0):
            cut = moved(cut, compensation(page.stock, pattern.options.scale))
        for mark in cut:
            if isinstance(mark, PenStroke):
                shut = [mark.points[:1]] if mark.closed else []
                found.append((placed.template.title, np.vstack([mark.points, *shut])))
    return found


def prove_pages(
    pattern: Pattern,
    found: Sequence[Sequence[np.ndarray]],
    pages: Sequence[PatternPage],
    fastener: float = 0.0,
) -> None:
    """Hold cuts read back from a file against the pieces, page by page.

    Parameters
    ----------
    found : for each page its cut lines, each of shape (n, 2), mm.
    fastener : diameter of the holes for paper fasteners, mm; 0 if none are cut.

    Raises
    ------
    DesignError
        Naming the piece whose cut is not in the file, or that there is one too many.
    """
    _prove_split(pattern, {placed.template.number for page in pages for placed in page.placed})
    for number, (page, lines) in enumerate(zip(pages, found, strict=True), 1):
        rest = {k: line for k, line in enumerate(lines)}
        for title, points in expected(pattern, page, fastener):
            hit = next((k for k, line in rest.items() if _same(line, points)), None)
            if hit is None:
                raise _refused(f"a cut of {title} is missing on page {number} of the pattern")
            del rest[hit]
        if rest:
            raise _refused(f"page {number} of the pattern has a cut that belongs to no piece")


def _same(one: np.ndarray, other: np.ndarray) -> bool:
    return one.shape == other.shape and bool(np.abs(one - other).max() < _ROUNDED_MM)


def _refused(problem: str) -> DesignError:
    return DesignError([Mistake("", problem, advice="tell us: this is a fault of the program")])


def _prove_split(pattern: Pattern, numbers: Collection[int]) -> None:
    """Every piece lies on some page, and the parts of those numbered are all of them."""
    shown: dict[int, list[Polygon]] = {}
    for page in pattern.pages:
        for placed in page.placed:
            shown.setdefault(placed.template.number, []).append(placed.template.outline)
    for template in [t for t in pattern.templates if not t.is_page]:
        if template.number not in shown:
            raise _refused(f"{template.title} lies on no page")
        if template.number not in numbers or shown[template.number] == [template.outline]:
            continue
        whole = shapely.union_all(shown[template.number])
        left = template.outline.difference(whole.buffer(WITHIN_MM)).area
        more = whole.difference(template.outline.buffer(WITHIN_MM)).area
        if max(left, more) > WITHIN_MM:
            raise _refused(f"{left:.2f} mm² of {template.title} lie on no part of it")


def cuts_of_svg(text: str) -> list[np.ndarray]:
    """The cut and slit lines of one of our SVG pages, each of shape (n, 2), page mm."""
    from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]

    found: list[np.ndarray] = []

    def walk(element: object, matrix: np.ndarray) -> None:
        for child in element:  # type: ignore[attr-defined]
            own = matrix @ _matrix(child.get("transform", ""))
            kinds = child.get("class", "").split()
            if child.tag.endswith("path") and _CUTS.intersection(kinds):
                points = _points(child.get("d"))
                found.append(points @ own[:2, :2].T + own[:2, 2])
            walk(child, own)

    walk(fromstring(text.encode()), np.eye(3))
    return found


def _matrix(text: str) -> np.ndarray:
    total = np.eye(3)
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", text):
        values = [float(v) for v in re.split(r"[ ,]+", inside.strip())]
        step = np.eye(3)
        if name == "matrix":
            step[:2] = np.reshape(values, (3, 2)).T
        elif name == "translate":
            step[:2, 2] = values
        elif name == "scale":
            step[[0, 1], [0, 1]] = values
        total = total @ step
    return total


def _points(data: str) -> np.ndarray:
    points = np.array(re.findall(r"-?[\d.]+", data), float).reshape(-1, 2)
    return np.vstack([points, points[:1]]) if data.rstrip().endswith("Z") else points


def cuts_of_pdf(data: bytes, skip: int) -> list[list[np.ndarray]]:
    """The strokes in the layer ``cut`` of all pages after the first `skip`, page mm, y down."""
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as pdf:
        return [_cuts_of_page(page) for page in list(pdf.pages)[skip:]]


def cuts_of_dxf(text: str, height: float) -> list[np.ndarray]:
    """The polylines in the layer ``CUTS`` of a DXF, each of shape (n, 2), page mm, y down."""
    import ezdxf
    from ezdxf.entities import Polyline

    found = []
    for entity in ezdxf.read(io.StringIO(text)).modelspace():
        if isinstance(entity, Polyline) and entity.dxf.layer in _CUTS:
            points = np.array([[v.dxf.location.x, v.dxf.location.y] for v in entity.vertices])
            shut = [points[:1]] if entity.is_closed else []
            found.append(np.vstack([points, *shut]) * [1.0, -1.0] + [0.0, height])
    return found


def _cuts_of_page(page: object) -> list[np.ndarray]:
    import pikepdf

    layers = page.Resources.get("/Properties", {})  # type: ignore[attr-defined]
    high = float(page.mediabox[3])  # type: ignore[attr-defined]
    saved: list[np.ndarray] = []
    matrix, current, found, inside = np.eye(3), list[list[list[float]]](), [], list[str]()
    for step in pikepdf.parse_content_stream(page):  # type: ignore[arg-type]
        if isinstance(step, pikepdf.ContentStreamInlineImage):
            continue
        operands, name = step.operands, str(step.operator)
        if name == "BDC":
            group = layers.get(str(operands[1])) if str(operands[0]) == "/OC" else None
            inside.append("" if group is None else str(group.Name))
        elif name == "BMC":
            inside.append("")
        elif name == "EMC":
            inside.pop()
        elif name == "q":
            saved.append(matrix)
        elif name == "Q":
            matrix = saved.pop()
        elif name == "cm":
            change = np.eye(3)
            change[:, :2] = np.reshape([float(v) for v in operands], (3, 2))
            matrix = change @ matrix
        elif name == "m":
            current.append([[float(v) for v in operands]])
        elif name == "l":
            current[-1].append([float(v) for v in operands])
        elif name == "h":
            current[-1].append(current[-1][0])
        elif name in ("S", "s", "f", "f*", "B", "B*", "n"):
            if _CUTS.intersection(inside) and name == "S":
                found += [_in_mm(points, matrix, high) for points in current]
            current = []
    return found


def _in_mm(points: list[list[float]], matrix: np.ndarray, high: float) -> np.ndarray:
    at = np.c_[np.array(points), np.ones(len(points))] @ matrix
    return np.c_[at[:, 0], high - at[:, 1]] * 25.4 / 72
