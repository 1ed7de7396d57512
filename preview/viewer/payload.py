"""What the browser page is told about a spread: sheets, key poses, book, light, steps, findings."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from meshes.fit import Report
from meshes.linkage import Linkage, Part
from meshes.motion.keys import Keys, box, choose_keys, solved_run
from meshes.motion.result import Finding, Motion
from meshes.spread import Spread
from preview.camera import VIEWS, View
from preview.mood import MOODS, Mood
from preview.scene import book_of, printed

Json = dict[str, Any]

_BUTTONS = ("reader", "overhead", "low")
# The film plan's own default.
_FOCAL_MM = 35.0
# Outlines are cut to a hundredth of what a plotter can; it keeps the page small.
_DECIMALS = 3


def payload(
    spread: Spread,
    motion: Motion,
    report: Report | None = None,
    steps: Sequence[Mapping[str, str]] | None = None,
    cameras: Sequence[Mapping[str, Any]] = (),
    quick: bool = False,
) -> Json:
    """All that the page needs, ready for JSON.

    Parameters
    ----------
    motion : 1° apart or denser.
    report : of the fit; without one the page lists what the motion itself found.
    steps : building order, each with ``piece`` and ``text``; from the joins if left out.
    cameras : see :func:`film_cameras`.
    quick : solve nothing more where the motion is sampled too coarsely for the last 0.05 mm.

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    linkage = spread.linkage
    keys = choose_keys(linkage.bodies, motion, None if quick else spread.solve)
    return {
        "title": spread.design.title or spread.design.file,
        "book": _book(spread),
        "keys": _packed(keys),
        "pieces": _pieces(linkage),
        "bodies": [_body(body.name, body.parts, box(body)) for body in linkage.bodies],
        "folds": [{"name": hinge.name, "piece": hinge.piece} for hinge in linkage.hinges],
        "findings": fit_findings(report) if report else motion_findings(linkage, motion),
        "checked": report is not None,
        "steps": [dict(step) for step in (building_steps(spread) if steps is None else steps)],
        "cameras": [dict(camera) for camera in cameras],
        "views": [_view(VIEWS[name]) for name in _BUTTONS],
        "moods": [_mood(mood) for mood in MOODS.values()],
        "live": False,
        "version": 0,
    }


def film_cameras(spread: Spread) -> list[Json]:
    """The cameras of the design's film plan, as a camera with a usual lens takes them.

    Returns
    -------
    Each with ``name``, ``eye`` and ``target`` (mm, the book on its table), ``field`` (vertical
    angle of view, degrees) and ``opening_deg``; none if the design lists no shots.
    """
    if not spread.design.shots:
        return []
    from preview.optics import SENSORS
    from preview.plan.shots import Gear, plan

    return [
        {
            "name": shot.name,
            "eye": list(shot.camera.eye),
            "target": list(shot.camera.target),
            "field": float(np.degrees(shot.camera.field)),
            "opening_deg": float(np.degrees(shot.settings.to_opening)),
        }
        for shot in plan(spread, Gear(SENSORS["aps-c"], _FOCAL_MM)).shots
    ]


def fit_findings(report: Report) -> list[Json]:
    """What the fit report found, each with the opening and the place to look at."""
    findings = []
    for finding in report.findings:
        place = finding.place
        opening = finding.worst_deg if place is None else place.opening_deg
        pieces = [finding.piece, *(part.split(".")[0] for part in finding.parts)]
        findings.append(
            {
                "opening_deg": opening,
                "place": None if place is None else np.mean(place.points, axis=0).tolist(),
                "pieces": [name for name in dict.fromkeys(pieces) if name not in ("", "page")],
                "severity": finding.severity,
                "text": " – ".join(filter(None, (finding.text, finding.advice))),
            }
        )
    return findings


def building_steps(spread: Spread) -> list[Json]:
    """An order in which the pieces can be glued: what a piece stands on comes before it."""
    glued: dict[str, list[str]] = {}
    for join in spread.joins:
        piece, host = (facet.split(".")[0] for facet in (join.facet, join.host))
        if piece != host:
            hosts = glued.setdefault(piece, [])
            if join.host not in hosts:
                hosts.append(join.host)
    order = list(dict.fromkeys(sheet.piece for sheet in spread.sheets))
    order.remove("page")
    done: set[str] = {"page"}
    steps: list[Json] = []
    while order:
        ready = [p for p in order if {h.split(".")[0] for h in glued.get(p, ())} <= done]
        piece = (ready or order)[0]  # pieces that carry each other: in the order of the design
        order.remove(piece)
        done.add(piece)
        words = " and ".join(_host_words(host) for host in glued.get(piece, ()))
        steps.append({"piece": piece, "text": f"Glue {piece} on {words}" if words else piece})
    return steps


