"""What the browser page is told about a spread: sheets, key poses, book, light, steps, findings."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from meshes.art import Art
from meshes.check import SIGNS, Case, Cure, Report
from meshes.curl import Rolled, Shares, rolled
from meshes.design.shots import ShotSettings
from meshes.linkage import Body, Linkage, Part, flat_id
from meshes.motion.keys import box, solved_run
from meshes.motion.memory import Memory
from meshes.motion.result import Motion, MotionFinding
from meshes.spread import Spread
from preview.drawing.bow import bow
from preview.drawing.scene import book_of, colour_of_ground, lamplight, printed, translucency
from preview.shot.camera import VIEWS, Camera, View
from preview.shot.mood import MOODS, Mood
from preview.shot.standing import camera_of

from .build_steps import building_steps
from .byhand import Wedge, hands, least_deg, packed, wedges_of
from .course import numbered

Json = dict[str, Any]

_BUTTONS = ("reader", "overhead", "low")
# The film plan's own default.
_FOCAL_MM = 35.0
# Outlines are cut to a hundredth of what a plotter can; it keeps the page small.
_DECIMALS = 3
# The picture of a page that cannot draw: open, and everything stands.
_POSTER_DEG, _POSTER_SIZE = 146.0, (800, 600)


def payload(spread: Spread, motion: Motion, memory: Memory | None = None) -> Json:
    """All that the page needs of a spread, ready for JSON; add :func:`film_cameras` at will.

    Parameters
    ----------
    motion : 1° apart or denser, everything that a hand moves at rest.
    memory : of earlier solves.

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    steps = building_steps(spread, motion)
    wedges = wedges_of(spread, motion, memory)
    return {**_scene(spread, motion, wedges, _curling(spread)), "steps": steps}


def quick_payload(
    spread: Spread, motion: Motion, memory: Memory | None = None, curl: Json | None = None
) -> Json:
    """What can be shown at once, otherwise as :func:`payload`.

    Poses may be some hundredths of a millimetre off between whole degrees, and the building order
    is still to come (``None``).

    Parameters
    ----------
    curl : of the same entries, to be shown instead of working out how far they curl now.
    """
    wedges = wedges_of(spread, motion, memory, quick=True)
    if curl is None:
        return _scene(spread, motion, wedges, _curling(spread))
    paper = rolled(spread.linkage)
    return _scene(spread, motion, wedges, (paper, {**curl, "strips": _strips(paper)}))


def curl_of(spread: Spread) -> Json | None:
    """How strips of curled paper follow their bodies and how far they are curled; None if none."""
    curling = _curling(spread)
    return curling[1] if curling is not None else None


def _curling(spread: Spread) -> tuple[Rolled, Json] | None:
    if spread.curling is None:
        return None
    paper, shares = spread.curling
    return paper, {**_shares(shares), "strips": _strips(paper)}


def _scene(
    spread: Spread, motion: Motion, wedges: Sequence[Wedge], curling: tuple[Rolled, Json] | None
) -> Json:
    linkage, sheets = spread.linkage, {id(sheet): k for k, sheet in enumerate(spread.sheets)}
    paper, curl = (None, None) if curling is None else curling
    if paper is not None:
        linkage = paper.linkage
        sheets |= {id(cut): sheets[flat] for flat, cut in paper.sheets.items()}
    numbers = numbered(spread.linkage)
    return {
        "title": spread.design.title or spread.design.file,
        "book": _book(spread),
        "wedges": [packed(wedge) for wedge in wedges],
        "hands": hands(linkage),
        "least": least_deg(),
        "pieces": _pieces(linkage),
        "bodies": [_body(body, sheets, numbers) for body in linkage.bodies],
        "curl": curl,
        "folds": [{"name": hinge.name, "piece": hinge.piece} for hinge in linkage.hinges],
        "findings": motion_findings(linkage, motion),
        "checked": False,
        "cured": False,
        "steps": None,
        "course": None,
        "cameras": kept_cameras(spread),
        "views": [_view(VIEWS[name]) for name in _BUTTONS],
        "moods": [_mood(mood) for mood in MOODS.values()],
        "live": False,
        "version": 0,
        "made": "",
    }


def film_cameras(spread: Spread) -> list[Json]:
    """The cameras of the design's film plan, as a camera with a usual lens takes them.

    Returns
    -------
    Each with ``name``, ``eye`` and ``target`` (mm, the book on its table), ``field`` (vertical
    angle of view, degrees), ``opening_deg``, and whether it was ``kept`` as it stands, in the order
    of the design; none if it lists no shots.
    """
    shots = spread.design.shots
    found = {one["name"]: one for one in kept_cameras(spread)}
    if len(found) < len(shots):
        from preview.plan.shots import Gear, plan
        from preview.shot.optics import SENSORS

        for shot in plan(spread, Gear(SENSORS["aps-c"], _FOCAL_MM), lying="both").shots:
            found.setdefault(shot.name, _camera(shot.name, shot.camera, shot.settings))
    return [found[name] for name in shots]


