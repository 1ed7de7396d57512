"""A pattern as PDF: true scale, embedded typeface, fixed dates so that the bytes never change."""

from __future__ import annotations

import datetime
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING, Literal, get_args

import numpy as np
import shapely

from . import font
from .drawing import Fill, Mark, Move, PenStroke, PrintedImage, Text, moved
from .layout import Pattern, PatternPage
from .line import INKS, dashes
from .marks import marks
from .opening_page import opening_pages
from .operators import Pen, of_hex, painted
from .stock import Stock
from .tags import Tags

if TYPE_CHECKING:
    from fpdf import FPDF
    from pikepdf import Page, Pdf

Bounds = tuple[float, float, float, float]
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

    tags = Tags()
    pdf = new_document(pattern.title, "Pattern at true scale")
    stock, scale = pattern.options.stock, pattern.options.scale
    numbers, boxes = [], {}
    for number, made in enumerate(in_order(pattern)):
        if isinstance(made, PatternPage):
            numbers.append(number)
            boxes[number] = _boxes(pattern, made)
            add_page(pdf, tags, made.stock, piece_marks(pattern, made), made.furniture, scale)
        else:
            add_page(pdf, tags, stock, (), made, scale)
    data = finished(bytes(pdf.output()), tags, boxes)
    cuts = cuts_of_pdf(data, 0)
    prove_pages(pattern, [cuts[number] for number in numbers], pattern.pages)
    return data


def write_print(pattern: Pattern) -> bytes:
    """What is printed before a machine cuts it: colours, art and register marks, and no line.

    Its pages are those of the machine's files, in the same coordinates.
    """
    tags, boxes = Tags(), {}
    pdf = new_document(pattern.title, "To be printed, then cut by machine")
    show = replace(pattern.options.show, lines=False, names=False, clean=True, other_face=False)
    for number, page in enumerate(pattern.pages):
        boxes[number] = _boxes(pattern, page)
        pieces = [mark for placed in page.placed for mark in marks(placed, show)]
        add_page(pdf, tags, page.stock, pieces, page.furniture)
    return finished(bytes(pdf.output()), tags, boxes)


def in_order(pattern: Pattern) -> list[PatternPage | list[Mark]]:
    """The pages of the file, or the marks of pages that belong to no piece.

    For printing on both sides every front is an odd page and its back the next one; what has no
    back is followed by an empty page.
    """
    pages: list[PatternPage | list[Mark]] = [*opening_pages(pattern), *pattern.pages]
    if pattern.options.side != "both":
        return pages
    ordered: list[PatternPage | list[Mark]] = []
    for page in pages:
        if len(ordered) % 2 and not (isinstance(page, PatternPage) and page.face == "back"):
            ordered.append([])
        ordered.append(page)
    return ordered


def _boxes(pattern: Pattern, page: PatternPage) -> tuple[Bounds, Bounds] | None:
    """What is cut out of a page, and the same with its bleed: left, top, right, bottom, mm."""
    from .layout import shown_on

    shapes = [placed.on_page(placed.template.outline) for placed in page.placed]
    if not shapes or any(placed.window is not None for placed in page.placed):
        return None
    show = shown_on(page, pattern.options)
    cut = shapely.union_all(shapes).bounds
    bleed = show.bleed if show.colours or any(p.template.sheet.art for p in page.placed) else 0.0
    printed = shapely.box(*cut).buffer(bleed, join_style="mitre").bounds
    move = compensation(page.stock, pattern.options.scale)
    trim, full = (move(np.reshape(box, (2, 2))).ravel() for box in (cut, printed))
    sheet = np.array([0.0, 0.0, page.stock.width, page.stock.height])
    full = np.r_[np.maximum(full[:2], sheet[:2]), np.minimum(full[2:], sheet[2:])]
    return tuple(map(float, trim)), tuple(map(float, full))  # type: ignore[return-value]


def finished(data: bytes, tags: Tags, boxes: Mapping[int, tuple[Bounds, Bounds] | None]) -> bytes:
    """The document with its layers and tags declared, and every page's boxes said.

    The trim box of a page holds all that is cut out of it, the bleed box also what is printed
    beyond the cuts (ISO 32000-1, 14.11.2); of a page without pieces both are the sheet.

    Parameters
    ----------
    boxes : of pages by their number from 0: trim and bleed, mm from the top left corner.
    """
    import pikepdf
    from pikepdf import Array

    with pikepdf.open(io.BytesIO(data)) as pdf:
        _declare_layers(pdf, LAYERS)
        for number, page in enumerate(pdf.pages):
            page.TrimBox = page.BleedBox = page.CropBox = Array(list(page.mediabox))
            found = boxes.get(number)
            if found is not None:
                page.TrimBox, page.BleedBox = (Array(_upward(box, page)) for box in found)
        tags.write(pdf)
        return _saved(pdf)


def save_with_layers(data: bytes, layers: Sequence[str]) -> bytes:
    """A document with its layers declared."""
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as pdf:
        _declare_layers(pdf, layers)
        return _saved(pdf)


