"""Templates onto pages: one group of sheets for each paper, nested, with what each page carries."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, NoReturn

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from meshes.rectangle import smallest_rectangle
from meshes.sheet import Paper
from preview.errors import UseError

from .drawing import Mark
from .furniture import Frame, Heading, Register, furniture, register_marks
from .glue import Face, letter
from .marks import Placed, Show
from .nest import Blank, Nesting, Spot, nest, rows
from .parts import CannotPart, parted
from .stock import SIZES_MM, Stock
from .template import Template

Side = Literal["front", "back", "both"]
Grain = Literal["long", "short"]
# The check bars must fit beside the pieces. Our choice.
LEAST_ROOM_MM = 110.0
# Pieces that fit no other way are tried at these turns. Our choice.
_ASKEW_DEG = 3.0
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
    printed : sRGB colours that are printed on white paper; none if the paper has its own.
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
    printed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pattern:
    """A whole pattern."""

    title: str
    templates: tuple[Template, ...]
    pages: tuple[PatternPage, ...]
    papers: tuple[PaperUse, ...]
    options: Options

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


def lay_out(title: str, templates: Sequence[Template], options: Options) -> Pattern:
    """Lay templates out.

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
    frame = _frame(options)
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
    return Pattern(title, tuple(templates), tuple(pages), tuple(papers), options)


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


def _frame(options: Options) -> Frame:
    margin = max(options.margin, options.register.margin if options.register else 0.0)
    frame = Frame(options.stock, margin, options.furnished)
    if options.furnished and min(frame.width, frame.height) < LEAST_ROOM_MM:
        raise UseError(
            f"sheet {options.stock.name} leaves {frame.width:.0f} × {frame.height:.0f} mm inside a "
            f"margin of {options.margin:g} mm, too little for the 100 mm check bars; allowed: at "
            f"least {LEAST_ROOM_MM:g} mm both ways; try --page A4"
        )
    return frame


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


def _turns(
    outline: Polygon, lengthwise: float | None, grain: Grain | None, stock: Stock
) -> tuple[float, ...]:
    """Rotations that the grain allows, radians, in page coordinates (y down).

    Parameters
    ----------
    lengthwise : direction of the longest fold, radians, y up.
    """
    if grain is None or lengthwise is None:
        first = _box_turn(outline)
        quarter = [k * np.pi / 2 for k in range(4)]
        more = [] if abs(math.sin(2 * first)) < 1e-3 else [first + q for q in quarter]
        return tuple(quarter + more)
    # In the page the drawing is upside down, so the fold's direction is mirrored.
    upright = (grain == "long") == (stock.height >= stock.width)
    turn = (math.pi / 2 if upright else 0.0) + lengthwise
    return (turn, turn + math.pi)


def _turns_that_fit(
    outline: Polygon, lengthwise: float | None, room: tuple[float, float], options: Options
) -> tuple[float, ...]:
    """Rotations in which a piece fits on the sheet, askew where nothing else helps."""
    found = _turns(outline, lengthwise, options.grain, options.stock)
    if _in_room(outline, np.array(found), room).any():
        return found
    if options.grain is not None and lengthwise is not None:
        return ()
    askew = np.radians(np.arange(0, 180, _ASKEW_DEG))
    return tuple(map(float, askew[_in_room(outline, askew, room)]))


def _in_room(outline: Polygon, turns: np.ndarray, room: tuple[float, float]) -> np.ndarray:
    """Whether an outline, y up, fits into a room, for each of some rotations of the page."""
    corners = np.asarray(outline.convex_hull.exterior.coords) * [1.0, -1.0]
    c, s = np.cos(turns), np.sin(turns)
    wide = np.ptp(corners @ np.array([c, -s]), axis=0)
    high = np.ptp(corners @ np.array([s, c]), axis=0)
    return np.asarray((wide <= room[0] + 1e-6) & (high <= room[1] + 1e-6))


def _box_turn(outline: Polygon) -> float:
    corners = smallest_rectangle(affinity.scale(outline, 1, -1, origin=(0, 0)))
    side = corners[1] - corners[0]
    return -float(np.arctan2(side[1], side[0]))


def _page_way_up(template: Template) -> Polygon:
    """The outline with y down, as on a page."""
    return affinity.scale(Polygon(template.outline.exterior), 1, -1, origin=(0, 0))


