"""Shots: where the camera stands, what its frame covers, what is sharp, what gets cut off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from meshes.design.shots import ShotSettings
from preview.drawing import visible
from preview.drawing.lying import Lying, LyingWish, settled
from preview.drawing.scene import Scene, build
from preview.drawing.visible import NOTEBOOK, pieces_of
from preview.parallel import ALONE, Crew
from preview.pictures import thumbnail
from preview.shot import optics
from preview.shot.asked import lying_for
from preview.shot.camera import VIEWS, Camera, frame
from preview.shot.optics import Focus, Sensor
from preview.shot.standing import CLOSE_MARGINS, about_view, camera_of, points_of

if TYPE_CHECKING:
    from meshes.answers import Answers
    from meshes.motion.result import Motion
    from meshes.spread import Spread

# Openings at which a shot is examined, evenly over its range. Our choice.
STEPS = 13
MARGINS = (0.08, 0.08)  # our choice
# Marks on the aperture ring of most lenses. Common practice, no source.
STOPS = (1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0)


@dataclass(frozen=True)
class Gear:
    """What she films with.

    Parameters
    ----------
    focal : mm.
    aspect : width over height of the film.
    """

    sensor: Sensor
    focal: float
    # Common practice, no source: sharp, and deep enough for a spread.
    f_number: float = 8.0
    # Common practice, no source: the shape of most films.
    aspect: float = 16 / 9

    @property
    def frame(self) -> Sensor:
        """The part of the sensor that the film uses; the camera is turned for upright films."""
        whole = self.sensor.upright() if self.aspect < 1 else self.sensor
        return whole.crop(self.aspect)

    @property
    def field(self) -> float:
        """Vertical angle of view, radians."""
        return optics.field_of_view(self.frame.height, self.focal)


@dataclass(frozen=True)
class Cut:
    """A piece that is not wholly in the picture, and at which openings (radians)."""

    piece: str
    first: float
    last: float


@dataclass(frozen=True)
class Shot:
    """One shot, worked out.

    Parameters
    ----------
    openings : at which it was examined, in the order of the film, radians.
    camera : at the table, mm.
    lying : which half of the notebook lies on the table, as in a film of the shot.
    distance : from the lens to where it is focused, along its axis, mm.
    height : of the lens over the table top, mm.
    forward : from the middle of the spread to the foot point of the lens on the table, towards
        the reader, mm; `sideways` likewise to the right.
    tilt : of the lens below the horizon, radians.
    covers : width and height of what is in the frame at the aimed distance, mm.
    sharp : what looks sharp with the lens focused there.
    depth : from the nearest to the farthest point of what the shot is about, as distances from the
        lens, mm.
    cuts : pieces that the shot is about and that leave the frame.
    enough : the smallest f-number of the usual row at which all of it is sharp, None if none is.
    """

    name: str
    settings: ShotSettings
    openings: np.ndarray
    camera: Camera
    lying: Lying
    distance: float
    height: float
    forward: float
    sideways: float
    tilt: float
    covers: tuple[float, float]
    sharp: Focus
    depth: tuple[float, float]
    cuts: tuple[Cut, ...]
    enough: float | None

    @property
    def all_sharp(self) -> bool:
        """Whether everything in the shot is within the depth of field."""
        return self.sharp.near <= self.depth[0] and self.depth[1] <= self.sharp.far


@dataclass(frozen=True)
class FilmPlan:
    """All shots of a design, what they are filmed with, and the motion that they show."""

    title: str
    gear: Gear
    motion: Motion
    shots: tuple[Shot, ...]


def plan(
    spread: Spread,
    gear: Gear,
    mood: str = "daylight",
    advance: Callable[[], None] = lambda: None,
    workers: Crew = ALONE,
    answers: Answers | None = None,
    lying: LyingWish | None = None,
) -> FilmPlan:
    """Work out the shots of a design, or five usual ones if it names none.

    Parameters
    ----------
    advance : called :func:`steps` times.
    workers : processes that look for the thumbnail.
    answers : on this design, where the best thumbnail is kept.
    lying : how the notebook lies in all of them; else as in films.

    Raises
    ------
    ValueError
        If the spread can't be opened far enough for a shot.
    """
    listed = spread.design.shots
    motion = _motion(spread, listed if _planned(listed) else {**usual(""), **listed})
    advance()
    wanted = listed if _planned(listed) else {**usual(tallest(spread, motion)), **listed}
    shots = []
    for name, settings in wanted.items():
        lain = settled(lying_for(lying, listed, "thicker", [name]), spread.linkage, motion)
        shots.append(_shot(spread, motion, name, settings, gear, lain))
        advance()
    if not _planned(listed):
        find = thumbnail.propose if answers is None else partial(thumbnail.proposed_once, answers)
        lain = settled(lying_for(lying, listed, "thicker"), spread.linkage, motion)
        best = find(
            spread,
            motion,
            mood,
            count=1,
            aspect=gear.aspect,
            advance=advance,
            workers=workers,
            lying=lain,
        )[0]
        shots.append(_thumbnail(spread, motion, gear, best, lain))
    return FilmPlan(spread.design.title, gear, motion, tuple(shots))


def steps(spread: Spread) -> int:
    """How many times :func:`plan` tells that it has got on, if the spread opens all the way."""
    listed = spread.design.shots
    if _planned(listed):
        return 1 + len(listed)
    found = len(thumbnail.OPENINGS_DEG) + thumbnail.FINALISTS
    return 1 + len({**usual(""), **listed}) + found


def _planned(listed: Mapping[str, ShotSettings]) -> bool:
    """Whether the design says itself which shots there are; views that were kept say nothing."""
    return any(not settings.kept for settings in listed.values())


def _motion(spread: Spread, wanted: Mapping[str, ShotSettings]) -> Motion:
    """All openings that a plan looks at: one solve of many takes hardly longer than of one.

    Raises
    ------
    ValueError
        If the spread can't be opened that far.
    """
    ranges = [_openings(settings) for settings in wanted.values()]
    usual = np.radians(thumbnail.OPENINGS_DEG)
    motion = spread.solve(np.unique(np.concatenate([*ranges, usual, [visible.TALLEST]])))
    needed = np.isin(motion.openings, np.concatenate(ranges))
    if not motion.solved[needed].all():
        where = np.degrees(motion.openings[needed & ~motion.solved][0])
        raise ValueError(f"the spread does not reach an opening of {where:z.1f}°")
    return motion


def _openings(settings: ShotSettings) -> np.ndarray:
    return np.linspace(settings.from_opening, settings.to_opening, STEPS)


def usual(hero: str) -> dict[str, ShotSettings]:
    """The shots of a tutorial that its design does not list.

    Parameters
    ----------
    hero : the piece to come close to.
    """
    full = np.pi
    return {
        "overhead opening": ShotSettings.model_construct(view="overhead", seconds=8.0),
        "right-corner reveal": ShotSettings.model_construct(view="right-corner", seconds=6.0),
        "low turntable": ShotSettings.model_construct(
            view="low", from_opening=full, to_opening=full, turn=2 * np.pi, seconds=10.0
        ),
        "close-up": ShotSettings.model_construct(
            view="right-corner", piece=hero, from_opening=full / 3, seconds=5.0
        ),
    }


def tallest(spread: Spread, motion: Motion) -> str:
    """The piece that stands highest over the table with the spread wide open."""
    return visible.tallest(_scenes(spread, motion, np.array([visible.TALLEST]), "both")[0])


def _scenes(spread: Spread, motion: Motion, openings: np.ndarray, lying: Lying) -> list[Scene]:
    stages = np.searchsorted(motion.openings, openings)
    return [build(spread, motion, stage, lying=lying) for stage in stages]


def _shot(
    spread: Spread, motion: Motion, name: str, settings: ShotSettings, gear: Gear, lying: Lying
) -> Shot:
    openings = _openings(settings)
    scenes = _turned(_scenes(spread, motion, openings, lying), settings.turn)
    view = VIEWS[settings.view]
    piece = settings.piece
    about = about_view(view, scenes) if piece is None else frozenset({piece})
    kept = camera_of(settings)
    if kept is not None:
        # Her lens sees another angle, so it stands nearer or farther to see as much.
        camera = kept.with_field(gear.field)
        return _worked_out(name, settings, openings, scenes, camera, gear, about, lying)
    margins = MARGINS if piece is None else CLOSE_MARGINS
    points = points_of(scenes, about)
    camera = frame(points, view.azimuth, view.elevation, gear.aspect, gear.field, margins)
    return _worked_out(name, settings, openings, scenes, camera, gear, about, lying)


def _turned(scenes: list[Scene], turn: float) -> list[Scene]:
    if not turn:
        return scenes
    return [scene.turned(turn * k / (len(scenes) - 1)) for k, scene in enumerate(scenes)]


def _thumbnail(
    spread: Spread, motion: Motion, gear: Gear, best: thumbnail.Proposal, lying: Lying
) -> Shot:
    """The best thumbnail, taken with her lens."""
    settings = ShotSettings.model_construct(
        from_opening=best.opening, to_opening=best.opening, seconds=1.0
    )
    openings = np.array([best.opening])
    scenes = _scenes(spread, motion, openings, lying)
    standing = frozenset(pieces_of(scenes[0], standing=True)[0]) or None
    # From the same direction; her lens sees another angle, so it stands nearer or farther.
    points = points_of(scenes, standing)
    camera = frame(points, best.azimuth, best.elevation, gear.aspect, gear.field, MARGINS)
    return _worked_out("thumbnail", settings, openings, scenes, camera, gear, standing, lying)


def _worked_out(
    name: str,
    settings: ShotSettings,
    openings: np.ndarray,
    scenes: list[Scene],
    camera: Camera,
    gear: Gear,
    about: frozenset[str] | None,
    lying: Lying,
) -> Shot:
    axes = camera.axes
    eye = np.array(camera.eye)
    depths = (points_of(scenes, about) - eye) @ axes[2]
    # Focused where near and far end of the subject are equally sharp: a little nearer than half
    # way, at the harmonic mean of both distances.
    near, far = max(float(depths.min()), 1.1 * gear.focal), float(depths.max())
    aimed = 2 * near * far / (near + far)
    height = 2 * aimed * np.tan(camera.field / 2)
    centre = np.array([*scenes[0].centre, scenes[0].table])
    offset = eye - centre
    return Shot(
        name,
        settings,
        openings,
        camera,
        lying,
        distance=aimed,
        height=float(offset[2]),
        forward=float(-offset[1]),
        sideways=float(offset[0]),
        tilt=float(-np.arcsin(np.clip(axes[2, 2], -1, 1))),
        covers=(float(height * gear.aspect), float(height)),
        sharp=optics.focus(gear.focal, gear.f_number, gear.sensor.confusion, aimed),
        depth=(near, far),
        cuts=tuple(_cuts(openings, scenes, camera, gear.aspect, about)),
        enough=_enough(gear, aimed, (near, far)),
    )


def _enough(gear: Gear, distance: float, depth: tuple[float, float]) -> float | None:
    for stop in STOPS:
        sharp = optics.focus(gear.focal, stop, gear.sensor.confusion, distance)
        if sharp.near <= depth[0] and depth[1] <= sharp.far:
            return stop
    return None


def _cuts(
    openings: np.ndarray,
    scenes: list[Scene],
    camera: Camera,
    aspect: float,
    about: frozenset[str] | None,
) -> list[Cut]:
    size = (round(1000 * aspect), 1000)
    outside: dict[str, list[float]] = {}
    for opening, scene in zip(openings, scenes, strict=True):
        corners, owner = scene.corners
        seen = camera.project(corners, size)
        # A point behind the camera is NaN, and so not inside.
        inside = ((seen >= 0) & (seen <= np.array(size))).all(axis=1)
        for number in np.unique(owner[~inside]):
            surface = scene.surfaces[number]
            piece = surface.name.partition(".")[0]
            if surface.material in NOTEBOOK or (about is not None and piece not in about):
                continue
            outside.setdefault(piece, []).append(float(opening))
    return [Cut(piece, min(found), max(found)) for piece, found in outside.items()]
