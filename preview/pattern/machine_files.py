"""A machine's job as SVG, as DXF R12 and as PDF: the same lines in the same layers.

All three are read back before they are given away: every cut of every piece is in the file, closed,
and no other.
"""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from .layout import Pattern, PatternPage
from .machine import Job, Run, job_of
from .operators import Pen, of_hex, painted
from .pdf import new_document, save_with_layers
from .proof import cuts_of_dxf, cuts_of_pdf, cuts_of_svg, prove_pages
from .svg import document, path_data

_WIDTH_MM = 0.1  # our choice
# Source: AutoCAD's DXF R12 reference, colour numbers 1 to 7, the only ones named there; from
# memory: red, yellow, green, cyan, blue, magenta, black or white.
_ACI = {
    1: (255, 0, 0),
    2: (255, 255, 0),
    3: (0, 255, 0),
    4: (0, 255, 255),
    5: (0, 0, 255),
    6: (255, 0, 255),
    7: (0, 0, 0),
}


def machine_files(pattern: Pattern, page: PatternPage, run: Run) -> dict[str, bytes]:
    """Ending to content, of one sheet.

    Raises
    ------
    DesignError
        If any cut would be missing in any of them.
    """
    job = job_of(pattern.title, page, run)
    svg, dxf, pdf = svg_of(job), dxf_of(job), pdf_of(job)
    for found in (cuts_of_svg(svg), cuts_of_dxf(dxf, job.height), *cuts_of_pdf(pdf, 0)):
        prove_pages(pattern, [found], [page], run.hole)
    return {".svg": svg.encode(), ".dxf": dxf.encode("ascii"), ".pdf": pdf}


def svg_of(job: Job) -> str:
    """SVG in millimetres without transforms, a group for each layer."""
    body: list[str] = []
    for layer in job.layers:
        inside = layer.colour if layer.name == "register" else "none"
        body.append(
            f'<g id="{layer.name}" fill="{inside}" stroke="{layer.colour}" '
            f'stroke-width="{_WIDTH_MM:g}"><title>{layer.name}</title>'
        )
        body += [
            f'<path class="{layer.name}" d="{path_data(s.points, s.closed)}"/>'
            for s in layer.strokes
        ]
        body.append("</g>")
    return document(job.width, job.height, job.title, body)


@contextmanager
def _some_home() -> Iterator[None]:
    """A home for a library that looks for settings and fonts there and fails without one."""
    try:
        Path.home()
    except RuntimeError:
        pass
    else:
        yield
        return
    before = os.environ.get("HOME")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HOME"] = folder
        try:
            yield
        finally:
            del os.environ["HOME"]
            if before is not None:
                os.environ["HOME"] = before


def dxf_of(job: Job) -> str:
    """DXF R12 (AC1009): polylines, mm, y up; a layer for each of ours, in the nearest colour."""
    with _some_home():
        import ezdxf
        from ezdxf.document import Drawing

    # Neither dates nor random names: the same job gives the same bytes.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    # R12 has no place for a unit of length.
    document = Drawing.new("R12")
    space = document.modelspace()
    taken: set[int] = set()
    for layer in job.layers:
        colour = _nearest(layer.colour, taken)
        taken.add(colour)
        document.layers.add(_dxf_name(layer.name), color=colour)
        for stroke in layer.strokes:
            points = [(float(x), float(job.height - y)) for x, y in stroke.points]
            space.add_polyline2d(
                points, close=stroke.closed, dxfattribs={"layer": _dxf_name(layer.name)}
            )
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


def _dxf_name(name: str) -> str:
    """R12 knows capitals, digits, ``$``, ``-`` and ``_`` only."""
    return name.upper()


def _nearest(colour: str, taken: set[int]) -> int:
    """The colour number nearest to ``#rrggbb`` of those that no other layer has."""
    from preview.drawing.colour import channels

    wanted = np.array(channels(colour), float)
    free = [number for number in _ACI if number not in taken]
    return min(free, key=lambda number: float(np.abs(wanted - _ACI[number]).sum()))


def pdf_of(job: Job) -> bytes:
    """PDF, one page as large as the sheet, each layer an optional content group."""
    pdf = new_document(job.title, "Lines for a cutting machine")
    pdf.add_page(format=(job.width, job.height))
    for layer in job.layers:
        pdf._out(f"/OC /{layer.name} BDC")
        colour = of_hex(layer.colour)
        pen = Pen(colour, colour if layer.name == "register" else (), _WIDTH_MM)
        for stroke in layer.strokes:
            pdf._out(painted([(stroke.points, stroke.closed)], pen, pdf.h_pt))
        pdf._out("EMC")
    return save_with_layers(bytes(pdf.output()), [layer.name for layer in job.layers])