def kept_cameras(spread: Spread) -> list[Json]:
    """Those of :func:`film_cameras` that stand where the design says, which takes no time."""
    shots = spread.design.shots
    cameras = {name: camera_of(shot) for name, shot in shots.items()}
    return [_camera(name, found, shots[name]) for name, found in cameras.items() if found]


def _camera(name: str, camera: Camera, shot: ShotSettings) -> Json:
    return {
        "name": name,
        "eye": list(camera.eye),
        "target": list(camera.target),
        "field": float(np.degrees(camera.field)),
        "opening_deg": float(np.degrees(shot.to_opening)),
        "kept": shot.kept,
    }


def poster(spread: Spread, motion: Motion) -> Json:
    """A picture of the spread for browsers that cannot draw it; nothing where no engine works."""
    from PIL import Image

    from preview.drawing.render import EngineError
    from preview.pictures.still import picture

    reached = motion.openings[motion.solved]
    best = reached[np.argmin(np.abs(reached - np.radians(_POSTER_DEG)))]
    try:
        motion = spread.solve(np.array([best]))
        drawn = picture(spread, motion, _POSTER_SIZE, engine="ray", quality="film")
    except EngineError:
        return {}
    data = io.BytesIO()
    Image.fromarray(drawn).save(data, "JPEG", quality=82)
    return {"poster": f"data:image/jpeg;base64,{base64.b64encode(data.getvalue()).decode()}"}


def to_send(spread: Spread, motion: Motion, memory: Memory) -> Json:
    """All that a page needs which is sent or published, with its cameras and its poster."""
    scene = {**payload(spread, motion, memory), "cameras": film_cameras(spread)}
    return scene | poster(spread, motion)


def check_report(spread: Spread, motion: Motion, case: Case | None = None) -> Report:
    """The check of a spread whose motion, 1° apart or denser, is known.

    Parameters
    ----------
    case : made of both, if that is there already.
    """
    from meshes import check
    from preview.report.page import film_eye

    case = case or check.case_of(spread, motion)
    report = check.report(case, spread.design.check, film_eye(spread, motion))
    return check.with_order(report, spread, case)


def check_findings(report: Report) -> list[Json]:
    """What the check found, each with the opening and the place to look at."""
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
                "sign": SIGNS[finding.severity],
                "text": " – ".join(filter(None, (finding.text, finding.advice))),
                "said": " – ".join(filter(None, (finding.text, finding.trim))),
                "cures": [_cure(cure) for cure in finding.cures],
            }
        )
    return findings


def _cure(cure: Cure) -> Json:
    """A change that was tried, as an edit of the design names it."""
    return {"path": cure.key.split("."), "value": cure.value, "text": str(cure)}


def motion_findings(linkage: Linkage, motion: Motion) -> list[Json]:
    """What the solver found, as the page lists it, with the middle of the fold as its place."""
    return [
        {
            "opening_deg": round(float(np.degrees(finding.opening)), 2),
            "place": _fold_place(finding, linkage, solved_run(motion)),
            "pieces": [finding.fold.split(".")[0]],
            "severity": "problem",
            "sign": SIGNS["problem"],
            "text": finding.reason,
            "said": finding.reason,
            "cures": [],
        }
        for finding in motion.findings
    ]


def _fold_place(finding: MotionFinding, linkage: Linkage, motion: Motion) -> list[float] | None:
    hinge = next((hinge for hinge in linkage.hinges if hinge.name == finding.fold), None)
    if hinge is None or not len(motion.openings):
        return None
    row = int(np.argmin(np.abs(motion.openings - finding.opening)))
    middle = hinge.origins[0] + hinge.frames[0][:, 0] * hinge.length / 2
    place = motion.rotations[row, hinge.bodies[0]] @ middle
    return np.round(place + motion.translations[row, hinge.bodies[0]], 2).tolist()


def _book(spread: Spread) -> Json:
    book = book_of(spread)
    names = ("width", "height", "paper", "cover", "block", "board", "cloth", "overhang", "ruling")
    return {
        **{name: getattr(book, name) for name in (*names, "groove", "band")},
        "ground": np.round(colour_of_ground(spread.linkage), 4).tolist(),
    }


def _pieces(linkage: Linkage) -> list[Json]:
    colours: dict[str, str] = {}
    for body in linkage.bodies:
        for part in body.parts:
            colours.setdefault(part.sheet.piece, part.sheet.front)
    return [{"name": name, "colour": colour} for name, colour in colours.items()]


