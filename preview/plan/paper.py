"""The film plan as JSON, as a page for the browser and as a PDF to take to the table."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np

from preview.pattern import font
from preview.pattern.pdf import new_document

from .shots import FilmPlan, Shot

if TYPE_CHECKING:
    from fpdf import FPDF

Storyboard = Sequence[np.ndarray]

# Of the PDF page, A4 across, mm. Source: ISO 216.
PAGE = (297.0, 210.0)
EDGE = 14.0  # our choice
LINE = 5.2  # our choice
# What photographers write.
CAMERAS = {"aps-c": "APS-C"}
INK, QUIET, ALERT = (44, 42, 38), (101, 95, 85), (154, 52, 18)  # our choice


def as_data(plan: FilmPlan) -> dict[str, Any]:
    """The plan as plain data; lengths in mm, angles in degrees, times in seconds."""
    gear = plan.gear
    return {
        "design": plan.title,
        "camera": {
            "sensor": gear.sensor.name,
            "sensor_mm": [gear.sensor.width, gear.sensor.height],
            "lens_mm": gear.focal,
            "f_number": gear.f_number,
            "aspect": round(gear.aspect, 4),
            "angle_of_view_deg": round(float(np.degrees(gear.field)), 2),
        },
        "shots": [_shot_data(shot) for shot in plan.shots],
    }


def _shot_data(shot: Shot) -> dict[str, Any]:
    far = None if np.isinf(shot.sharp.far) else round(shot.sharp.far)
    return {
        "name": shot.name,
        "view": shot.name if shot.settings.kept else shot.settings.view,
        "piece": shot.settings.piece,
        "seconds": shot.settings.seconds,
        "from_deg": _deg(shot.openings[0]),
        "to_deg": _deg(shot.openings[-1]),
        "turn_deg": _deg(shot.settings.turn),
        "distance_mm": round(shot.distance),
        "height_mm": round(shot.height),
        "forward_mm": round(shot.forward),
        "sideways_mm": round(shot.sideways),
        "tilt_deg": _deg(shot.tilt),
        "covers_mm": [round(side) for side in shot.covers],
        "sharp_from_mm": round(shot.sharp.near),
        "sharp_to_mm": far,
        "all_sharp": shot.all_sharp,
        "f_number_for_all_sharp": shot.enough,
        "leaves_frame": [
            {"piece": cut.piece, "from_deg": _deg(cut.first), "to_deg": _deg(cut.last)}
            for cut in shot.cuts
        ],
    }


def _deg(angle: float) -> float:
    return round(float(np.degrees(angle)), 1) + 0.0


def facts(shot: Shot) -> list[tuple[str, str]]:
    """The figures of a shot, as names and lines for a person."""
    start, end = _deg(shot.openings[0]), _deg(shot.openings[-1])
    opening = f"{start:g}°" if start == end else f"from {start:g}° to {end:g}°"
    turn = f", turning {_deg(shot.settings.turn):g}°" if shot.settings.turn else ""
    far = "infinity" if np.isinf(shot.sharp.far) else f"{shot.sharp.far / 10:z.1f} cm"
    side = "right" if shot.sideways >= 0 else "left"
    aside = f", {abs(shot.sideways) / 10:z.0f} cm to the {side}" if abs(shot.sideways) > 5 else ""
    front = "in front of" if shot.forward >= 0 else "behind"
    return [
        ("Opening", opening + turn),
        ("Length", f"{shot.settings.seconds:g} s"),
        ("Distance", f"{shot.distance / 10:z.1f} cm from the lens to where it is focused"),
        (
            "Lens",
            f"{shot.height / 10:z.1f} cm over the table, {abs(shot.forward) / 10:z.0f} cm {front} "
            f"the middle of the spread{aside}",
        ),
        ("Tilt", f"{_deg(shot.tilt):z.0f}° down"),
        ("Frame", f"{shot.covers[0] / 10:z.1f} × {shot.covers[1] / 10:z.1f} cm at that distance"),
        ("Sharp", f"from {shot.sharp.near / 10:z.1f} cm to {far}"),
    ]


def warnings(shot: Shot) -> list[str]:
    """What to look out for, one line each."""
    found = [
        f"{cut.piece} is not wholly in the frame"
        + (
            f" at {_deg(cut.first):g}°"
            if cut.first == cut.last
            else f" between {_deg(cut.first):g}° and {_deg(cut.last):g}°"
        )
        for cut in shot.cuts
    ]
    if not shot.all_sharp:
        near, far = shot.depth
        remedy = (
            "move the camera back" if shot.enough is None else f"stop down to f/{shot.enough:g}"
        )
        found.append(
            f"the spread lies {near / 10:z.0f} to {far / 10:z.0f} cm away and not all of it "
            f"is sharp; {remedy}"
        )
    return found


def heading(plan: FilmPlan) -> str:
    """What it is filmed with, in one line."""
    gear = plan.gear
    return (
        f"{CAMERAS.get(gear.sensor.name, gear.sensor.name)} camera, {gear.focal:g} mm lens at "
        f"f/{gear.f_number:g}, angle of view {np.degrees(gear.field):z.0f}° from top to bottom"
    )


def as_page(plan: FilmPlan, boards: Sequence[Storyboard]) -> str:
    """One self-contained page for the browser."""
    shots = "".join(
        f"<section><h2>{number}. {escape(shot.name)}</h2>"
        f'<div class="board">{"".join(_image(picture, shot) for picture in board)}</div>'
        f"<dl>{''.join(f'<dt>{a}</dt><dd>{escape(b)}</dd>' for a, b in facts(shot))}</dl>"
        + "".join(f'<p class="alert">{escape(line)}</p>' for line in warnings(shot))
        + "</section>"
        for number, (shot, board) in enumerate(zip(plan.shots, boards, strict=True), 1)
    )
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Film plan: {escape(plan.title)}</title><style>{STYLE}</style></head><body>"
        f"<h1>{escape(plan.title)}: film plan</h1><p>{escape(heading(plan))}</p>"
        f"<main>{shots}</main></body></html>\n"
    )


STYLE = """
body { margin: 2rem auto; max-width: 60rem; padding: 0 1rem; background: #f4efe6; color: #2c2a26;
  font: 16px/1.45 ui-sans-serif, system-ui, sans-serif; }
