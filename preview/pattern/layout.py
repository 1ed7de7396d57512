"""Templates onto pages: one group of sheets for each paper, nested, with what each page carries."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from meshes.allowance import Change
from meshes.sheet import Paper

from .artwork import with_bleed
from .drawing import Mark
from .fitting import frame_of, in_parts, in_room, room_of, turns_that_fit
from .furniture import Heading, PrintArea, Register, furniture, register_marks
from .glue import Face, letter
from .marks import Placed, Show, inked
from .nest import Blank, Nesting, Spot, nest, rows
from .stock import Stock
from .template import Template

Side = Literal["front", "back", "both"]
Grain = Literal["long", "short"]
# The group of pages that show where things are glued.
PLACING = "placing sheets"
_FACES: dict[Side, tuple[Face, ...]] = {
    "front": ("front",),
    "back": ("back",),
    "both": ("front", "back"),
}


@dataclass(frozen=True)
class Options:
    """How a pattern is laid out.

    Parameters
    ----------
    margin : that the printer can't reach, mm.
    gap : between pieces, mm.
    side : of the paper that is printed; with ``both`` the marks go on the back, the colours and
        what must be seen on the front go on the front.
    flip : the edge about which the printer turns the paper for the back.
    grain : along the long or the short edge of the paper; pieces are then turned so that their
        longest fold runs with the grain. None if it does not matter.
    split : pieces larger than the sheet come in parts that overlap by `overlap` mm.
    scale : what the printer makes of 1 mm across and upright; compensated for.
    pages : with a placing sheet for each page of the notebook, showing where tabs land.
    register : marks by which a cutting machine finds what was printed.
    handed_on : whoever prints it has the file and a printer, but not this program.
    """

    # Source: ISO 216, A4.
    stock: Stock = field(default_factory=lambda: Stock("A4", 210.0, 297.0))
    # Common practice, no source: home printers reach to 5 mm or nearer.
    margin: float = 10.0
    gap: float = 4.0  # our choice
    side: Side = "front"
    flip: Literal["long", "short"] = "long"
    grain: Grain | None = None
    split: bool = False
    overlap: float = 10.0  # our choice
    scale: tuple[float, float] = (1.0, 1.0)
    pages: bool = True
    furnished: bool = True
    register: Register | None = None
    handed_on: bool = False
    show: Show = field(default_factory=Show)


@dataclass(frozen=True)
class PatternPage:
    """One side of one sheet of paper.

    Parameters
    ----------
    paper : its group's name.
    furniture : marks that belong to no piece.
    """

    stock: Stock
    title: str
    paper: str
    face: Face
    placed: tuple[Placed, ...]
    furniture: tuple[Mark, ...]


@dataclass(frozen=True)
class PaperUse:
    """What one kind of paper is needed for.

    Parameters
    ----------
    colour : sRGB of the printed side.
    white : it is white paper, whatever is printed on it.
    printed : sRGB colours that are printed on it; none if the paper has its own.
    area : of all pieces, mm².
    sheets, waste : of the nested layout.
    plain_sheets, plain_waste : of bounding boxes in rows, to compare with.
    """

    name: str
    paper: Paper
    colour: str
    cut_outs: int
    area: float
    sheets: int
    waste: float
    plain_sheets: int
    plain_waste: float
    white: bool = False
    printed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pattern:
    """A whole pattern; `changes` allow for the thickness of paper."""

    title: str
    templates: tuple[Template, ...]
    pages: tuple[PatternPage, ...]
    papers: tuple[PaperUse, ...]
    options: Options
    changes: tuple[Change, ...] = ()

    @property
    def waste(self) -> float:
        """Share of the used paper that is cut away, over all papers."""
        return _share([(use.area, use.waste) for use in self.papers])

    @property
    def plain_waste(self) -> float:
        """The same for the plain layout in rows."""
        return _share([(use.area, use.plain_waste) for use in self.papers])


def _share(parts: Sequence[tuple[float, float]]) -> float:
    used = sum(area / (1 - waste) for area, waste in parts)
    return 1 - sum(area for area, _ in parts) / used if used else 0.0


def lay_out(
    title: str,
    templates: Sequence[Template],
    options: Options,
    changes: Sequence[Change] = (),
) -> Pattern:
    """Lay templates out.

    Parameters
    ----------
    changes : what was allowed for the thickness of paper in the templates' sheets.

    Raises
    ------
    UseError
        If the sheet is too small for the check bars, or a piece for the sheet and it may not be
        split.
    DesignError
        If part of a piece would not be printed.
    """
    from .proof import prove_templates

    prove_templates(templates)
    frame = frame_of(options)
    pages: list[PatternPage] = []
    papers = []
    taken = {area.letter for template in templates for area in template.glue}
    spare = (name for name in map(letter, itertools.count()) if name not in taken)
    groups = _by_paper(templates, options.show.colours)
    for name, group in groups.items():
        share = len(group) / sum(map(len, groups.values()))
        use, made = _group_pages(name, group, frame, title, options, spare, share)
        papers.append(use)
        pages += made
    if options.pages:
        for template in [t for t in templates if t.is_page]:
            pages += _notebook_pages(template, frame, title, options)
    return Pattern(title, tuple(templates), tuple(pages), tuple(papers), options, tuple(changes))


def shown_on(page: PatternPage, options: Options) -> Show:
    """What is drawn of the pieces on a page.

    On paper printed on both sides the front shows only what must be seen there, so that no marks
    are left on the finished piece.
    """
    if options.side != "both" or page.paper == PLACING:
        return replace(options.show, other_face=True)
    if page.face == "front":
        return replace(options.show, lines=False, names=False, clean=True, other_face=False)
    return replace(options.show, other_face=False)


def has_brackets(pattern: Pattern) -> bool:
    """Whether any letter of a pattern stands in brackets: its area is on the face not drawn."""
    return any(
        shown_on(page, pattern.options).other_face and _has_brackets(page.placed, page.face)
        for page in pattern.pages
    )


def _has_brackets(placed: Sequence[Placed], face: Face) -> bool:
    return any(area.face != face for one in placed for area in one.template.glue)


def _by_paper(templates: Sequence[Template], printed: bool) -> dict[str, list[Template]]:
    """Groups of pieces cut from the same sheets, in order of appearance.

    Parameters
    ----------
    printed : colours are printed, so pieces of one paper share sheets whatever their colours.
    """
    keys: dict[tuple[Paper, str, str], list[Template]] = {}
    for template in [t for t in templates if not t.is_page]:
        sheet = template.sheet
        colours = ("", "") if printed else (sheet.front, sheet.back)
        keys.setdefault((sheet.paper, *colours), []).append(template)
    names: dict[str, list[Template]] = {}
    for (paper, front, back), group in keys.items():
        same = [key for key in keys if key[0].name == paper.name]
        name = paper.name if len(same) == 1 else f"{paper.name} {front}"
        alike = [key for key in same if key[1] == front]
        if len(alike) > 1:
            name += f", back {back}"
        names[name] = group
    return names


def _page_way_up(template: Template) -> Polygon:
    """The outline with y down, as on a page."""
    return _upside_down(template.outline)


def _upside_down(shape: Polygon) -> Polygon:
    return affinity.scale(Polygon(shape.exterior), 1, -1, origin=(0, 0))


def _group_pages(
    name: str,
    group: Sequence[Template],
    frame: PrintArea,
    title: str,
    options: Options,
    spare: Iterator[str],
    share: float,
) -> tuple[PaperUse, list[PatternPage]]:
    """The pages of one paper.

    Parameters
    ----------
    spare : letters for the overlaps of large pieces.
    share : of the time for nesting.
    """
    width, height = room = room_of(options)
    # With colours the bleed is part of each shape, and keeps 1 mm from the next.
    gap = max(options.gap - 2 * options.show.bleed, 1) if options.show.colours else options.gap
    made = [p for t in group for p in in_parts(t, options, spare)]
    blanks = [_blank(t, room, options) for t in made]
    nesting = nest(blanks, width, height, gap, share)
    plain = rows([blank.shape for blank in blanks], width, height, gap)
    cut = sum(Polygon(t.outline.exterior).area for t in made)
    cut /= sum(blank.shape.area for blank in blanks)
    paper = group[0].sheet.paper
    label = f"{name}, {paper.grammage:g} g/m²"
    colours = dict.fromkeys(t.sheet.front for t in group if inked(t.sheet, "front"))
    if options.show.colours:
        label += "" if paper.has_own_colour else ", white"
        label += ", with the colours printed" if colours else ""
    own = paper.front if paper.has_own_colour else "#ffffff"
    colour = own if options.show.colours else group[0].sheet.front
    pages: list[PatternPage] = []
    for number in range(nesting.sheets):
        placed = [
            _placed(t, spot, frame)
            for t, spot in zip(made, nesting.spots, strict=True)
            if spot.sheet == number
        ]
        count = f"sheet {number + 1} of {nesting.sheets}"
        heading = Heading(title, label, count, "front", colour)
        pages += _sides(placed, frame, heading, name, options)
    use = _use(name, group, nesting, plain, cut)
    if options.show.colours:
        white = not paper.has_own_colour
        use = replace(use, colour=colour, white=white, printed=tuple(colours))
    return use, pages


def _blank(template: Template, room: tuple[float, float], options: Options) -> Blank:
    """What a piece takes on its sheet: all that is printed of it, the bleed too.

    A piece that does not fit with its bleed fits without it; it then takes all the sheet's width,
    height, or both, and its colour ends where the printer does.
    """
    shape = _page_way_up(template)
    turns = turns_that_fit(template.outline, template.lengthwise, room, options)
    if not (options.show.colours or template.sheet.art):
        return Blank(shape, turns)
    grown = with_bleed(template.outline, options.show.bleed)
    grown = grown if isinstance(grown, Polygon) else grown.convex_hull
    fitting = turns_that_fit(grown, template.lengthwise, room, options)
    if fitting:
        return Blank(_upside_down(grown), fitting)
    turn = turns[int(np.argmax(in_room(template.outline, np.array(turns), room)))]
    spot = Spot(0, turn, 0.0, 0.0)
    cut, printed = (np.reshape(spot.place(s).bounds, (2, 2)) for s in (shape, _upside_down(grown)))
    half, wide = np.array(room) / 2, np.ptp(printed, axis=0) > room
    box = np.where(wide, cut.mean(axis=0) + np.outer([-1, 1], half), printed)
    back = Spot(0, -turn, 0.0, 0.0).place(shapely.box(*box.ravel()))
    return Blank(back, (turn,))


def _use(
    name: str, group: Sequence[Template], nesting: Nesting, plain: Nesting, cut: float
) -> PaperUse:
    """What a paper is needed for; of what was nested a share `cut` is no bleed."""
    sheet = group[0].sheet
    area = sum(Polygon(template.outline.exterior).area for template in group)
    return PaperUse(
        name,
        sheet.paper,
        sheet.front,
        len(group),
        area,
        nesting.sheets,
        1 - cut * (1 - nesting.waste),
        plain.sheets,
        1 - cut * (1 - plain.waste),
    )


def _placed(template: Template, spot: Spot, frame: PrintArea) -> Placed:
    c, s = math.cos(spot.turn), math.sin(spot.turn)
    matrix = np.array([[c, -s], [s, c]]) @ np.diag([1.0, -1.0])
    return Placed(template, matrix, np.array([frame.left + spot.x, frame.top + spot.y]))


def _sides(
    placed: Sequence[Placed],
    frame: PrintArea,
    heading: Heading,
    paper: str,
    options: Options,
) -> list[PatternPage]:
    """The front, the mirrored back, or both."""
    faces: tuple[Face, ...] = _FACES[options.side]
    pages = []
    for face in faces:
        both = options.side == "both"
        own = replace(heading, face=face, brackets=not both and _has_brackets(placed, face))
        # Turned over, pieces lie where the front has its bars; these are on the front.
        marks = furniture(frame, own, options.grain, bars=face == "front" or not both)
        marks = marks if options.furnished else []
        if both:
            marks += register_marks(options.stock)
        if options.register is not None:
            marks += options.register.marks(options.stock)
        turned = list(placed)
        if face == "back":
            turned = [_back(p, *_mirror(frame, options)) for p in placed]
        pages.append(
            PatternPage(options.stock, heading.count, paper, face, tuple(turned), tuple(marks))
        )
    return pages


def _mirror(frame: PrintArea, options: Options) -> tuple[np.ndarray, np.ndarray]:
    """How front becomes back: turned about an edge of the paper, or within the room for pieces."""
    stock = options.stock
    if options.side != "both":
        return np.diag([-1.0, 1.0]), np.array([2 * frame.left + frame.width, 0.0])
    about_upright = (options.flip == "long") == (stock.height >= stock.width)
    if about_upright:
        return np.diag([-1.0, 1.0]), np.array([stock.width, 0.0])
    return np.diag([1.0, -1.0]), np.array([0.0, stock.height])


def _back(placed: Placed, mirror: np.ndarray, far: np.ndarray) -> Placed:
    """The same piece seen from behind, a point p of the page moved to ``mirror @ p + far``."""
    window = placed.window
    if window is not None:
        window = shapely.transform(window, lambda points: points @ mirror + far)
    return Placed(
        placed.template, mirror @ placed.matrix, mirror @ placed.shift + far, "back", window
    )


def _notebook_pages(
    template: Template, frame: PrintArea, title: str, options: Options
) -> list[PatternPage]:
    from .notebook import placing_parts

    pages = []
    parts = placing_parts(template, frame, options.overlap)
    first = "cut out, glue its parts together, " if len(parts) > 1 else "cut out, "
    label = (
        f"placing sheet: {first}lay on the {template.title}, prick each place through with a pin"
    )
    for part in parts:
        own = _has_brackets([part.placed], "front")
        heading = Heading(title, label, part.title, None, brackets=own)
        marks = furniture(frame, heading, None) if options.furnished else []
        pages.append(
            PatternPage(
                options.stock,
                part.title,
                PLACING,
                "front",
                (part.placed,),
                tuple(marks + list(part.marks)),
            )
        )
    return pages