def _body(body: Body, sheets: Mapping[int, int], numbers: Mapping[str, int]) -> Json:
    return {
        "name": body.name,
        "facets": [
            {
                **_facet(part, sheets[id(part.sheet)]),
                "number": numbers[flat_id(part)],
                **({"strip": flat_id(part)} if part.facet.strip_of else {}),
            }
            for part in body.parts
        ],
        "corners": np.round(box(body), 2).tolist(),
    }


def _strips(paper: Rolled) -> list[Json]:
    """How strips of curled paper follow their bodies."""
    strips = zip(
        paper.parents.tolist(),
        paper.entry.tolist(),
        paper.place.tolist(),
        paper.width.tolist(),
        paper.radius.tolist(),
        paper.frames,
        paper.origins,
        strict=True,
    )
    return [
        {
            "body": body,
            "entry": entry,
            "place": place,
            "width": width,
            "radius": radius,
            "frame": frame.T.ravel().tolist(),
            "origin": origin.tolist(),
        }
        for body, entry, place, width, radius, frame, origin in strips
    ]


def _shares(shares: Shares) -> Json:
    """How far each entry is curled as its wedge opens, and what hands leave of that."""
    return {
        "openings": np.degrees(shares.openings).tolist(),
        "shares": np.round(shares.shares, 5).tolist(),
        "wedges": list(shares.wedges) or [0] * len(shares.shares),
        "caps": [
            {
                "entry": cap.entry,
                "hand": cap.hand,
                "openings": np.degrees(cap.openings).tolist(),
                "places": cap.places.tolist(),
                "most": np.round(cap.most, 4).tolist(),
            }
            for cap in shares.caps
        ],
    }


def _facet(part: Part, sheet: int) -> Json:
    return {
        **facet_data(part, sheet, part.height),
        "art": art_on(part.sheet.art, part.facet.polygon),
    }


def facet_data(part: Part, sheet: int, height: float) -> Json:
    """A facet with nothing printed on it.

    Parameters
    ----------
    sheet : its place among the sheets of the spread.
    height : over the plane of its body, mm.

    Returns
    -------
    ``through`` in it is the share of light that its paper lets through; ``core`` and ``lit`` are
    there only if the paper has a core of its own and a lamp behind it, ``bow`` only if it is clear
    film: its middle and its bend by rows, see :func:`preview.drawing.bow.bow`.
    """
    own = part.sheet
    return {
        "name": part.id,
        "piece": own.piece,
        "sheet": sheet,
        "up": part.placement.up,
        "z": round(height, 4),
        "caliper": own.paper.caliper,
        "front": own.front,
        "back": own.back,
        "clear": own.paper.clear,
        "through": round(translucency(own.paper), 3),
        **({"core": own.paper.core} if own.paper.core else {}),
        **({"lit": lamplight(own.glow, own.front, own.back).round(4).tolist()} if own.glow else {}),
        **({"bow": _bow(part.polygon)} if own.paper.clear else {}),
        "rings": list(_rings(part.polygon)),
        "placed": [*part.placement.matrix.ravel().tolist(), *part.placement.shift],
        "art": [],
    }


def _bow(polygon: shapely.Polygon) -> list[float]:
    middle, bend = bow(polygon)
    return [*middle.round(3).tolist(), *bend.ravel().round(6).tolist()]


def art_on(art: tuple[Art, ...], polygon: shapely.Polygon) -> list[Json]:
    """Images and lettering on the sides of a facet, as PNG, in the coordinates of its sheet."""
    from PIL import Image

    found = []
    for side in (1, -1):
        picture = printed(art, polygon, side)
        if picture is not None:
            data = io.BytesIO()
            Image.fromarray(_filled(picture.pixels)).save(data, "PNG", optimize=True)
            image = f"data:image/png;base64,{base64.b64encode(data.getvalue()).decode()}"
            corner, size = list(picture.corner), list(picture.size)
            found.append({"side": side, "image": image, "corner": corner, "size": size})
    return found


def _filled(pixels: np.ndarray) -> np.ndarray:
    """Straight-alpha pixels, shape (rows, columns, 4), of which clear ones have the mean colour.

    Where a print is small on the screen, a graphics card takes the mean of neighbouring pixels, and
    clear ones that are black would darken its letters.
    """
    weights = pixels[..., 3].astype(float)
    if not weights.any():
        return pixels
    mean = np.tensordot(weights, pixels[..., :3], axes=2) / weights.sum()
    filled = pixels.copy()
    filled[weights == 0, :3] = np.round(mean)
    return filled


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
        "tint": list(mood.tint),
        "sky": mood.sky.tolist(),
        "ground": mood.from_table.tolist(),
        "direction": mood.towards_key().tolist(),
        "spread": mood.spread,
        "strength": mood.strength,
        "table": mood.table,
        "backdrop": mood.backdrop,
        "falloff": mood.falloff,
        "gain": mood.gain,
        "lamp": mood.lamp,
    }
