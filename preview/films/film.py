"""A film: the motion that its schedule shows, and the shot that draws every pose of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ..errors import UseError
from ..parallel import crew
from ..pictures.notebook import Film
from ..shot.schedule import Action, Schedule, eased, exposed
from ..shot.schedule import film as schedule_film
from .shutter import Exposure, Instant, averaged, enough, way

if TYPE_CHECKING:
    from meshes.design.shots import ShotSettings
    from meshes.linkage import Linkage
    from meshes.motion.result import Motion
    from meshes.others import Others
    from meshes.spread import Spread

    from ..drawing.book import Book
    from ..drawing.lying import Lying
    from ..drawing.render import Engine, EngineName, Quality
    from ..drawing.scene import Scene, Surface
    from ..shot.camera import Camera
    from ..shot.mood import Mood

Size = tuple[int, int]
Driven = Sequence[str] | Mapping[str, tuple[float, float]]

# Poses whose outlines the camera must have in its picture, evenly over the film; where one half is
# turned over, as many more evenly over the opening, since its arc is highest where it is quickest.
FRAMED_POSES = 13
# Letters on a picture, as shares of its shorter side.
LETTERS, LETTERS_EDGE = 0.045, 0.04


def make(
    design: str | PathLike[str] | Spread,
    path: str | Path = "film.gif",
    size: Size = (640, 480),
    seconds: float = 5.0,
    fps: float = 20.0,
    action: Action = "open-close",
    views: Sequence[str] = ("reader",),
    driven: Driven = (),
    jobs: int = 1,
    shutter_deg: float = 0.0,
    **settings: Any,
) -> Film:
    """Film a design, which a notebook plays.

    Parameters
    ----------
    design : a design file, the name of a shipped design, or a spread that has been read.
    path : of the film; its ending chooses the format.
    action : see `preview.shot.schedule.ACTIONS`.
    views, settings : see :func:`shot_for`.
    driven : pieces that a hand moves there and back; see :func:`hand_moves`.
    jobs : processes that draw; more than one only in a script that guards its main part, since
        each process imports that script.
    shutter_deg : how long the shutter is open; see :func:`preview.shot.schedule.exposed`.

    Raises
    ------
    DesignError
        With every mistake in the design.
    UseError
        If the spread does not open that far, or the film is too short.
    """
    from . import encode
    from .frames import drawn, prepare

    target = Path(path)
    encode.check_ending(target)
    schedule = schedule_film(action, seconds, fps, travels=len(views) > 1, driven=bool(driven))
    schedule = exposed(schedule, float(np.radians(shutter_deg)))
    spread = read_any(design)
    with crew(jobs, prepare) as workers:
        try:
            shot = shot_for(spread, schedule, size, views, driven, **settings)
        except ValueError as error:
            raise UseError(str(error)) from None
        with drawn(shot, schedule.order, workers) as frames:
            encode.write(target, frames, fps)
    return Film(target)


def read_any(design: str | PathLike[str] | Spread) -> Spread:
    """The spread of a design file, of a shipped design by name, or itself."""
    from meshes import designs, spread

    if isinstance(design, spread.Spread):
        return design
    known = [*designs.names(), *designs.specimens()]
    shipped = isinstance(design, str) and design in known and not Path(design).exists()
    return spread.read(designs.path(str(design)) if shipped else design)


def longest_run(motion: Motion) -> tuple[float, float] | None:
    """First and last opening (radians) of the longest run of solved stages; None if there is none.

    A single stage is no run: nothing moves in it.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[0], motion.solved.astype(int), [0]])))
    runs = edges.reshape(-1, 2)
    if not len(runs):
        return None
    start, stop = runs[np.argmax(runs[:, 1] - runs[:, 0])]
    if stop - start < 2:
        return None
    return float(motion.openings[start]), float(motion.openings[stop - 1])


