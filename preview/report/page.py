"""The check as one HTML page that stands by itself, with pictures of what is wrong."""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from meshes.check import QUESTIONS, SIGNS, VERDICTS, Answer, Case, Finding, Limits, Report
from meshes.check.looks import Eye, Filming
from meshes.export import write_whole

from .words import figures, summary

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread

    from ..drawing.book import Book
    from ..drawing.lying import Lying
    from ..shot.camera import Camera
    from .picture import ReportStudio

FILM_SIZE = (640, 480)
# More pictures than this would make the page slow to write; the rest is told in words.
_MOST_PICTURES = 16
# Pieces of which less is hidden are not listed.
_SEEN_PERCENT = 20


def film_eye(spread: Spread, motion: Motion, view: str = "reader") -> Filming:
    """The camera of a film of the spread, for judging what it sees.

    Parameters
    ----------
    view : a name in ``preview.shot.camera.VIEWS``, or of a shot of the design.
    """
    from ..films.film import shot_of
    from ..shot.asked import lying_for

    keep = np.flatnonzero(motion.solved)
    if not len(keep):
        return _nowhere
    solved = replace(
        motion,
        openings=motion.openings[keep],
        solved=motion.solved[keep],
        rotations=motion.rotations[keep],
        translations=motion.translations[keep],
        angles=motion.angles[keep],
        gaps=motion.gaps[keep],
    )
    lying = lying_for(None, spread.design.shots, "thicker", [view])
    shot = shot_of(spread, solved, FILM_SIZE, view, lying=lying)
    return _FilmEye(shot.camera, shot.book, shot.lying)


@dataclass(frozen=True)
class _FilmEye:
    """A camera that stands still while the notebook is opened."""

    camera: Camera
    book: Book
    lying: Lying

    def __call__(self, points: np.ndarray, opening: float) -> Eye:
        from ..drawing.lying import AtRest

        rest = AtRest.of(self.book, opening, self.lying)
        place = (np.array(self.camera.eye) - rest.lift) @ rest.turn
        half_height = float(np.tan(self.camera.field / 2))
        return _eye_at(place, self.camera.axes @ rest.turn, half_height)


def _nowhere(points: np.ndarray, opening: float) -> Eye:
    """The camera of what is never seen."""
    return _eye_at(np.zeros(3), np.eye(3), 1.0)


def _eye_at(place: np.ndarray, axes: np.ndarray, half_height: float) -> Eye:
    return Eye(place, axes, (half_height * FILM_SIZE[0] / FILM_SIZE[1], half_height))


def write(path: Path, spread: Spread, case: Case, report: Report, limits: Limits) -> None:
    """Write the page; the file holds all of it or is left as it was."""
    from ..drawing.render import renderer
    from ..drawing.scene import book_of
    from .picture import ReportStudio

    engine = renderer("auto")
    try:
        text = page(report, case, limits, ReportStudio(case, book_of(spread), engine))
    finally:
        engine.close()
    write_whole(path, text.encode())


def page(report: Report, case: Case, limits: Limits, studio: ReportStudio) -> str:
    """The HTML of a report."""
    style = resources.files("preview.report").joinpath("style.css").read_text("utf-8")
    doubtful = _warned(report) or not report.whole
    verdict = "no" if not report.passes else "yes-with-warnings" if doubtful else "yes"
    parts = [
        f"<h1>{escape(report.title)}</h1>",
        f'<p class="verdict {verdict}">{escape(summary(report))}</p>',
        _questions(report),
    ]
    if report.findings:
        parts.append("<h2>What to change, worst first</h2>")
        parts += [
            _article(finding, k, case, limits, studio) for k, finding in enumerate(report.findings)
        ]
    parts.append(_thickness(report, case, limits))
    parts.append(_looks(report))
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"/>'
        '<meta name="viewport" content="width=device-width, initial-scale=1"/>'
        f"<title>Check of {escape(report.title)}</title><style>{style}</style></head>"
        f"<body><main>{''.join(parts)}</main></body></html>\n"
    )


def _warned(report: Report) -> bool:
    return any(finding.severity == "warning" for finding in report.findings)


def _questions(report: Report) -> str:
    rows = "".join(
        f"<tr><td>{QUESTIONS[answer.question]}</td>"
        f'<td class="{answer.verdict}">{VERDICTS[answer.verdict]}</td>'
        f"<td>{escape(figures(answer))}</td></tr>"
        for answer in report.answers
    )
    return f"<table><tr><th>Question</th><th>Answer</th><th>Figures</th></tr>{rows}</table>"


