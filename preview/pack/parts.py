"""The parts of a pack, and how each of them is made from a design."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from meshes.export import write_whole
from preview.errors import UseError

if TYPE_CHECKING:
    from meshes.allowance import Allowed
    from meshes.building import Step
    from meshes.spread import Spread
    from preview.course.timeline import Timeline
    from preview.films.building import Building
    from preview.films.film import Filming
    from preview.parallel import Crew
    from preview.pattern.layout import Pattern
    from preview.shot.schedule import Schedule

# Pictures of a guide, pixels. Our choice.
_GUIDE_PIXELS = (648, 432)
# A picture for a shop's page is squeezed by these qualities of JPEG, then made smaller by the
# second number, until it is as light as was asked for. Our choice.
_QUALITIES, _SMALLER = (92, 86, 80, 72, 64), 0.8
_FEWEST_PIXELS = 160  # our choice
# Pictures narrower than this for their height come near, or the spread would be small in them. Our
# choice.
_UPRIGHT = Fraction(7, 10)
# The film of the building: frames per second; seconds that each step takes at most and at least,
# and all of them together, unless each would get less than the least. Our choice.
_BUILD_FPS, _STEP_S, _LONGEST_S = 12.0, (3.0, 1.5), 150.0


@dataclass(frozen=True)
class Wishes:
    """What the pack shall hold.

    Parameters
    ----------
    pages : sizes of paper to print on, such as ``A4``.
    aspects : width over height of the pictures.
    side : longer side of a picture, pixels.
    heaviest : most bytes of a picture.
    film : width and height, pixels.
    opening : of the pictures, degrees.
    mood : light and table of pictures and films.
    terms : the maker's own text, or empty.
    """

    pages: tuple[str, ...] = ("A4", "Letter")
    aspects: tuple[Fraction, ...] = (Fraction(1), Fraction(4, 3), Fraction(9, 16))
    side: int = 1600
    heaviest: int = 1_000_000
    film: tuple[int, int] = (720, 720)
    opening: float = 140.0
    mood: str = "daylight"
    terms: str = ""


@dataclass
class Bench:
    """A design while its pack is made; what several parts need is worked out once.

    Parameters
    ----------
    name : of the design's file, without its ending.
    folder : of the pack.
    """

    spread: Spread
    name: str
    folder: Path
    wishes: Wishes
    workers: Crew

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The order in which the spread is built, proved."""
        from meshes.building import proved

        return proved(self.spread)

    @cached_property
    def cut(self) -> Allowed:
        """The sheets as they are cut; what is printed can be put together, or nothing is."""
        from preview.pattern.allowance import to_cut

        assert self.steps
        return to_cut(self.spread, True)

    @cached_property
    def care(self) -> Mapping[str, float]:
        """Folds that forgive little, by name, mm."""
        from meshes.check.exact import careful, on_folds

        return on_folds(careful(self.spread, self.steps))

    @cached_property
    def printed(self) -> dict[str, Pattern]:
        """The sheets to print on each of the wished sizes of paper."""
        title = self.spread.design.title
        return {page: printed_on(page, title, self.cut, self.care) for page in self.wishes.pages}

    def write(self, name: str, data: bytes) -> str:
        """Write a file of the pack, whole or not at all."""
        write_whole(self.folder / name, data)
        return name


def printed_on(
    page: str, title: str, cut: Allowed, care: Mapping[str, float] | None = None
) -> Pattern:
    """The sheets to print as a pack has them: in colour on white paper, large pieces in parts.

    Parameters
    ----------
    page : size of the paper.
    care : folds that forgive little, by name, mm.

    Raises
    ------
    UseError
        If a piece is too large for the paper even in parts.
    """
    from preview.pattern.allowance import lay_out_cut
    from preview.pattern.layout import Options
    from preview.pattern.marks import Show
    from preview.pattern.stock import stock

    show = Show(colours=True)
    options = Options(stock=stock(page), split=True, side="both", handed_on=True, show=show)
    return lay_out_cut(title, cut, options, care=care)


