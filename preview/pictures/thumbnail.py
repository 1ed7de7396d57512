"""Thumbnails: which opening and which side of the spread make the picture that reads best."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from functools import partial
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from ..drawing import lettering
from ..drawing.colour import develop, linear
from ..drawing.lying import LyingWish, settled
from ..drawing.render import EngineName, Quality
from ..drawing.render import draw as draw_scene
from ..drawing.scene import Scene, build
from ..drawing.visible import Sight, piece_at, pieces_of
from ..parallel import ALONE, Crew
from ..shot.camera import Camera, frame
from ..shot.mood import Mood, mood_of
from . import silhouette
from .silhouette import Crop, Score
from .still import encoded

if TYPE_CHECKING:
    from PIL import Image

    from meshes.answers import Answers
    from meshes.motion.result import Motion
    from meshes.spread import Spread

Size = tuple[int, int]

# Where a title may stand, as shares of the frame.
TITLES = {
    "top": Crop(0.0, 0.0, 1.0, 0.26),
    "bottom": Crop(0.0, 0.76, 1.0, 1.0),
    "left": Crop(0.0, 0.0, 0.38, 1.0),
    "right": Crop(0.62, 0.0, 1.0, 1.0),
}
OPENINGS_DEG = (90.0, 110.0, 130.0, 150.0, 180.0)
AZIMUTHS_DEG = (-128.0, -109.0, -86.0, -66.0, -48.0)
ELEVATIONS_DEG = (16.0, 28.0, 46.0)
TRIAL_PIXELS = 208 * 117
# How many of the best by quick shading are drawn for good before they are ranked.
FINALISTS = 3
# Two proposals are the same picture to a reader unless the camera has moved round or up by this
# many degrees, or the spread is open by that many more.
ALIKE_DEG, ALIKE_OPENING_DEG = 18.0, 45.0
MARGIN = 0.06
# The contact sheet.
SHEET_ROW = 270
SHEET_GROUND, SHEET_INK = "#f4efe6", "#2c2a26"


@dataclass(frozen=True)
class Proposal:
    """One way to take the picture.

    Parameters
    ----------
    scene : what there is to see, unlit by the camera's side.
    opening, azimuth, elevation : radians.
    camera : for the picture's proportions.
    """

    scene: Scene
    opening: float
    azimuth: float
    elevation: float
    camera: Camera
    score: Score


@dataclass(frozen=True)
class AtOpening:
    """The spread at one opening, ready to be looked at from anywhere.

    Parameters
    ----------
    pieces : the standing piece of each surface, -1 for the notebook and what lies on it.
    sight : of the scene.
    normals, places : of the fronts of the S surfaces and a point on each, shape (S, 3).
    areas : of the surfaces, mm², shape (S,).
    colours : linear, of fronts and backs, shape (2, S, 3).
    framings : sets of points to fill the frame with, shape (n, 3), mm: the whole spread, and its
        standing pieces alone.
    """

    scene: Scene
    pieces: np.ndarray
    sight: Sight
    normals: np.ndarray
    places: np.ndarray
    areas: np.ndarray
    colours: np.ndarray
    framings: tuple[np.ndarray, ...]

    @classmethod
    def of(cls, scene: Scene) -> AtOpening:
        """A scene made ready."""
        _, pieces = pieces_of(scene, standing=True)
        corners, owner = scene.corners
        standing = corners[pieces[owner] >= 0]
        return cls(
            scene,
            pieces,
            Sight(scene),
            np.array([surface.normal for surface in scene.surfaces]),
            np.array([surface.translation for surface in scene.surfaces]),
            np.array([surface.polygon.area for surface in scene.surfaces]),
            np.array([[linear(s.front), linear(s.back)] for s in scene.surfaces]).swapaxes(0, 1),
            (corners, standing) if len(standing) else (corners,),
        )


def propose(
    spread: Spread,
    motion: Motion,
    mood: str | Mood = "daylight",
    title: str | None = None,
    count: int = 4,
    engine: EngineName = "auto",
    aspect: float = 16 / 9,
    advance: Callable[[], None] = lambda: None,
    workers: Crew = ALONE,
    lying: LyingWish = "both",
) -> list[Proposal]:
    """The best ways to take the picture, best first, no two of them alike.

    Parameters
    ----------
    motion : its solved stages are the openings to choose from.
    title : a name in `TITLES`, to leave that part of the frame free.
    aspect : width over height of the picture.
    advance : called :func:`steps` times, after each opening and each picture that has been tried.
    workers : processes that try them.
    lying : how the notebook lies on its table.

    Raises
    ------
    ValueError
        If no stage of the motion is solved.
    """
    trials: list[Proposal] = []
    size = _trial_size(aspect)
    task = partial(_trials, size, title)
    for found in workers.in_order(task, _stages(spread, motion, mood, lying)):
        trials += found
        advance()
    if not trials:
        raise ValueError("no stage of the motion is solved, so there is nothing to show")
    trials.sort(key=lambda trial: -trial.score.total)
    finalists = _unlike(trials, FINALISTS * count)
    drawn = []
    for trial in workers.in_order(partial(_drawn_for_good, size, title, engine), finalists):
        drawn.append(trial)
        advance()
    for _ in range(FINALISTS * count - len(finalists)):
        advance()
    drawn.sort(key=lambda trial: -trial.score.total)
    return drawn[:count]


def proposed_once(
    answers: Answers,
    spread: Spread,
    motion: Motion,
    mood: str | Mood = "daylight",
    title: str | None = None,
    count: int = 4,
    engine: EngineName = "auto",
    aspect: float = 16 / 9,
    advance: Callable[[], None] = lambda: None,
    workers: Crew = ALONE,
    lying: LyingWish = "both",
) -> list[Proposal]:
    """What :func:`propose` finds; or found at an earlier look, if that is among the answers."""
    light = asdict(mood_of(mood))
    asked = "thumbnails", motion.openings.tolist(), light, title, count, engine, aspect, lying
    rows = answers.get(*asked)
    if rows is None:
        found = propose(spread, motion, mood, title, count, engine, aspect, advance, workers, lying)
        answers.put(told(found), *asked)
        return found
    for _ in range(steps(motion, count)):
        advance()
    return retold(rows, spread, motion, mood, lying)


def told(proposals: Sequence[Proposal]) -> list[dict[str, Any]]:
    """Proposals as JSON can tell them; see :func:`retold`."""
    rows = []
    for proposal in proposals:
        row = {field.name: getattr(proposal, field.name) for field in fields(proposal)}
        del row["scene"]
        rows.append({**row, "camera": asdict(proposal.camera), "score": asdict(proposal.score)})
    return rows


def retold(
    rows: Sequence[Mapping[str, Any]],
    spread: Spread,
    motion: Motion,
    mood: str | Mood = "daylight",
    lying: LyingWish = "both",
) -> list[Proposal]:
    """The proposals that were told.

    Parameters
    ----------
    motion, mood, lying : with which they were made.
    """
    scenes = dict(_stages(spread, motion, mood, lying, {row["opening"] for row in rows}))
    return [
        Proposal(
            scenes[row["opening"]],
            row["opening"],
            row["azimuth"],
            row["elevation"],
            Camera(
                _triple(np.array(row["camera"]["eye"])),
                _triple(np.array(row["camera"]["target"])),
                row["camera"]["field"],
            ),
            Score(**row["score"]),
        )
        for row in rows
    ]


def steps(motion: Motion, count: int) -> int:
    """How many things :func:`propose` tries for so many proposals."""
    return len(usual_openings(motion)) + FINALISTS * count


@dataclass(frozen=True)
class Candidate:
    """The picture of a proposal and its silhouettes, ready to be written.

    Parameters
    ----------
    picture, silhouettes : PNG files.
    small : both as they are shown on a contact sheet, shape (rows, columns, 3), uint8 sRGB.
    """

    picture: bytes
    silhouettes: bytes
    small: tuple[np.ndarray, np.ndarray]


def candidates(
    proposals: Sequence[Proposal],
    size: Size,
    engine: EngineName,
    quality: Quality,
    workers: Crew,
) -> Iterator[Candidate]:
    """Of each proposal in turn the picture and its silhouettes, drawn by some processes."""
    yield from workers.in_order(partial(_candidate, size, engine, quality), proposals)


def _candidate(size: Size, engine: EngineName, quality: Quality, proposal: Proposal) -> Candidate:
    pair = draw(proposal, size, engine, quality), silhouettes(proposal, size)
    picture, shapes = (encoded(pixels, ".png") for pixels in pair)
    return Candidate(picture, shapes, (_for_sheet(pair[0]), _for_sheet(pair[1])))


def draw(
    proposal: Proposal,
    size: Size = (1280, 720),
    engine: EngineName = "auto",
    quality: Quality = "still",
) -> np.ndarray:
    """The picture of a proposal, shape (rows, columns, 3), uint8 sRGB."""
    scene = proposal.scene.lit_for(proposal.camera.azimuth)
    return draw_scene(scene, proposal.camera, size, engine, quality)


def silhouettes(
    proposal: Proposal, size: Size = (1280, 720), ground: str = "#f4efe6"
) -> np.ndarray:
    """The pieces of a proposal as flat shapes, a grey for each, shape (rows, columns, 3), uint8."""
    scene = proposal.scene
    names, numbers = pieces_of(scene, standing=True)
    # Four samples a pixel, so that outlines are smooth.
    places = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)]
    middle, near, seen = Sight(scene).several(proposal.camera, size, places)
    greys = np.linspace(0.02, 0.22, max(len(names), 1))
    tones = np.append(np.repeat(greys[:, None], 3, 1), [linear(ground)], axis=0)
    tones = tones.astype(np.float32)
    picture = develop(tones)[piece_at(middle, numbers)]
    picture.reshape(-1, 3)[near] = develop(tones[piece_at(seen, numbers)].mean(axis=1))
    return picture


def _for_sheet(pixels: np.ndarray) -> np.ndarray:
    """A picture as large as a contact sheet shows it."""
    from PIL import Image

    width = round(SHEET_ROW * pixels.shape[1] / pixels.shape[0])
    small = Image.fromarray(pixels).resize((width, SHEET_ROW), Image.Resampling.LANCZOS)
    return np.asarray(small)


def contact_sheet(
    pictures: Sequence[tuple[np.ndarray, np.ndarray]], proposals: Sequence[Proposal]
) -> np.ndarray:
    """All candidates with their silhouettes and figures on one sheet.

    Parameters
    ----------
    pictures : of each proposal the picture and its silhouettes; see :class:`Candidate`.
    """
    from PIL import Image

    height, width = pictures[0][0].shape[:2]
    gap, foot = 24, 36
    figures = 300
    row = height + foot + gap
    sheet = Image.new(
        "RGB", (2 * width + figures + 4 * gap, len(pictures) * row + gap), SHEET_GROUND
    )
    for number, ((picture, shapes), proposal) in enumerate(zip(pictures, proposals, strict=True)):
        top = gap + number * row
        for column, image in enumerate((picture, shapes)):
            sheet.paste(Image.fromarray(image), (gap + column * (width + gap), top))
        label = (
            f"{number + 1}   open {np.degrees(proposal.opening):z.0f}°, camera "
            f"{np.degrees(proposal.elevation):z.0f}° up and "
            f"{np.degrees(proposal.azimuth) + 90:+z.0f}° round"
        )
        lettering.write(sheet, label, (gap, top + height + 25), 19, SHEET_INK)
        _write_figures(sheet, proposal.score, (2 * width + 3 * gap, top), height)
    return np.asarray(sheet)


def _write_figures(sheet: Image.Image, score: Score, corner: tuple[int, int], height: int) -> None:
    """Each part of a score as a bar with its name and value."""
    from PIL import ImageDraw

    figures = score.figures()
    left, top = corner
    step = height / len(figures)
    brush = ImageDraw.Draw(sheet)
    for number, (name, value) in enumerate(figures.items()):
        base = top + number * step + step * 0.62
        whole = name == "total"
        lettering.write(sheet, name, (left, base), 19, SHEET_INK, bold=whole)
        lettering.write(sheet, f"{value:z.2f}", (left + 280, base), 19, SHEET_INK, whole, "rs")
        bar = (left + 92, base - 11)
        brush.rectangle((bar, (bar[0] + 140, base - 2)), fill="#ded5c5")
        brush.rectangle((bar, (bar[0] + 140 * value, base - 2)), fill="#4d6a5a")


def usual_openings(motion: Motion) -> np.ndarray:
    """The openings that `propose` tries, radians, as far as the motion gets."""
    wanted = np.radians(OPENINGS_DEG)
    reached = motion.openings[motion.solved]
    inside = (wanted >= reached.min() - 1e-9) & (wanted <= reached.max() + 1e-9)
    found = wanted[inside] if len(reached) else wanted[:0]
    return found if len(found) else reached[-1:]


def _trial_size(aspect: float) -> Size:
    height = round((TRIAL_PIXELS / aspect) ** 0.5)
    return round(height * aspect), height


def _stages(
    spread: Spread,
    motion: Motion,
    mood: str | Mood,
    wish: LyingWish,
    wanted: Collection[float] | None = None,
) -> Iterator[tuple[float, Scene]]:
    """The openings to try, or only some of them, and what there is to see at each."""
    openings = usual_openings(motion) if motion.solved.any() else np.empty(0)
    if not np.isin(openings, motion.openings).all():
        # All at once: one solve of many openings takes hardly longer than of one.
        motion = spread.solve(openings)
    lying = settled(wish, spread.linkage, motion)
    for opening in openings:
        if wanted is not None and opening not in wanted:
            continue
        number = int(np.flatnonzero(motion.openings == opening)[0])
        yield float(opening), build(spread, motion, number, mood, lying)


def _trials(size: Size, title: str | None, at: tuple[float, Scene]) -> list[Proposal]:
    """All proposals at one opening, scored by a quick look."""
    opening, scene = at
    stage, found = AtOpening.of(scene), []
    free = None if title is None else TITLES[title]
    for azimuth, elevation, points in product(
        np.radians(AZIMUTHS_DEG), np.radians(ELEVATIONS_DEG), stage.framings
    ):
        camera = aim(points, float(azimuth), float(elevation), size, free)
        seen = stage.sight.surfaces(camera, size)
        score = _score(stage, camera, seen, _quick_look(stage, camera, seen), free)
        found.append(Proposal(scene, opening, float(azimuth), float(elevation), camera, score))
    return found


def aim(
    points: np.ndarray, azimuth: float, elevation: float, size: Size, title: Crop | None = None
) -> Camera:
    """The camera that fills the frame, or what a title leaves of it, with the points.

    The camera moves sideways and up and down instead of turning, so that uprights stay upright.
    """
    aspect = size[0] / size[1]
    camera = frame(points, azimuth, elevation, aspect, margins=(MARGIN, MARGIN))
    if title is None:
        return camera
    room = _beside(title)
    for _ in range(4):
        seen = camera.project(points, size) / np.array(size)
        low, high = seen.min(axis=0), seen.max(axis=0)
        wanted = np.array([room.right - room.left, room.bottom - room.top]) - 2 * MARGIN
        scale = float(((high - low) / wanted).max())
        middle = (low + high) / 2
        target = np.array([room.left + room.right, room.top + room.bottom]) / 2
        # Away first, then sideways by what is left over at the new distance.
        per_share = 2 * camera.distance * scale * np.tan(camera.field / 2)
        right, up, forward = camera.axes
        x = ((middle[0] - 0.5) / scale + 0.5 - target[0]) * per_share * aspect
        y = -((middle[1] - 0.5) / scale + 0.5 - target[1]) * per_share
        shift = x * right + y * up
        eye = np.array(camera.target) - forward * camera.distance * scale + shift
        camera = replace(
            camera,
            eye=_triple(eye),
            target=_triple(np.array(camera.target) + shift),
        )
    return camera


def _beside(title: Crop) -> Crop:
    """The larger part of the frame that a title along one edge leaves free."""
    if title.right - title.left >= 1.0:
        return Crop(0, title.bottom, 1, 1) if title.top <= 0 else Crop(0, 0, 1, title.top)
    return Crop(title.right, 0, 1, 1) if title.left <= 0 else Crop(0, 0, title.left, 1)


def _triple(vector: np.ndarray) -> tuple[float, float, float]:
    x, y, z = vector.tolist()
    return x, y, z


def _score(
    stage: AtOpening, camera: Camera, seen: np.ndarray, picture: np.ndarray, free: Crop | None
) -> Score:
    """How well a picture reads, in which `seen` tells the surface at each pixel."""
    pieces = piece_at(seen, stage.pieces)
    return silhouette.rate(picture, pieces, free, turned_to(stage, camera))


def turned_to(stage: AtOpening, camera: Camera) -> float:
    """How far the fronts of what stands are turned to a camera: 1 if it looks straight at all.

    That is the mean over their area of the cosine between a front and the way to the camera, 0 for
    those that are seen from behind.
    """
    standing = stage.pieces >= 0
    weights = stage.areas[standing]
    if not len(weights):
        return 0.0
    return float(np.average(np.maximum(_facing(stage, camera)[standing], 0.0), weights=weights))


def _facing(stage: AtOpening, camera: Camera) -> np.ndarray:
    """Cosine between each surface's front and the way from it to the camera, shape (S,)."""
    ways = np.array(camera.eye) - stage.places
    return np.asarray((ways * stage.normals).sum(axis=1) / np.linalg.norm(ways, axis=1))