h1, h2 { font-family: ui-serif, Georgia, serif; } h2 { margin: 0 0 .6rem; }
section { background: #fffdf8; border: 1px solid #ddd3c2; border-radius: .6rem; padding: 1rem;
  margin: 1rem 0; break-inside: avoid; }
.board { display: grid; grid-template-columns: repeat(auto-fit, minmax(12rem, 1fr)); gap: .5rem; }
img { width: 100%; max-width: 30rem; height: auto; border-radius: .3rem; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1rem; }
dt { color: #655f55; } dd { margin: 0; }
.alert { color: #9a3412; font-weight: 600; margin: .2rem 0; }
"""


def _image(picture: np.ndarray, shot: Shot) -> str:
    data = base64.b64encode(_jpeg(picture)).decode()
    return f'<img alt="{escape(shot.name)}" src="data:image/jpeg;base64,{data}">'


def _jpeg(picture: np.ndarray) -> bytes:
    from PIL import Image

    data = io.BytesIO()
    Image.fromarray(picture).save(data, "JPEG", quality=88, subsampling=0)
    return data.getvalue()


def as_pdf(plan: FilmPlan, boards: Sequence[Storyboard]) -> bytes:
    """A PDF with two shots to a page, A4 across; the same plan gives the same bytes."""
    pdf = new_document(f"{plan.title}: film plan", "Film plan")
    for first in range(0, len(plan.shots), 2):
        pdf.add_page(format=PAGE)
        _title(pdf, plan)
        for slot in range(2):
            if first + slot < len(plan.shots):
                _shot_box(pdf, first + slot, plan.shots[first + slot], boards[first + slot], slot)
    return bytes(pdf.output())


def _title(pdf: FPDF, plan: FilmPlan) -> None:
    _write(pdf, EDGE, 17, font.printable(f"{plan.title}: film plan"), 16, bold=True)
    _write(pdf, EDGE, 23.5, heading(plan), 10, colour=QUIET)


def _shot_box(pdf: FPDF, number: int, shot: Shot, board: Storyboard, slot: int) -> None:
    top = 31.0 + slot * 88
    _write(pdf, EDGE, top + 4, f"{number + 1}. {font.printable(shot.name)}", 13, bold=True)
    room, gap = PAGE[0] - 2 * EDGE, 4.0
    width = (room - 2 * gap) / 3
    height = min(width * board[0].shape[0] / board[0].shape[1], 46.0)
    width = height * board[0].shape[1] / board[0].shape[0]
    for column, picture in enumerate(board):
        place = io.BytesIO(_jpeg(picture))
        pdf.image(place, EDGE + column * (width + gap), top + 6.5, width, height)
    # Beside upright pictures there is room for the figures, under wide ones there is more.
    right = EDGE + len(board) * (width + gap) + gap
    beside = right < PAGE[0] / 2
    left, base = (right, top + 11.0) if beside else (EDGE, top + 6.5 + height + 5.5)
    rows = len(facts(shot)) if beside else 4
    for line, (name, text) in enumerate(facts(shot)):
        column, row = divmod(line, rows)
        x, y = left + column * 150, base + row * LINE
        _write(pdf, x, y, name, 10, colour=QUIET)
        _write(pdf, x + 20, y, text, 10)
    for line, text in enumerate(warnings(shot)[:3]):
        y = base + (rows + line) * LINE + 0.8
        _write(pdf, left, y, font.printable(text), 10, True, ALERT)


def _write(
    pdf: FPDF,
    x: float,
    y: float,
    text: str,
    size: float,
    bold: bool = False,
    colour: tuple[int, int, int] = INK,
) -> None:
    pdf.set_font(font.FAMILY, "B" if bold else "", size)
    pdf.set_text_color(*colour)
    pdf.text(x, y, text)