def _article(finding: Finding, k: int, case: Case, limits: Limits, studio: ReportStudio) -> str:
    picture = _picture(finding, case, limits, studio) if k < _MOST_PICTURES else ""
    advice = f'<p class="advice">{escape(finding.advice)}</p>' if finding.advice else ""
    facts = "".join(f"<dt>{name}</dt><dd>{escape(value)}</dd>" for name, value in _facts(finding))
    return (
        f'<article class="{finding.severity}{"" if picture else " plain"}"><div>'
        f"<h3>{escape(finding.piece or 'the spread')}: {escape(finding.kind)}</h3>"
        f"<p>{escape(finding.text)}.</p>{advice}<dl>{facts}</dl></div>{picture}</article>"
    )


def _facts(finding: Finding) -> list[tuple[str, str]]:
    facts = [("severity", f"{SIGNS[finding.severity]} {finding.severity}")]
    unit = {"deg": "°", "percent": " %", "": ""}.get(finding.unit, f" {finding.unit}")
    if finding.amount is not None and finding.unit:
        limit = "" if finding.limit is None else f" (limit {finding.limit:g}{unit})"
        facts.append(("measured", f"{finding.amount:z.2f}{unit}{limit}"))
    if finding.from_deg is not None and finding.to_deg is not None:
        facts.append(("opening", f"{finding.from_deg:z.1f}° to {finding.to_deg:z.1f}°"))
    if finding.parts:
        facts.append(("facets", ", ".join(finding.parts[:6]) + " …" * (len(finding.parts) > 6)))
    return facts


def _picture(finding: Finding, case: Case, limits: Limits, studio: ReportStudio) -> str:
    from .plan import closed_plan

    place = finding.place
    # The height map below shows where it is too thick.
    if place is None or finding.question == "thickness":
        return ""
    if finding.question == "inside":
        caption = "<figcaption>the closed spread, from the side</figcaption>"
        return f"<figure>{closed_plan(case, limits, finding)}{caption}</figure>"
    return studio.picture(finding)


def _thickness(report: Report, case: Case, limits: Limits) -> str:
    from .plan import height_plan

    answer = _asked(report, "thickness")
    if answer is None or "peak_mm" not in answer.measures:
        return ""
    m = answer.measures
    stack = "".join(f"<li>{escape(name)}</li>" for name in m.get("stack", ()))
    return (
        "<h2>Thickness of the closed spread</h2>"
        f'<div class="two"><figure>{height_plan(case, limits)}'
        "<figcaption>Sum of the calipers, both pages included. Air and springing folds add to it."
        "</figcaption></figure>"
        f"<div><p>At its thickest, {m['layers']} layers add up to {m['peak_mm']:z.2f} mm, "
        f"{m['peak_at_foot_mm']:z.0f} mm from the foot and {m['peak_at_gutter_mm']:z.0f} mm from "
        f"the gutter. The mean over the page is {m['mean_mm']:z.2f} mm.</p>"
        f"<p>From the left page to the right one:</p><ol class='stack'>{stack}</ol></div></div>"
    )


def _looks(report: Report) -> str:
    answer = _asked(report, "looks")
    shares = answer.measures.get("hidden_percent", {}) if answer is not None else {}
    if not shares:
        return ""
    most = {
        name: max(at.get(name, 0) for at in shares.values())
        for at in shares.values()
        for name in at
    }
    names = sorted((n for n in most if most[n] >= _SEEN_PERCENT), key=lambda n: (-most[n], n))
    heads = "".join(f'<th class="number">{at}°</th>' for at in shares)
    rows = "".join(
        f"<tr><td>{escape(name)}</td>"
        + "".join(_share(at.get(name)) for at in shares.values())
        + "</tr>"
        for name in names
    )
    rest = len(most) - len(names)
    others = ""
    if rest:
        pieces = "piece is" if rest == 1 else f"{rest} pieces are"
        others = f"<p>The other {pieces} in full view, or nearly.</p>"
    table = f"<table><tr><th>Piece</th>{heads}</tr>{rows}</table>" if names else ""
    return f"<h2>Hidden from the camera</h2>{table}{others}"


def _share(percent: int | None) -> str:
    """A cell with a share, the darker the more is hidden."""
    if percent is None:
        return '<td class="number">–</td>'
    return f'<td class="number" style="--share:{percent}%">{percent} %</td>'


def _asked(report: Report, question: str) -> Answer | None:
    return next((a for a in report.answers if a.question == question and a.asked), None)
