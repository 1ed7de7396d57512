"""Whether it can be cut, glued and trusted to hold."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from ..sheet import Sheet
from .case import Case
from .finding import Finding
from .glue import glue, narrowest_glue
from .limits import Limits
from .narrow import Narrow, narrow_places, width_of
from .over_folds import over_folds
from .slits import slits

# Rule of thumb: up to so many mm of height, paper of so many g/m² stands by itself (common
# practice, no source).
_STANDS: tuple[tuple[float, float], ...] = ((40.0, 120.0), (80.0, 160.0), (120.0, 200.0))
_TALLEST = 250.0  # our choice
# Heights count from here on: nearer to closed, pieces lie between the pages. Our choice.
_STANDING = float(np.radians(90.0))
# Paper that is nowhere wider can neither be held while it is cut nor set in its place, mm. Our
# choice.
_TINY_MM = 1.5


def makeable(case: Case, limits: Limits) -> tuple[list[Finding], dict[str, float]]:
    """Glue, strips, slits, art over folds, locked folds, taut carriers, weight of paper."""
    findings = [
        *_warned(case),
        *glue(case, limits),
        *_strips(case, limits),
        *slits(case, limits),
        *over_folds(case),
        *_locked(case),
        *_taut(case, limits),
        *_weight(case),
    ]
    narrowest = narrowest_glue(case)
    return findings, {} if narrowest is None else {"narrowest_glue_mm": round(narrowest, 3)}


def _warned(case: Case) -> list[Finding]:
    """What the pieces themselves had to say when they were built."""
    return [
        Finding(
            "makeable",
            "warning",
            "doubtful",
            mistake.piece,
            (),
            " ".join(part for part in (mistake.key, mistake.problem) if part)
            + (f", found {mistake.found}" if mistake.found else ""),
            mistake.advice,
        )
        for mistake in case.warnings
    ]


def _strips(case: Case, limits: Limits) -> list[Finding]:
    """The thinnest bridge and the thinnest strip of each sheet that has any, and tiny sheets."""
    found = []
    # Copies of a piece have the very same outlines.
    known: dict[bytes, list[Narrow]] = {}
    for sheet in case.sheets[1:]:
        shape = shapely.to_wkb(sheet.outline)
        if shape not in known:
            known[shape] = narrow_places(sheet.outline, limits.strip_width)
        narrow = known[shape]
        if not narrow and sheet.outline.buffer(-_TINY_MM / 2).is_empty:
            found.append(_tiny(case, sheet))
        for kind in ("bridge", "strip"):
            same = [place for place in narrow if place.kind == kind]
            if same:
                found.append(_thin(case, sheet, same, limits))
    return found


def _thin(case: Case, sheet: Sheet, places: Sequence[Narrow], limits: Limits) -> Finding:
    worst = min(places, key=lambda place: place.width)
    facet, opening = _facet_at(case, sheet, worst.place), case.widest
    name = case.facets.ids[facet]
    more = f" (and {len(places) - 1} more on its sheet)" if len(places) > 1 else ""
    return Finding(
        "makeable",
        "warning",
        f"thin {worst.kind}",
        sheet.piece,
        (name,),
        f"a {worst.kind} of {name} is only {worst.width:z.1f} mm wide, at {worst.place[0]:z.1f}, "
        f"{worst.place[1]:z.1f} mm on its sheet{more}",
        amount=worst.width,
        unit="mm",
        limit=limits.strip_width,
        place=case.place(
            "area", case.world(facet, _moved(case, facet, worst.shape), opening), opening
        ),
    )


def _tiny(case: Case, sheet: Sheet) -> Finding:
    width, opening = width_of(sheet.outline), case.widest
    facet = case.facets.index(f"{sheet.piece}.{sheet.facets[0].name}")
    name = case.facets.ids[facet]
    return Finding(
        "makeable",
        "warning",
        "tiny",
        sheet.piece,
        (name,),
        f"{name} is nowhere wider than {width:z.1f} mm, too little to cut and glue",
        amount=width,
        unit="mm",
        limit=_TINY_MM,
        place=case.place("area", case.corners(facet, opening), opening),
    )


def _facet_at(case: Case, sheet: Sheet, place: tuple[float, float]) -> int:
    point = shapely.Point(place)
    facet = min(sheet.facets, key=lambda f: f.polygon.distance(point))
    return case.facets.index(f"{sheet.piece}.{facet.name}")


def _moved(case: Case, facet: int, shape: Polygon) -> np.ndarray:
    """Outline of a shape drawn on a facet's sheet, in the coordinates of its body, mm."""
    _, part = case.linkage.place(case.facets.ids[facet])
    return part.placement.apply(np.asarray(shape.exterior.coords))