@dataclass(frozen=True)
class Filming:
    """Everything that drawing the poses of a film takes.

    Parameters
    ----------
    motion : its stages, all solved.
    cameras : one for each pose, or a single one for all.
    size : width and height, pixels.
    stages : which stage of the motion each pose shows, shape (P,); else each has one.
    turns : how far the table has turned in each pose, shape (P,), radians; else not at all.
    engine, quality : see ``preview.drawing.render``.
    caption : a line of text at the foot of the picture.
    marked : the angle of the opening is written beside it.
    lying : which half of the notebook lies on the table.
    exposure : what happens while the shutter is open, if it is for a while.
    banded : whether a band is round the notebook in each pose in which it is shut, shape (P,); else
        it is in all of them.
    leaves : how far the page before the spread is turned in each pose, 0 to 1, shape (P,); such a
        film begins a page earlier, with the right half on the table.
    """

    linkage: Linkage
    book: Book
    motion: Motion
    cameras: tuple[Camera, ...]
    size: Size
    stages: np.ndarray | None = None
    turns: np.ndarray | None = None
    mood: str | Mood = "daylight"
    engine: EngineName = "auto"
    quality: Quality = "film"
    caption: str = ""
    marked: bool = False
    lying: Lying = "both"
    exposure: Exposure | None = None
    banded: np.ndarray | None = None
    leaves: np.ndarray | None = None

    @property
    def poses(self) -> int:
        """How many pictures there are to draw."""
        return len(self.motion.openings) if self.stages is None else len(self.stages)

    @property
    def openings(self) -> np.ndarray:
        """The opening that each pose shows, shape (P,), radians."""
        openings = self.motion.openings
        return openings if self.stages is None else openings[self.stages]

    @property
    def camera(self) -> Camera:
        """The camera of the first pose."""
        return self.cameras[0]

    def stage(self, pose: int) -> int:
        """The stage of the motion that a pose shows."""
        return pose if self.stages is None else int(self.stages[pose])

    def moment(self, pose: int) -> Instant:
        """What there is to see in the middle of a pose's time."""
        camera = self.cameras[pose % len(self.cameras)]
        return Instant(self.stage(pose), self._turn(pose), camera)

    def scene(self, pose: int) -> Scene:
        """What the camera sees in one pose."""
        return self._scene(self.stage(pose), self._turn(pose), pose)

    def points(self, pose: int) -> np.ndarray:
        """How far all reaches that the camera sees in one pose: corners, shape (n, 3), mm."""
        from ..drawing.extent import points_of

        if self.leaves is not None or self._turn(pose):
            return self.scene(pose).points
        return points_of(self.linkage, *self._pose(self.stage(pose), pose), self.lying)

    def _pose(self, stage: int, pose: int) -> tuple[Book, float, np.ndarray, np.ndarray]:
        """The notebook, its opening, and rotations and translations of the bodies."""
        motion = self.motion
        bare = self.book.band and self.banded is not None and not self.banded[pose]
        return (
            replace(self.book, band="") if bare else self.book,
            float(motion.openings[stage]),
            motion.rotations[stage],
            motion.translations[stage],
        )

    def _turn(self, pose: int) -> float:
        return 0.0 if self.turns is None else float(self.turns[pose])

    def _scene(self, stage: int, turn: float, pose: int) -> Scene:
        from ..drawing.leaf import leafed
        from ..drawing.scene import assemble

        scene = assemble(self.linkage, *self._pose(stage, pose), self.mood, self.lying)
        if self.leaves is not None:
            scene = leafed(scene, self.book, float(self.leaves[pose]))
        return scene.turned(turn) if turn else scene

    def _moments(self, pose: int) -> list[Instant]:
        """The moments whose pictures make up that of a pose: as many as the motion needs."""
        if self.exposure is None:
            return [self.moment(pose)]
        moments = self.exposure.moments(pose)
        first, last = moments[0], moments[-1]
        scenes = [self._scene(moment.stage, moment.turn, pose) for moment in (first, last)]
        far = way(scenes[0], scenes[1], (first.camera, last.camera), self.size)
        chosen = enough(moments, far)
        return chosen if len(chosen) > 1 else [self.moment(pose)]

    def _picture(self, moment: Instant, pose: int, engine: Engine) -> np.ndarray:
        # The light goes along with the camera: from behind or aside, what it shows would be dull.
        scene = self._scene(moment.stage, moment.turn, pose).lit_for(moment.camera.azimuth)
        return engine.draw(scene, moment.camera, self.size, self.quality)

    def draw(self, pose: int, engine: Engine) -> np.ndarray:
        """The picture of one pose, shape (rows, columns, 3), uint8 sRGB."""
        moments = self._moments(pose)
        pictures = (self._picture(moment, pose, engine) for moment in moments)
        picture = averaged(pictures) if len(moments) > 1 else next(pictures)
        if not self.caption and not self.marked:
            return picture
        opening = np.degrees(self.motion.openings[self.stage(pose)])
        return lettered(picture, self.caption, f"{opening:.0f}°" if self.marked else "", self.mood)


