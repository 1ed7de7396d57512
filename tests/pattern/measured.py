"""The area that a file's cuts enclose, mm², by readers that had no part in writing it.

SVG by svgelements, PDF by pikepdf's parser of page descriptions (fpdf2 draws them), DXF by its
group codes alone. Each file holds one piece: its largest ring is the outline, the others are holes.
"""

from __future__ import annotations

import io

import numpy as np
import pikepdf
import svgelements

CUTS = {"cut", "slit", "cuts", "CUTS"}
FOLDS = {"valley", "mountain", "fold", "folds", "FOLDS"}
MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3


def enclosed(rings):
    """Area of the largest ring less that of the others, by the shoelace formula."""
    parts = sorted(_shoelace(np.asarray(ring, float)) for ring in rings)
    return parts[-1] - sum(parts[:-1]) if parts else 0.0


def _shoelace(ring):
    x, y = (ring - ring[0]).T
    return abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2


def rings_of_svg(text):
    """Cut rings, mm."""
    return [points for points, _ in _strokes_of_svg(text, CUTS)]


def folds_of_svg(text):
    """Fold lines, mm, y down."""
    return [points for points, _ in _strokes_of_svg(text, FOLDS)]


def _strokes_of_svg(text, kinds):
    for element in svgelements.SVG.parse(io.StringIO(text), ppi=25.4).elements():
        words = element.values.get("class", "") if isinstance(element, svgelements.Path) else ""
        if kinds.intersection(words.split()):
            yield np.array([[p.x, p.y] for p in element.as_points()]), True


def rings_of_pdf(data):
    """For each page the closed strokes of the layers that hold cuts, mm, y up."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return [
            [p for layer, p, shut in strokes_of_page(page) if shut and layer in CUTS]
            for page in pdf.pages
        ]


def folds_of_pdf(data):
    """For each page the open strokes of the layers that hold folds, mm, y up."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return [
            [p for layer, p, shut in strokes_of_page(page) if not shut and layer in FOLDS]
            for page in pdf.pages
        ]


def strokes_of_page(page):
    """The strokes of a page: their layer, their points in mm, y up, and whether they are closed."""
    layer, current, shut, matrix, saved = "", [], False, np.eye(3), []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name == "BDC" and str(operands[0]) == "/OC":
            layer = str(operands[1]).lstrip("/")
        elif name == "q":
            saved.append(matrix)
        elif name == "Q":
            matrix = saved.pop()
        elif name == "cm":
            change = np.eye(3)
            change[:, :2] = np.reshape([float(v) for v in operands], (3, 2))
            matrix = change @ matrix
        elif name == "m":
            current, shut = [[float(v) for v in operands]], False
        elif name == "l":
            current.append([float(v) for v in operands])
        elif name == "h":
            shut = True
        elif name in ("S", "B") and current:
            at = np.c_[np.array(current), np.ones(len(current))] @ matrix * MM_PER_POINT
            yield layer, at[:, :2], shut
            current = []


def rings_of_dxf(text):
    """The closed polylines of the layer CUTS, mm, y up."""
    return [points for points, shut in _strokes_of_dxf(text, CUTS) if shut]


def folds_of_dxf(text):
    """The open polylines of the layer FOLDS, mm, y up."""
    return [points for points, shut in _strokes_of_dxf(text, FOLDS) if not shut]


def _strokes_of_dxf(text, layers):
    """Polylines and whether they are closed.

    Source: the DXF R12 reference, from memory: group 0 begins an entity, 8 is its layer, 10 and 20
    are x and y, bit 1 of group 70 closes a polyline, SEQEND ends its vertices.
    """
    values = [line.strip() for line in text.splitlines()]
    entities = []
    for code, value in zip(values[::2], values[1::2], strict=True):
        if code == "0":
            entities.append({"0": value})
        elif entities:
            entities[-1][code] = value
    points, shut, wanted = [], False, False
    for entity in entities:
        if entity["0"] == "POLYLINE":
            points, shut = [], bool(int(entity.get("70", 0)) & 1)
            wanted = entity["8"] in layers
        elif entity["0"] == "VERTEX":
            points.append([float(entity["10"]), float(entity["20"])])
        elif entity["0"] == "SEQEND" and wanted:
            yield np.array(points), shut
