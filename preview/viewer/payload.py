"""What the browser page is told about a spread: sheets, key poses, book, light, steps, findings."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from meshes.linkage import Linkage, Part
from meshes.motion.keys import Keys, box, choose_keys, solved_run
from meshes.motion.result import Finding, Motion
from meshes.spread import Spread
from preview.mood import MOODS, Mood
from preview.scene import book_of

Json = dict[str, Any]

# Outlines are cut to a hundredth of what a plotter can; it keeps the page small.
_DECIMALS = 3


def payload(
    spread: Spread,
    motion: Motion,
    findings: Sequence[Mapping[str, Any]] | None = None,
    steps: Sequence[Mapping[str, str]] | None = None,
    cameras: Sequence[Mapping[str, Any]] = (),
) -> Json:
    """All that the page needs, ready for JSON.

    Parameters
    ----------
    motion : 1° apart or denser.
    findings : of the fit report, each with ``opening_deg`` (or None), ``place`` (x, y, z in mm in
        the frame of the spread, or None), ``pieces``, ``severity`` (``problem`` or ``note``) and
        ``text``. None where no report was made; what the motion itself found is always shown.
    steps : building order, each with ``piece`` and ``text``; from the joins if left out.
    cameras : of the film's plan, each with ``name``, ``eye`` and ``target`` (mm, book on the table).

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    linkage = spread.linkage
    keys = choose_keys(linkage.bodies, motion, spread.solve)
    from_motion = [motion_finding(finding, linkage, motion) for finding in motion.findings]
    return {
        "title": spread.design.title,
        "book": _book(spread),
        "keys": _packed(keys),
        "pieces": _pieces(linkage),
        "bodies": [_body(body.name, body.parts, box(body)) for body in linkage.bodies],
        "folds": [{"name": hinge.name, "piece": hinge.piece} for hinge in linkage.hinges],
        "findings": from_motion + [dict(finding) for finding in findings or ()],
        "checked": findings is not None,
        "steps": [dict(step) for step in (building_steps(spread) if steps is None else steps)],
        "cameras": [dict(camera) for camera in cameras],
        "moods": [_mood(mood) for mood in MOODS.values()],
        "live": False,
        "version": 0,
    }


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
    done, steps = {"page"}, []
    while order:
        ready = [p for p in order if {h.split(".")[0] for h in glued.get(p, ())} <= done]
        piece = (ready or order)[0]  # pieces that carry each other: in the order of the design
        order.remove(piece)
        done.add(piece)
        hosts = " and ".join(_host_words(host) for host in glued.get(piece, ()))
        steps.append({"piece": piece, "text": f"Glue {piece} on {hosts}" if hosts else piece})
    return steps


def _host_words(host: str) -> str:
    piece, facet = host.split(".", 1)
    return f"the {facet} page" if piece == "page" else f"{piece} ({facet})"


def motion_finding(finding: Finding, linkage: Linkage, motion: Motion) -> Json:
    """What the solver found, as the page lists it, with the middle of the fold as its place."""
    return {
        "opening_deg": round(float(np.degrees(finding.opening)), 2),
        "place": _fold_place(finding, linkage, solved_run(motion)),
        "pieces": [finding.fold.split(".")[0]],
        "severity": "problem",
        "text": finding.reason,
    }


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
    }


def _rings(polygon: shapely.Polygon) -> Iterator[list[float]]:
    """Outline counter-clockwise, holes clockwise, as x, y, x, y …, mm."""
    polygon = shapely.orient_polygons(polygon)
    for ring in (polygon.exterior, *polygon.interiors):
        yield np.round(np.asarray(ring.coords)[:-1, :2], _DECIMALS).ravel().tolist()


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
