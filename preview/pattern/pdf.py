"""A pattern as PDF: true scale, embedded typeface, fixed dates so that the bytes never change."""

from __future__ import annotations

import datetime
import io
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Literal, get_args

import numpy as np

from . import font
from .drawing import Fill, Mark, Move, Picture, Stroke, Text, moved
from .layout import Pattern, PatternPage
from .line import INKS, dashes
from .marks import marks
from .opening_page import opening_pages
from .stock import Stock

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.drawing import PaintedPath

Layer = Literal["cut", "fold", "art", "guide"]
LAYERS: tuple[Layer, ...] = get_args(Layer)

# Any fixed moment does; a file that carries the hour it was made differs every time. Our choice.
MOMENT = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)


def write_pattern(pattern: Pattern) -> bytes:
    """The PDF: first a page with the key and the check square, then the pattern's pages.

    Raises
    ------
    DesignError
        If any cut would be missing; it is read back first.
    """
    from .proof import cuts_of_pdf, prove_pages

    pdf = new_document(pattern.title, "Pattern at true scale")
    first = opening_pages(pattern)
    for marks_of_page in first:
        add_page(pdf, pattern.options.stock, (), marks_of_page, pattern.options.scale)
    for page in pattern.pages:
        pieces = piece_marks(pattern, page)
        add_page(pdf, page.stock, pieces, page.furniture, pattern.options.scale)
    data = finished(bytes(pdf.output()))
    prove_pages(pattern, cuts_of_pdf(data, len(first)), pattern.pages)
    return data


def finished(data: bytes) -> bytes:
    """The document with its layers declared, and every page's boxes said.

    Sheets are printed as they are and not trimmed: the trim box is the sheet, and nothing bleeds
    over it. Layers are optional content groups (ISO 32000-1, 8.11), all on.
    """
    import pikepdf
    from pikepdf import Array, Dictionary, Name

    with pikepdf.open(io.BytesIO(data)) as pdf:
        groups = {name: pdf.make_indirect(Dictionary(Type=Name.OCG, Name=name)) for name in LAYERS}
        every = Array(list(groups.values()))
        pdf.Root.OCProperties = Dictionary(
            OCGs=every, D=Dictionary(Name="Pattern", Order=every, ON=every, BaseState=Name.ON)
        )
        shared = pdf.make_indirect(
            Dictionary({f"/{name}": group for name, group in groups.items()})
        )
        for page in pdf.pages:
            page.Resources.Properties = shared
            page.TrimBox = page.BleedBox = page.CropBox = Array(list(page.mediabox))
        out = io.BytesIO()
        pdf.save(out, deterministic_id=True, min_version="1.5")
        return out.getvalue()


def piece_marks(pattern: Pattern, page: PatternPage) -> list[Mark]:
    """Everything that belongs to the pieces on a page, undermost first."""
    from .layout import shown_on

    show = shown_on(page, pattern.options)
    return [mark for placed in page.placed for mark in marks(placed, show)]


def new_document(title: str, subject: str) -> FPDF:
    """An empty document with our typeface, to be printed without scaling."""
    from fpdf import FPDF, ViewerPreferences

    pdf = FPDF(unit="mm", format="A4")
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.set_creation_date(MOMENT)
    pdf.set_title(font.printable(title))
    pdf.set_subject(subject)
    pdf.set_creator("foldstage")
    pdf.set_producer("foldstage")
    pdf.set_lang("en")
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None", display_doc_title=True)
    pdf.add_font(font.FAMILY, "", font.file())
    pdf.add_font(font.FAMILY, "B", font.file(bold=True))
    return pdf


def compensation(stock: Stock, scale: tuple[float, float]) -> Move:
    """Undo what a printer makes of 1 mm: enlarge about the middle of the page."""
    middle = np.array([stock.width, stock.height]) / 2

    def move(points: np.ndarray) -> np.ndarray:
        return middle + (points - middle) / np.asarray(scale)

    return move