def _host_words(host: str) -> str:
    piece, facet = host.split(".", 1)
    return f"the {facet} page" if piece == "page" else f"{piece} ({facet})"


def motion_findings(linkage: Linkage, motion: Motion) -> list[Json]:
    """What the solver found, as the page lists it, with the middle of the fold as its place."""
    return [
        {
            "opening_deg": round(float(np.degrees(finding.opening)), 2),
            "place": _fold_place(finding, linkage, solved_run(motion)),
            "pieces": [finding.fold.split(".")[0]],
            "severity": "fail",
            "text": finding.reason,
        }
        for finding in motion.findings
    ]


def _fold_place(finding: Finding, linkage: Linkage, motion: Motion) -> list[float] | None:
    hinge = next((hinge for hinge in linkage.hinges if hinge.name == finding.fold), None)
    if hinge is None or not len(motion.openings):
        return None
    row = int(np.argmin(np.abs(motion.openings - finding.opening)))
    middle = hinge.origins[0] + hinge.frames[0][:, 0] * hinge.length / 2
    place = motion.rotations[row, hinge.bodies[0]] @ middle
    return np.round(place + motion.translations[row, hinge.bodies[0]], 2).tolist()


def _book(spread: Spread) -> Json:
    book = book_of(spread)
    names = ("width", "height", "paper", "cover", "block", "board", "overhang", "ruling")
    return {name: getattr(book, name) for name in names}


def _packed(keys: Keys) -> Json:
    return {
        "openings": _base64(np.degrees(keys.openings)),
        "quaternions": _base64(keys.quaternions),
        "translations": _base64(keys.translations),
        "angles": _base64(np.degrees(keys.angles)),
    }


def _base64(values: np.ndarray) -> str:
    return base64.b64encode(np.ascontiguousarray(values, "<f4").tobytes()).decode()


def _pieces(linkage: Linkage) -> list[Json]:
    colours: dict[str, str] = {}
    for body in linkage.bodies:
        for part in body.parts:
            colours.setdefault(part.sheet.piece, part.sheet.front)
    return [{"name": name, "colour": colour} for name, colour in colours.items()]


def _body(name: str, parts: Sequence[Part], corners: np.ndarray) -> Json:
    return {
        "name": name,
        "facets": [_facet(part) for part in parts],
        "corners": np.round(corners, 2).tolist(),
    }


def _facet(part: Part) -> Json:
    sheet = part.sheet
    return {
        "piece": sheet.piece,
        "up": part.placement.up,
        "z": round(part.height, 4),
        "caliper": sheet.paper.caliper,
        "front": sheet.front,
        "back": sheet.back,
        "clear": sheet.paper.clear,
        "rings": list(_rings(part.polygon)),
        "placed": [*part.placement.matrix.ravel().tolist(), *part.placement.shift],
        "art": _art(part),
    }


def _art(part: Part) -> list[Json]:
    """Images and lettering on the sides of a facet, as PNG, in the coordinates of its sheet."""
    from PIL import Image

    found = []
    for side in (1, -1):
        picture = printed(part.sheet.art, part.facet.polygon, side)
        if picture is not None:
            data = io.BytesIO()
            Image.fromarray(picture.pixels).save(data, "PNG", optimize=True)
            image = f"data:image/png;base64,{base64.b64encode(data.getvalue()).decode()}"
            corner, size = list(picture.corner), list(picture.size)
            found.append({"side": side, "image": image, "corner": corner, "size": size})
    return found


def _rings(polygon: shapely.Polygon) -> Iterator[list[float]]:
    """Outline counter-clockwise, holes clockwise, as x, y, x, y …, mm."""
    polygon = shapely.orient_polygons(polygon)
    for ring in (polygon.exterior, *polygon.interiors):
        yield np.round(np.asarray(ring.coords)[:-1, :2], _DECIMALS).ravel().tolist()


def _view(view: View) -> Json:
    """A view; the page counts azimuths from the reader's place."""
    return {
        "name": view.name,
        "azimuth": float(np.degrees(view.azimuth)) + 90,
        "elevation": float(np.degrees(view.elevation)),
    }


def _mood(mood: Mood) -> Json:
    return {
        "name": mood.name,
        "title": mood.title,
        "key": mood.key.tolist(),
        "sky": mood.sky.tolist(),
        "ground": mood.from_table.tolist(),
        "direction": mood.towards_key().tolist(),
        "spread": mood.spread,
        "strength": mood.strength,
        "table": mood.table,
        "backdrop": mood.backdrop,
        "falloff": mood.falloff,
        "gain": mood.gain,
    }