def lettered(picture: np.ndarray, caption: str, mark: str, mood: str | Mood) -> np.ndarray:
    """A picture with a line of text at its lower left and a mark at its lower right."""
    from PIL import Image

    from ..drawing import lettering
    from ..shot.mood import mood_of

    image = Image.fromarray(picture)
    edge = round(LETTERS_EDGE * min(image.size))
    size = max(9, round(LETTERS * min(image.size)))
    ink = lettering.ink_on(mood_of(mood).table)
    base = image.height - edge
    room = image.width - 3 * edge - lettering.width(mark, size, bold=True)
    while size > 9 and lettering.width(caption, size) > room:
        size -= 1
    text = caption
    while text and lettering.width(text, size) > room:
        caption = caption[:-1].rstrip()
        text = f"{caption}…" if caption else ""
    lettering.write(image, text, (edge, base), size, ink)
    lettering.write(image, mark, (image.width - edge, base), size, ink, bold=True, anchor="rs")
    return np.asarray(image)


def shot_of(
    spread: Spread, motion: Motion, size: Size, view: str = "reader", **settings: Any
) -> Filming:
    """A shot with one pose for each stage, all of which the camera has in its picture.

    Parameters
    ----------
    size : width and height, pixels.
    view : a name in ``preview.shot.camera.VIEWS``, or of a shot of the design.
    settings : mood, engine, quality, caption and marked of the `Filming`, and a wish how the
        notebook is `lying`; see ``preview.drawing.lying``.
    """
    shots = spread.design.shots
    shot = _unaimed(spread, motion, size, {"lying": "both", **settings})
    return _aimed(shot, [view], shots, np.zeros(1))


def motion_for(
    spread: Spread, schedule: Schedule, driven: Driven = (), beside: Others | None = None
) -> Motion:
    """The motion that a schedule shows, one stage for each of its states.

    Parameters
    ----------
    driven : pieces that a hand moves; see :func:`hand_moves`.
    beside : processes that solve a part of it meanwhile.

    Raises
    ------
    UseError
        If a piece is not moved by hand, or not like that.
    """
    from meshes.drive import DriveError

    states, _ = schedule.states
    moves = hand_moves(spread, driven, states[:, 1])
    try:
        return spread.solve(states[:, 0], moves, beside=beside)
    except DriveError as error:
        order = ",".join(moves)
        raise UseError(f"by hand {order}: {error}") from None


def shot_for(
    spread: Spread,
    schedule: Schedule,
    size: Size,
    views: Sequence[str] = ("reader",),
    driven: Driven = (),
    motion: Motion | None = None,
    **settings: Any,
) -> Filming:
    """The shot of a schedule.

    Parameters
    ----------
    size : width and height, pixels.
    views : names in ``preview.shot.camera.VIEWS`` or of shots of the design; the camera travels
        from the first to the last.
    driven, motion : see :func:`motion_for`, which solves the motion if there is none.
    settings : as of :func:`shot_of`; unless they say otherwise, the thicker half of the notebook
        lies on the table.

    Raises
    ------
    ValueError
        If the motion does not reach one of the openings.
    """
    motion = motion or motion_for(spread, schedule, driven)
    shot = opened(spread, schedule, size, motion, settings)
    travels = schedule.poses[:, 2], schedule.during[..., 2]
    return _aimed(shot, views, spread.design.shots, *travels)


def leafed_for(
    spread: Spread, schedule: Schedule, size: Size, view: str, motion: Motion, **settings: Any
) -> Filming:
    """The shot of a film that turns a page first; see `preview.shot.leaf`.

    Parameters
    ----------
    size : width and height, pixels.
    view, settings : as of :func:`shot_of`; the right half lies.

    Raises
    ------
    ValueError
        If the motion does not reach one of the openings.
    """
    shot = opened(spread, schedule, size, motion, {**settings, "lying": "right"})
    shot = replace(shot, leaves=schedule.poses[:, 2])
    return _aimed(shot, [view], spread.design.shots, np.zeros(1))


def opened(
    spread: Spread, schedule: Schedule, size: Size, motion: Motion, settings: Mapping[str, Any]
) -> Filming:
    """The shot of a schedule, still without a camera; see :func:`shot_for`."""
    if not motion.solved.all():
        where = np.degrees(motion.openings[~motion.solved][0])
        raise ValueError(f"the spread does not reach an opening of {where:.1f}°")
    _, stages = schedule.states
    turns = schedule.poses[:, 1] if schedule.poses[:, 1].any() else None
    lying: dict[str, Any] = {"lying": "thicker", **settings}
    shot = replace(_unaimed(spread, motion, size, lying), stages=stages, turns=turns)
    # A band would go in one frame as the notebook opens: it has been taken away before.
    shot = replace(shot, banded=np.zeros(len(stages), bool))
    if not schedule.during.size:
        return shot
    exposure = Exposure(schedule.states_during, schedule.during[..., 1], ())
    return replace(shot, exposure=exposure)