def add_page(
    pdf: FPDF,
    stock: Stock,
    pieces: Sequence[Mark],
    furniture: Sequence[Mark],
    scale: tuple[float, float] = (1.0, 1.0),
) -> None:
    """Add a page and draw on it; of each piece's marks every kind is in a layer of its own."""
    pdf.add_page(format=(stock.width, stock.height))
    for layer, group in groupby(_scaled(pieces, stock, scale), key=_layer):
        _in_layer(pdf, layer, list(group))
    _in_layer(pdf, "guide", _scaled(furniture, stock, scale))


def _in_layer(pdf: FPDF, layer: Layer, drawn: Sequence[Mark]) -> None:
    """Marked content of an optional content group (ISO 32000-1, 8.11.3.2); see :func:`finished`."""
    pdf._out(f"/OC /{layer} BDC")
    add_marks(pdf, drawn)
    pdf._out("EMC")


def _scaled(drawn: Sequence[Mark], stock: Stock, scale: tuple[float, float]) -> Sequence[Mark]:
    return drawn if scale == (1.0, 1.0) else moved(drawn, compensation(stock, scale))


def add_marks(pdf: FPDF, drawn: Sequence[Mark]) -> None:
    """Draw marks on the current page, in order."""
    for kind, group in groupby(drawn, key=_how):
        if kind == "lines":
            with pdf.drawing_context() as context:
                for mark in group:
                    assert isinstance(mark, Stroke | Fill)
                    context.add_item(_path(mark))
            continue
        for mark in group:
            if isinstance(mark, Text):
                _write(pdf, mark)
            elif isinstance(mark, Picture):
                _lay(pdf, mark)


def _layer(mark: Mark) -> Layer:
    """Name of its layer: what a printer's technician may switch off."""
    if isinstance(mark, Stroke):
        if mark.role in ("cut", "slit"):
            return "cut"
        return "fold" if mark.role.startswith(("valley", "mountain")) else "guide"
    return "art" if isinstance(mark, Fill | Picture) else "guide"


def _how(mark: Mark) -> str:
    return "lines" if isinstance(mark, Stroke | Fill) else "rest"


def _lay(pdf: FPDF, mark: Picture) -> None:
    with pdf.rotation(np.degrees(mark.angle), mark.x, mark.y):
        pdf.image(io.BytesIO(mark.png), x=mark.x, y=mark.y, w=mark.width, h=mark.height)


def _path(mark: Stroke | Fill) -> PaintedPath:
    from fpdf.drawing import DeviceGray, PaintedPath, color_from_hex_string

    path = PaintedPath()
    for ring in [mark.points] if isinstance(mark, Stroke) else mark.rings:
        path.move_to(float(ring[0, 0]), float(ring[0, 1]))
        for x, y in ring[1:]:
            path.line_to(float(x), float(y))
        if isinstance(mark, Fill) or mark.closed:
            path.close()
    style = path.style
    style.auto_close = False
    if isinstance(mark, Fill):
        style.fill_color = color_from_hex_string(mark.colour)
        style.stroke_color = None
        style.paint_rule = "fill_evenodd"
        return path
    ink = INKS[mark.role]
    style.fill_color = None
    style.stroke_color = DeviceGray(1.0 if mark.light else ink.grey)
    style.stroke_width = ink.width
    style.stroke_cap_style = "butt"
    style.stroke_join_style = "round"
    style.stroke_dash_pattern = dashes(mark.role, mark.length) or None
    style.paint_rule = "stroke"
    if ink.filled:
        style.fill_color = style.stroke_color
        style.paint_rule = "stroke_fill_nonzero"
    return path


def _write(pdf: FPDF, mark: Text) -> None:
    pdf.set_font(font.FAMILY, "B" if mark.bold else "", mark.size / font.MM_PER_POINT)
    pdf.set_text_color(round(mark.grey * 255))
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
    x = mark.x - back * pdf.get_string_width(mark.text)
    if mark.angle:
        with pdf.rotation(np.degrees(mark.angle), mark.x, mark.y):
            pdf.text(x, mark.y, mark.text)
    else:
        pdf.text(x, mark.y, mark.text)