@dataclass(frozen=True)
class PackPart:
    """One part of a pack.

    Parameters
    ----------
    title : what it is, for the list of contents.
    about : the wishes that it depends on.
    weight : how long it takes beside the others, roughly.
    make : writes its files and returns their names in the pack, with what is worth telling.
    """

    title: str
    about: tuple[str, ...]
    weight: int
    make: Callable[[Bench], tuple[list[str], dict[str, Any]]]

    def wished(self, wishes: Wishes) -> dict[str, str]:
        """The wishes that it depends on, by name."""
        return {name: repr(value) for name, value in asdict(wishes).items() if name in self.about}


def _pattern(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.pattern.pdf import write_pattern

    names, papers = [], {}
    for page, pattern in bench.printed.items():
        papers[page] = [
            {"name": use.name, "sheets": use.sheets, "cut_outs": use.cut_outs}
            for use in pattern.papers
        ]
        names.append(bench.write(f"print/{bench.name}-{page}.pdf", write_pattern(pattern)))
    return names, {"papers": papers}


def _machine(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.pattern.allowance import lay_out_cut
    from preview.pattern.layout import Options
    from preview.pattern.machine import COLOURS, Run
    from preview.pattern.machine_files import machine_files
    from preview.pattern.stock import stock

    sheet = stock(bench.wishes.pages[0])
    options = Options(stock=sheet, split=True, pages=False, furnished=False)
    pattern = lay_out_cut(bench.spread.design.title, bench.cut, options)
    uses = {use.name: use for use in pattern.papers}
    names, papers = [], []
    for number, page in enumerate(pattern.pages, 1):
        stem = f"{bench.name}-{number:02d}"
        names += [
            bench.write(f"machine/{stem}{ending}", data)
            for ending, data in machine_files(pattern, page, Run(COLOURS)).items()
        ]
        use = uses[page.paper]
        papers.append(
            {
                "files": stem,
                "name": use.paper.name,
                "grammage": use.paper.grammage,
                "colour": "" if use.paper.clear else use.colour,
            }
        )
    return names, {"size": sheet.name, "papers": papers}


def _draft(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.draft.pages import write_drafts
    from preview.draft.sheets import draft_sheets
    from preview.pattern.stock import stock
    from preview.pattern.template import templates

    cut, title = bench.cut, bench.spread.design.title
    sheets = draft_sheets(templates(cut.sheets, cut.joins, None, cut.drives))
    names = [
        bench.write(
            f"draft/{bench.name}-drafts-{page}.pdf", write_drafts(title, sheets, stock(page))
        )
        for page in bench.wishes.pages
    ]
    return names, {"different": len(sheets)}


def _guide(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.guide.pdf import write_guide
    from preview.guide.pictures import pictures
    from preview.guide.plan import compose
    from preview.guide.studio import GuideStudio
    from preview.pattern.stock import stock

    studio = GuideStudio.of(bench.spread, _GUIDE_PIXELS, cut=bench.cut)
    cover, *drawn = pictures(studio, bench.steps, bench.workers.jobs)
    names, told = [], {}
    for page, pattern in bench.printed.items():
        guide = compose(bench.spread, pattern, bench.steps, cover, drawn)
        name = f"guide/{bench.name}-guide-{page}.pdf"
        names.append(bench.write(name, write_guide(guide, stock(page))))
        told = {"steps": len(guide.steps), "cut_outs": guide.cut_outs, "time": guide.time}
    return names, told


def _still(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.pictures.still import picture

    wishes = bench.wishes
    motion = bench.spread.solve(np.radians([wishes.opening]))
    names = []
    for shape in wishes.aspects:
        short = round(wishes.side * float(min(shape, 1 / shape)))
        size = (wishes.side, short) if shape >= 1 else (short, wishes.side)
        view = "near" if shape < _UPRIGHT else "reader"
        drawn = picture(
            bench.spread, motion, size, view, bench.workers, quality="still", mood=wishes.mood
        )
        name = f"pictures/{bench.name}-{shape.numerator}x{shape.denominator}.jpg"
        names.append(bench.write(name, squeezed(drawn, wishes.heaviest)))
    return names, {}


def squeezed(picture: np.ndarray, heaviest: int) -> bytes:
    """A picture as JPEG of at most so many bytes: first of less quality, then of fewer pixels.

    Parameters
    ----------
    picture : shape (rows, columns, 3), uint8 sRGB.

    Raises
    ------
    UseError
        If not even a small picture is light enough.
    """
    from PIL import Image

    image = Image.fromarray(picture)
    while max(image.size) >= _FEWEST_PIXELS:
        for quality in _QUALITIES:
            data = io.BytesIO()
            image.save(data, "JPEG", quality=quality, optimize=True)
            if data.tell() <= heaviest:
                return data.getvalue()
        wide, high = (max(1, round(_SMALLER * side)) for side in image.size)
        image = image.resize((wide, high), Image.Resampling.LANCZOS)
    raise UseError(f"no picture is as light as {heaviest / 1e3:g} kB; allow more")


def _film(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.films import film
    from preview.shot.schedule import film as scheduled

    schedule = scheduled("open-close", 5.0, 20.0, (0.0, np.pi))
    motion = film.motion_for(bench.spread, schedule, {})
    shot = film.shot_for(
        bench.spread,
        schedule,
        bench.wishes.film,
        ["reader"],
        motion=motion,
        mood=bench.wishes.mood,
    )
    return _filmed(bench, f"film/{bench.name}.mp4", shot, schedule)


def _build(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from preview.course.kept import course_on_table
    from preview.films import building

    course = course_on_table(bench.spread, bench.steps)
    count = len(course.steps)
    shot = building.shot_of(
        course,
        range(count),
        count,
        (step_seconds(count), _BUILD_FPS),
        bench.wishes.film,
        quality="draft",
        mood=bench.wishes.mood,
    )
    return _filmed(bench, f"film/{bench.name}-build.mp4", shot, shot.line)


def step_seconds(count: int) -> float:
    """How long each of some steps takes in the film of the building, seconds."""
    most, least = _STEP_S
    return min(most, max(least, _LONGEST_S / count))


def _filmed(
    bench: Bench, name: str, shot: Filming | Building, schedule: Schedule | Timeline
) -> tuple[list[str], dict[str, Any]]:
    """Draw and write a film; its name in the pack, and how long it is."""
    from preview.films import encode
    from preview.films.frames import drawn, kept_films

    (bench.folder / name).parent.mkdir(parents=True, exist_ok=True)
    with drawn(shot, schedule.order, bench.workers, lambda *_: None, kept_films()) as frames:
        encode.write(bench.folder / name, frames, schedule.fps)
    return [name], {"seconds": round(schedule.seconds, 1)}


def _view(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    from meshes.motion.memory import Memory
    from preview.viewer.follow import moving
    from preview.viewer.page import assemble
    from preview.viewer.payload import to_send

    memory = Memory()
    scene = to_send(bench.spread, moving(bench.spread, memory), memory)
    return [bench.write(f"page/{bench.name}.html", assemble(scene).encode())], {}


def _terms(bench: Bench) -> tuple[list[str], dict[str, Any]]:
    if not bench.wishes.terms:
        return [], {}
    return [bench.write("TERMS.txt", bench.wishes.terms.encode())], {}


PARTS: Mapping[str, PackPart] = {
    "pattern": PackPart(
        "sheets to print at true scale, colours on the front", ("pages",), 6, _pattern
    ),
    "machine": PackPart(
        "the same pieces for a cutting machine: SVG, DXF and PDF, in mm", ("pages",), 4, _machine
    ),
    "draft": PackPart(
        "how to draw each piece by hand, with ruler and compass", ("pages",), 4, _draft
    ),
    "guide": PackPart("how to build it, step by step", ("pages",), 20, _guide),
    "still": PackPart(
        "pictures for a shop's page", ("aspects", "side", "heaviest", "opening", "mood"), 25, _still
    ),
    "film": PackPart("a film of the spread as it opens and closes", ("film", "mood"), 15, _film),
    "build": PackPart("a film of how it is built, step by step", ("film", "mood"), 40, _build),
    "view": PackPart("a page to open in a browser, and to turn and open by hand", (), 4, _view),
    "terms": PackPart("the maker's terms", ("terms",), 1, _terms),
}