def _quick_look(stage: AtOpening, camera: Camera, seen: np.ndarray) -> np.ndarray:
    """A picture in flat shade without shadows."""
    mood = stage.scene.mood
    toward = _facing(stage, camera) >= 0
    normals = np.where(toward[:, None], stage.normals, -stage.normals)
    facing = np.maximum(normals @ mood.towards_key(camera.azimuth), 0.0)
    shade = facing[:, None] * mood.key + (1 + normals[:, 2:]) / 2 * mood.sky
    tones = np.where(toward[:, None], *stage.colours) * shade
    return develop(np.append(tones, [linear(mood.table)], axis=0))[seen]


def _unlike(trials: Sequence[Proposal], count: int) -> list[Proposal]:
    """The first trials of which no two are alike."""
    chosen: list[Proposal] = []
    for trial in trials:
        if len(chosen) == count:
            break
        if not any(alike(trial, other) for other in chosen):
            chosen.append(trial)
    return chosen


def alike(one: Proposal, other: Proposal) -> bool:
    """Whether two proposals would look like the same picture."""
    round_, up = np.degrees([one.azimuth - other.azimuth, one.elevation - other.elevation])
    opening = np.degrees(one.opening - other.opening)
    return bool(max(abs(round_), abs(up)) < ALIKE_DEG and abs(opening) < ALIKE_OPENING_DEG)


def _drawn_for_good(size: Size, title: str | None, engine: EngineName, trial: Proposal) -> Proposal:
    """The proposal scored by a picture with its real light and shadows."""
    scene = trial.scene.lit_for(trial.camera.azimuth)
    picture = draw_scene(scene, trial.camera, size, engine, "draft")
    stage = AtOpening.of(trial.scene)
    seen = stage.sight.surfaces(trial.camera, size)
    free = None if title is None else TITLES[title]
    return replace(trial, score=_score(stage, trial.camera, seen, picture, free))