def _locked(case: Case) -> list[Finding]:
    return [
        Finding(
            "makeable",
            "warning",
            "fold glued flat",
            fold.partition(".")[0],
            (fold,),
            f"fold {fold} cannot fold: both its sides are glued to the same part",
        )
        for fold in case.linkage.locked
    ]


def _taut(case: Case, limits: Limits) -> list[Finding]:
    """Strips across both pages that are as good as straight at full opening."""
    opening = case.widest
    if opening < np.pi - 1e-6:
        return []
    found = []
    for piece in case.pieces:
        spanned = _span(case, piece, opening)
        if spanned is None or spanned[1] - spanned[0] >= limits.carrier_slack:
            continue
        slack = spanned[1] - spanned[0]
        found.append(
            Finding(
                "makeable",
                "note",
                "taut",
                piece,
                tuple(case.facets.ids[k] for k in case.piece_facets(piece)),
                f"{piece} is {_longer(slack)} the {spanned[0]:z.1f} mm that it spans at "
                "full opening, so it pulls at its glue; common practice is to leave "
                f"{limits.carrier_slack:g} mm",
                amount=slack,
                unit="mm",
                limit=limits.carrier_slack,
                worst_deg=180.0,
            )
        )
    return found


def _span(case: Case, piece: str, opening: float) -> tuple[float, float] | None:
    """Distance between the outermost folds of a strip across the gutter, and the paper between.

    None for pieces whose folds are not all parallel to the gutter, or that stand on one page.
    """
    lines = []
    for hinge in case.linkage.hinges:
        if hinge.piece == piece:
            facet = case.facets.index(hinge.facets[0])
            origin, along = hinge.origins[0][:2], hinge.frames[0][:2, 0]
            ends = case.world(facet, np.array([origin, origin + along * hinge.length]), opening)
            lines.append((hinge.bodies, ends))
    if len(lines) < 2 or any(abs(end[1, 1] - end[0, 1]) < 0.999 * _long(end) for _, end in lines):
        return None
    touched = {body for bodies, _ in lines for body in bodies}
    if not {0, 1} <= touched:
        return None
    places = np.array(sorted((end[0, [0, 2]] for _, end in lines), key=lambda p: p[0]))
    paper = float(np.linalg.norm(np.diff(places, axis=0), axis=1).sum())
    return float(np.linalg.norm(places[-1] - places[0])), paper


def _long(ends: np.ndarray) -> float:
    return float(np.linalg.norm(ends[1] - ends[0]))


def _weight(case: Case) -> list[Finding]:
    found = []
    openings = case.poses.openings[case.poses.openings >= _STANDING]
    for sheet in case.sheets[1:]:
        if not sheet.crossings or not len(openings):
            continue
        facets = [case.facets.index(f"{sheet.piece}.{f.name}") for f in sheet.facets]
        height, opening, facet = _height(case, facets, openings[:: max(1, len(openings) // 6)])
        needed = next((weight for most, weight in _STANDS if height <= most), _TALLEST)
        if sheet.paper.grammage >= needed:
            continue
        found.append(
            Finding(
                "makeable",
                "warning",
                "light paper",
                sheet.piece,
                (case.facets.ids[facet],),
                f"{sheet.piece} stands {height:z.0f} mm high on paper of "
                f"{sheet.paper.grammage:z.0f} g/m²; common practice is {needed:z.0f} g/m² or more",
                amount=sheet.paper.grammage,
                unit="g/m²",
                limit=needed,
                worst_deg=float(np.degrees(opening)),
                place=case.place("area", case.corners(facet, opening), opening),
            )
        )
    return found


def _height(case: Case, facets: list[int], openings: np.ndarray) -> tuple[float, float, int]:
    """Largest distance of facets from the nearer page over some openings, where, and which."""
    best = (0.0, float(openings[-1]), facets[0])
    for opening in openings:
        pages = case.bodies_at(float(opening)).rotation[:2, :, 2]
        for facet in facets:
            high = float((case.corners(facet, float(opening)) @ pages.T).min(axis=1).max())
            if high > best[0]:
                best = (high, float(opening), facet)
    return best


def _longer(slack: float) -> str:
    """By how much a strip is longer than its span, to a hundredth of a millimetre."""
    rounded = round(slack, 2)
    if rounded == 0:
        return "exactly as long as"
    return f"{abs(rounded):z.2f} mm {'longer' if rounded > 0 else 'shorter'} than"
