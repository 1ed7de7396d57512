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
    found = []
    for element in svgelements.SVG.parse(io.StringIO(text), ppi=25.4).elements():
        kinds = element.values.get("class", "") if isinstance(element, svgelements.Path) else ""
        if CUTS.intersection(kinds.split()):
            found.append([[p.x, p.y] for p in element.as_points()])
    return found


def rings_of_pdf(data):
    """For each page the closed strokes of the layers that hold cuts, mm, y up."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return [_rings_of_page(page) for page in pdf.pages]


def _rings_of_page(page):
    found, layer, current, matrix, saved = [], "", [], np.eye(3), []
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
            current = [[float(v) for v in operands]]
        elif name == "l":
            current.append([float(v) for v in operands])
        elif name == "h" and layer in CUTS:
            at = np.c_[np.array(current), np.ones(len(current))] @ matrix * MM_PER_POINT
            found.append(at[:, :2])
    return found


def rings_of_dxf(text):
    """The closed polylines of the layer CUTS, mm, y up.

    Source: the DXF R12 reference, from memory: group 0 begins an entity, 8 is its layer, 10 and 20
    are x and y, bit 1 of group 70 closes a polyline, SEQEND ends its vertices.
    """
    lines = [line.strip() for line in text.splitlines()]
    found, ring, kind, here = [], None, "", {}

    def ended():
        nonlocal ring
        if kind == "POLYLINE" and here.get("8") in CUTS and int(here.get("70", 0)) & 1:
            ring = []
        elif kind == "VERTEX" and ring is not None:
            ring.append([float(here["10"]), float(here["20"])])
        elif kind == "SEQEND" and ring is not None:
            found.append(ring)
            ring = None

    for code, value in zip(lines[::2], lines[1::2], strict=True):
        if code == "0":
            ended()
            kind, here = value, {}
        else:
            here[code] = value
    ended()
    return found
