"""The results of one design, made anywhere: from bytes to bytes, with no file left behind."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from meshes.errors import DesignError, Mistake
from meshes.measure import shown

from .store import Row
from .task import CatalogTask, Settings

if TYPE_CHECKING:
    from meshes.motion.memory import Memory
    from meshes.motion.result import Motion
    from meshes.spread import Spread

STAGES_DEG = (0, 30, 60, 90, 135, 180)
# A still has so many pixels across for each of the film's, so that it is sharp on a fine screen.
SHARPER = 2
# What a page calls a design whose file has no title: its name there is nobody's business.
UNTITLED = "Untitled spread"


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
    from meshes.check.case import STAGES
    from meshes.design import toml
    from meshes.motion.memory import Memory

    from .figures import building, sizes, words

    spread = spreads.read(folder / task.path, dict(task.values))
    _check_by_hand(task, spread)
    memory = Memory()
    motion = spread.solve(STAGES, memory=memory)
    case = check.case_of(spread, motion, memory)
    report = check.with_order(check.report(case), spread, case)
    reasons = [finding.text for finding in report.findings if finding.fails]
    # A design without a title takes the name of its file instead.
    named = "title" in {*toml.load(folder / task.path, task.name), *task.values}
    row: Row = {
        "name": task.name,
        "title": spread.design.title if named else "",
        "status": "problems" if reasons else "passes",
        "reasons": reasons,
        "words": words(spread),
        **sizes(spread, case),
    }
    files: dict[str, bytes] = {}
    if task.settings.pictures and motion.solved.any():
        row |= building(spread)
        made = folder / ".made"
        made.mkdir()
        row |= _draw(spread, motion, task.settings, made)
        called = task.settings.called or row["title"] or UNTITLED
        if _page(spread, motion, memory, made, called):
            row["view"] = "view.html"
        files = {path.name: path.read_bytes() for path in sorted(made.iterdir())}
    return Product(row, files)


def _check_by_hand(task: CatalogTask, spread: Spread) -> None:
    """DesignError if the shop says that a hand moves what no hand moves."""
    from meshes.design.mistakes import listed

    wanted, known = task.settings.by_hand, [drive.name for drive in spread.linkage.drives]
    if wanted and wanted not in known:
        raise DesignError(
            [
                Mistake(
                    task.name,
                    "no hand moves what the shop's file says",
                    key="by_hand",
                    found=shown(wanted),
                    allowed=listed(known) or "nothing, since no piece of it is moved by hand",
                )
            ]
        )


def _draw(spread: Spread, motion: Motion, settings: Settings, folder: Path) -> Row:
    """Write still, picture of stages and film into a folder; their names."""
    from preview.pictures import stages, still
    from preview.shot.asked import lying_for, mood_for

    shots = spread.design.shots
    mood, lying = mood_for(settings.mood, None, shots), lying_for(None, shots, "both")
    reached = motion.openings[motion.solved]
    best = reached[np.argmin(np.abs(reached - np.radians(settings.opening)))]
    wide, high = (SHARPER * side for side in settings.size)
    quality = "still" if settings.quality == "film" else settings.quality
    picture = still.picture(
        spread,
        spread.solve(np.array([best])),
        (wide, high),
        mood=mood,
        lying=lying,
        quality=quality,
    )
    still.save(picture, folder / "still.webp")
    wanted = np.radians(STAGES_DEG)
    shown = wanted[(wanted >= reached.min() - 1e-9) & (wanted <= reached.max() + 1e-9)]
    shown = shown if len(shown) else reached[:1]
    still.save(
        stages.draw(spread, shown, (320, 240), mood=mood, lying=lying, quality=settings.quality),
        folder / "stages.webp",
    )
    row: Row = {"still": "still.webp", "stages": "stages.webp"}
    if settings.film != "none" and _film(spread, motion, settings, folder):
        row["film"] = f"film.{settings.film}"
    return row


def _film(spread: Spread, motion: Motion, settings: Settings, folder: Path) -> bool:
    """Write the film, if anything moves."""
    from preview.films import encode, film
    from preview.films.frames import drawn
    from preview.shot import schedule as schedules
    from preview.shot.asked import lying_for, mood_for

    run = film.longest_run(motion)
    if run is None:
        return False
    driven = [settings.by_hand] if settings.by_hand else []
    if driven:
        run = run[0], min(run[1], float(np.radians(settings.opening)))
    schedule = schedules.film(
        "stand" if driven else "open-close",
        settings.seconds,
        settings.fps,
        run,
        driven=bool(driven),
    )
    shots = spread.design.shots
    shot = film.shot_for(
        spread,
        schedule,
        settings.size,
        driven=driven,
        mood=mood_for(settings.mood, None, shots),
        lying=lying_for(None, shots, "thicker"),
        quality=settings.quality,
    )
    with drawn(shot, schedule.order, jobs=1) as frames:
        encode.write(folder / f"film.{settings.film}", frames, schedule.fps)
    return True


def _page(spread: Spread, motion: Motion, memory: Memory, folder: Path, title: str) -> bool:
    """Write the page to open by hand, if anything moves.

    It tells visitors neither what the check found nor what the file is called.

    Parameters
    ----------
    title : what it calls the design.
    """
    from meshes.motion.keys import solved_run
    from preview.viewer.page import save
    from preview.viewer.payload import to_send

    if len(solved_run(motion).openings) < 2:
        return False
    scene = to_send(spread, motion, memory) | {"findings": [], "title": title}
    save(folder / "view.html", scene)
    return True