def _group_pages(
    name: str,
    group: Sequence[Template],
    frame: Frame,
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
    width, height = _room(frame, options)
    gap = max(options.gap, 2 * options.show.bleed + 1) if options.show.colours else options.gap
    made = [p for t in group for p in _in_parts(t, width, height, options, spare)]
    room = (width, height)
    blanks = [
        Blank(_page_way_up(t), _turns_that_fit(t.outline, t.lengthwise, room, options))
        for t in made
    ]
    nesting = nest(blanks, width, height, gap, share)
    plain = rows([blank.shape for blank in blanks], width, height, gap)
    paper = group[0].sheet.paper
    label = f"{name}, {paper.grammage:g} g/m²"
    if options.show.colours:
        label += (
            ", with the colours printed" if paper.clear else ", white, with the colours printed"
        )
    colour = "#ffffff" if options.show.colours else group[0].sheet.front
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
    use = _use(name, group, nesting, plain)
    if options.show.colours:
        use = replace(use, printed=tuple(dict.fromkeys(t.sheet.front for t in group)))
    return use, pages


def _in_parts(
    template: Template, width: float, height: float, options: Options, spare: Iterator[str]
) -> list[Template]:
    """The piece, or its parts if it is larger than the sheet and may be parted."""

    def fits(outline: Polygon, lengthwise: float | None) -> bool:
        return bool(_turns_that_fit(outline, lengthwise, (width, height), options))

    if fits(template.outline, template.lengthwise):
        return [template]
    if not options.split:
        _refuse_large(template, width, height, options)
    try:
        return parted(template, fits, options.overlap, spare)
    except CannotPart as error:
        raise UseError(
            f"{error}; room {width:.0f} × {height:.0f} mm; try a larger --page"
        ) from None


def _use(name: str, group: Sequence[Template], nesting: Nesting, plain: Nesting) -> PaperUse:
    sheet = group[0].sheet
    area = sum(Polygon(template.outline.exterior).area for template in group)
    return PaperUse(
        name,
        sheet.paper,
        sheet.front,
        len(group),
        area,
        nesting.sheets,
        nesting.waste,
        plain.sheets,
        plain.waste,
    )


def _room(frame: Frame, options: Options) -> tuple[float, float]:
    """Room for pieces, mm of true size: less where compensation makes the file's drawing larger."""
    return frame.width * min(1.0, options.scale[0]), frame.height * min(1.0, options.scale[1])


def _refuse_large(template: Template, width: float, height: float, options: Options) -> NoReturn:
    left, bottom, right, top = template.outline.bounds
    need = sorted((right - left, top - bottom))
    # What home and copy shops have, smallest first; 40 and 50 mm is what margins and bars take.
    larger = [
        name
        for name in ("A4", "A3", "Tabloid", "A2")
        if min(SIZES_MM[name]) - 40 >= need[0] and max(SIZES_MM[name]) - 50 >= need[1]
    ]
    advice = f"--page {larger[0]}, or --split" if larger else "--split"
    raise UseError(
        f"{template.title} is {right - left:.1f} × {top - bottom:.1f} mm and does not fit on "
        f"{options.stock.name} (room {width:.0f} × {height:.0f} mm, grain "
        f"{options.grain or 'free'}); try {advice}"
    )


def _placed(template: Template, spot: Spot, frame: Frame) -> Placed:
    c, s = math.cos(spot.turn), math.sin(spot.turn)
    matrix = np.array([[c, -s], [s, c]]) @ np.diag([1.0, -1.0])
    return Placed(template, matrix, np.array([frame.left + spot.x, frame.top + spot.y]))


def _sides(
    placed: Sequence[Placed],
    frame: Frame,
    heading: Heading,
    paper: str,
    options: Options,
) -> list[PatternPage]:
    """The front, the mirrored back, or both."""
    faces: tuple[Face, ...] = _FACES[options.side]
    pages = []
    for face in faces:
        own = replace(heading, face=face)
        both = options.side == "both"
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


def _mirror(frame: Frame, options: Options) -> tuple[np.ndarray, np.ndarray]:
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
    template: Template, frame: Frame, title: str, options: Options
) -> list[PatternPage]:
    from .notebook import placing_parts

    pages = []
    for part in placing_parts(template, frame, options.overlap):
        label = f"where it goes: {template.title} of the notebook"
        heading = Heading(title, label, part.title, None)
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
