"""The results of one design, made anywhere: from bytes to bytes, with no file left behind."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from meshes.errors import DesignError

from .store import Row
from .task import CatalogTask, Settings

if TYPE_CHECKING:
    from meshes.check import Case
    from meshes.motion.result import Motion
    from meshes.spread import Spread

STAGES_DEG = (0, 30, 60, 90, 135, 180)


@dataclass(frozen=True)
class Product:
    """A row of the catalog and the files that go with it, by name."""

    row: Row
    files: Mapping[str, bytes]


def make(task: CatalogTask) -> Product:
    """Make everything that the catalog shows of one design.

    A design that is wrong gives a row that says why; nothing is raised for it.
    """
    with tempfile.TemporaryDirectory(prefix="foldstage-") as name:
        folder = Path(name).resolve()
        for path, content in task.files:
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_bytes(content)
        try:
            return _of_design(task, folder)
        except DesignError as error:
            lines = str(error).replace(f"{folder}/", "").splitlines()
            return Product(plain_row(task, "broken", lines), {})
        except Exception as error:  # a fault of the program must not cost the other designs
            reason = f"{task.name}: the program failed: {type(error).__name__}: {error}"
            return Product(plain_row(task, "crashed", [reason.replace("\n", " ")]), {})


def plain_row(task: CatalogTask, status: str, reasons: list[str]) -> Row:
    """The row of a design of which there is nothing to show."""
    return {"name": task.name, "title": "", "status": status, "reasons": reasons}


def _of_design(task: CatalogTask, folder: Path) -> Product:
    from meshes import check
    from meshes import spread as spreads

    spread = spreads.read(folder / task.path, dict(task.values))
    case = check.case_of(spread)
    report = check.with_order(check.report(case), spread, case)
    reasons = [finding.text for finding in report.findings if finding.fails]
    row: Row = {
        "name": task.name,
        "title": spread.design.title,
        "status": "problems" if reasons else "passes",
        "reasons": reasons,
        **_sizes(spread, case),
    }
    files: dict[str, bytes] = {}
    if task.settings.pictures and case.motion.solved.any():
        made = folder / ".made"
        made.mkdir()
        row |= _draw(spread, case.motion, task.settings, made)
        files = {path.name: path.read_bytes() for path in sorted(made.iterdir())}
    return Product(row, files)


def _sizes(spread: Spread, case: Case) -> Row:
    """Page, closed thickness, standing height and the counts of paper."""
    from meshes.check import thickness

    page = spread.design.spread
    papers = [sheet for sheet in spread.sheets if sheet.piece != "page"]
    opened = case.motion.openings[case.motion.solved]
    return {
        "page": page.page or "own size",
        "page_width_mm": round(float(page.width), 2),
        "page_height_mm": round(float(page.height), 2),
        "closed_thickness_mm": round(thickness.peak(case), 2),
        "standing_height_mm": round(_standing(spread, case.motion), 1),
        "opens_to_deg": round(float(np.degrees(opened.max())), 1) if len(opened) else 0.0,
        "pieces": len({sheet.piece for sheet in papers}),
        "sheets": len(papers),
        "facets": sum(len(sheet.facets) for sheet in papers),
        "folds": len(spread.linkage.hinges),
    }


def _standing(spread: Spread, motion: Motion) -> float:
    """Height of the highest point over the gutter at any stage from half open on, mm."""
    highest = 0.0
    for stage in np.flatnonzero(motion.solved & (motion.openings >= np.pi / 2 - 1e-9)):
        for number, body in enumerate(spread.linkage.bodies):
            rotation, shift = motion.rotations[stage, number], motion.translations[stage, number]
            for part in body.parts:
                if part.sheet.piece != "page":
                    flat = np.asarray(part.polygon.exterior.coords)
                    heights = flat @ rotation[2, :2] + shift[2]
                    highest = max(highest, float(heights.max()))
    return highest


def _draw(spread: Spread, motion: Motion, settings: Settings, folder: Path) -> Row:
    """Write film, thumbnail and picture of stages into a folder; their names."""
    from preview.pictures import stages, still, thumbnail

    best = thumbnail.propose(spread, motion, mood=settings.mood, count=1)[0]
    picture = thumbnail.draw(best, (640, 360), quality=settings.quality)
    still.save(picture, folder / "thumbnail.webp")
    reached = motion.openings[motion.solved]
    wanted = np.radians(STAGES_DEG)
    shown = wanted[(wanted >= reached.min() - 1e-9) & (wanted <= reached.max() + 1e-9)]
    shown = shown if len(shown) else reached[:1]
    still.save(
        stages.draw(spread, shown, (320, 240), mood=settings.mood, quality=settings.quality),
        folder / "stages.png",
    )
    row: Row = {"thumbnail": "thumbnail.webp", "stages": "stages.png"}
    if settings.film != "none":
        row["film"] = f"film.{settings.film}"
        _film(spread, motion, settings, folder / row["film"])
    return row


def _film(spread: Spread, motion: Motion, settings: Settings, path: Path) -> None:
    from preview.films import encode, film
    from preview.films.frames import drawn
    from preview.shot import schedule as schedules

    run = film.longest_run(motion)
    if run is None:
        return
    schedule = schedules.film("open-close", settings.seconds, settings.fps, run)
    shot = film.shot_for(
        spread, schedule, settings.size, mood=settings.mood, quality=settings.quality
    )
    with drawn(shot, schedule.order, jobs=1) as frames:
        encode.write(path, frames, schedule.fps)