def hand_moves(spread: Spread, driven: Driven, share: np.ndarray) -> dict[str, np.ndarray]:
    """How far each of some pieces is moved by hand, each from its rest to the other end.

    Parameters
    ----------
    driven : pieces that all move during the whole time, or for each the parts of the time (0 to 1)
        at which it begins and ends to move.
    share : of the time that is over, 0 to 1, shape (S,).

    Raises
    ------
    UseError
        If a piece is not moved by hand.
    """
    rests = {drive.name: drive.rest for drive in spread.linkage.drives}
    times = driven if isinstance(driven, Mapping) else dict.fromkeys(driven, (0.0, 1.0))
    moves = {}
    for name, (begin, end) in times.items():
        if name not in rests:
            known = ", ".join(rests) or "none in this design"
            raise UseError(f"{name!r} is not moved by hand; pieces that are: {known}")
        done = eased(np.clip((share - begin) / (end - begin), 0.0, 1.0))
        moves[name] = rests[name] + (1 - 2 * rests[name]) * done
    return moves


def _unaimed(spread: Spread, motion: Motion, size: Size, settings: Mapping[str, Any]) -> Filming:
    from meshes.curl import bent

    from ..drawing.lying import settled
    from ..drawing.scene import book_of

    seen = bent(spread, motion)
    lying = settled(settings["lying"], spread.linkage, motion)
    settings = {**settings, "lying": lying}
    return Filming(seen.linkage, book_of(spread), seen.motion, (), size, **settings)


def _aimed(
    shot: Filming,
    views: Sequence[str],
    named: Mapping[str, ShotSettings],
    travel: np.ndarray,
    during: np.ndarray | None = None,
) -> Filming:
    """The shot with cameras that have the spread in their picture in every pose.

    Parameters
    ----------
    named : the shots of the design, each a view as well.
    travel : how far along the path through the views the camera is in each pose, 0 to 1.
    during : the same while the shutter is open, shape (P, S).
    """
    from ..shot.camera import along
    from ..shot.standing import standing

    scenes = [_Glimpse(shot, int(pose)) for pose in _framed(shot)]
    aspect = shot.size[0] / shot.size[1]
    stops = [standing(view, named, scenes, aspect) for view in views]
    travels = len(stops) > 1
    shot = replace(shot, cameras=tuple(along(stops, travel) if travels else stops))
    if shot.exposure is None or during is None:
        return shot
    cameras = along(stops, np.clip(during, 0, 1).ravel()) if travels else stops
    return replace(shot, exposure=replace(shot.exposure, cameras=tuple(cameras)))


class _Glimpse:
    """A pose as a camera is framed for it; its scene is made only if the surfaces are asked for."""

    def __init__(self, shot: Filming, pose: int) -> None:
        self._shot, self._pose = shot, pose

    @property
    def points(self) -> np.ndarray:
        """Corners of everything, shape (n, 3), mm."""
        return self._shot.points(self._pose)

    @cached_property
    def _scene(self) -> Scene:
        return self._shot.scene(self._pose)

    @property
    def surfaces(self) -> tuple[Surface, ...]:
        """See :class:`preview.drawing.scene.Scene`."""
        return self._scene.surfaces

    @property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """See :class:`preview.drawing.scene.Scene`."""
        return self._scene.corners


def _framed(shot: Filming) -> np.ndarray:
    """Some of the poses, whose outlines tell what the camera must have in its picture."""
    if shot.lying != "both":
        return spread_out(shot.openings, FRAMED_POSES)
    return np.array(sorted({*_evenly(shot.poses, FRAMED_POSES).tolist()}))


def spread_out(openings: np.ndarray, count: int) -> np.ndarray:
    """Some poses evenly over the time, and as many more evenly over the openings; sorted.

    The arc of a half that is turned over is highest where it is quickest.

    Parameters
    ----------
    openings : of the poses, shape (P,), radians.
    """
    even = np.linspace(openings.min(), openings.max(), count)
    nearest = np.abs(openings - even[:, None]).argmin(axis=1)
    # Numpy's own union loads what it has for masked arrays.
    return np.array(sorted({*_evenly(len(openings), count).tolist(), *nearest.tolist()}))


def _evenly(poses: int, count: int) -> np.ndarray:
    return np.linspace(0, poses - 1, count).round().astype(int)