def _declare_layers(pdf: Pdf, layers: Sequence[str]) -> None:
    """Layers are optional content groups (ISO 32000-1, 8.11), all on."""
    from pikepdf import Array, Dictionary, Name

    groups = {name: pdf.make_indirect(Dictionary(Type=Name.OCG, Name=name)) for name in layers}
    every = Array(list(groups.values()))
    pdf.Root.OCProperties = Dictionary(
        OCGs=every, D=Dictionary(Name="Pattern", Order=every, ON=every, BaseState=Name.ON)
    )
    shared = pdf.make_indirect(Dictionary({f"/{name}": group for name, group in groups.items()}))
    for page in pdf.pages:
        page.Resources.Properties = shared


def _saved(pdf: Pdf) -> bytes:
    out = io.BytesIO()
    pdf.save(out, deterministic_id=True, min_version="1.5")
    return out.getvalue()


def _upward(box: Bounds, page: Page) -> list[float]:
    """A box in points, y up."""
    high = float(page.mediabox[3])
    left, top, right, bottom = (edge / font.MM_PER_POINT for edge in box)
    return [round(edge, 4) for edge in (left, high - bottom, right, high - top)]


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
    tags: Tags,
    stock: Stock,
    pieces: Sequence[Mark],
    furniture: Sequence[Mark],
    scale: tuple[float, float] = (1.0, 1.0),
) -> None:
    """Add a page and draw on it; of each piece's marks every kind is in a layer of its own."""
    pdf.add_page(format=(stock.width, stock.height))
    tags.page()
    for layer, group in groupby(_scaled(pieces, stock, scale), key=_layer):
        _in_layer(pdf, tags, layer, list(group))
    if furniture:
        _in_layer(pdf, tags, "guide", _scaled(furniture, stock, scale))


def _in_layer(pdf: FPDF, tags: Tags, layer: Layer, drawn: Sequence[Mark]) -> None:
    """Marked content of an optional content group (ISO 32000-1, 8.11.3.2); see :func:`finished`.

    In it each text is tagged as what it is; lines and pictures are artifacts.
    """
    pdf._out(f"/OC /{layer} BDC")
    for said, group in groupby(drawn, key=lambda mark: isinstance(mark, Text)):
        for run in [[mark] for mark in group] if said else [list(group)]:
            pdf._out(tags.begin(run[0]))
            add_marks(pdf, run)
            pdf._out("EMC")
    pdf._out("EMC")


def _scaled(drawn: Sequence[Mark], stock: Stock, scale: tuple[float, float]) -> Sequence[Mark]:
    return drawn if scale == (1.0, 1.0) else moved(drawn, compensation(stock, scale))


def add_marks(pdf: FPDF, drawn: Sequence[Mark]) -> None:
    """Draw marks on the current page, in order."""
    for kind, group in groupby(drawn, key=_how):
        if kind == "lines":
            for mark in group:
                assert isinstance(mark, PenStroke | Fill)
                pdf._out(_drawn(mark, pdf.h_pt))
            continue
        for mark in group:
            if isinstance(mark, Text):
                _write(pdf, mark)
            elif isinstance(mark, PrintedImage):
                _lay(pdf, mark)


def _layer(mark: Mark) -> Layer:
    """Name of its layer: what a printer's technician may switch off."""
    if isinstance(mark, PenStroke):
        if mark.role in ("cut", "slit"):
            return "cut"
        return "fold" if mark.role.startswith(("valley", "mountain")) else "guide"
    return "art" if isinstance(mark, Fill | PrintedImage) else "guide"


def _how(mark: Mark) -> str:
    return "lines" if isinstance(mark, PenStroke | Fill) else "rest"


def _lay(pdf: FPDF, mark: PrintedImage) -> None:
    with pdf.rotation(np.degrees(mark.angle), mark.x, mark.y):
        pdf.image(io.BytesIO(mark.png), x=mark.x, y=mark.y, w=mark.width, h=mark.height)


def _drawn(mark: PenStroke | Fill, page_height: float) -> str:
    """The operators of a line or an area on a page `page_height` points high."""
    if isinstance(mark, Fill):
        pen = Pen(area=of_hex(mark.colour))
        return painted([(ring, True) for ring in mark.rings], pen, page_height, even_odd=True)
    ink = INKS[mark.role]
    grey = (1.0 if mark.light else ink.grey,)
    pen = Pen(grey, grey if ink.filled else (), ink.width, dashes(mark.role, mark.length))
    return painted([(mark.points, mark.closed)], pen, page_height)


def _write(pdf: FPDF, mark: Text) -> None:
    pdf.set_font(font.FAMILY, "B" if mark.bold else "", mark.size / font.MM_PER_POINT)
    pdf.set_text_color(round(mark.grey * 255))
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
    x = mark.x - back * font.width(mark.text, mark.size, mark.bold)
    if mark.angle:
        with pdf.rotation(np.degrees(mark.angle), mark.x, mark.y):
            pdf.text(x, mark.y, mark.text)
    else:
        pdf.text(x, mark.y, mark.text)
