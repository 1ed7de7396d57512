"""The film of a building course: a shot for each moment, with a caption under the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

import numpy as np

from preview.course.cameras import cameras
from preview.course.course import BuildingCourse
from preview.course.scene import areas_of, scene_at
from preview.course.timeline import Timeline, timeline
from preview.pattern.font import broken
from preview.pattern.glue import GlueArea

from ..shot.mood import Mood, mood_of

if TYPE_CHECKING:
    from ..drawing.render import Engine, EngineName, Quality
    from ..shot.camera import Camera

Size = tuple[int, int]

# Size of the caption as a share of the shorter side, and at least so many pixels; lines in the
# band; between them and about them, as shares of that size. Our choice.
_TEXT, _LEAST, _LINE, _EDGE = 0.042, 13, 1.32, 0.7


@dataclass(frozen=True)
class Building:
    """Everything that drawing a building film takes.

    Parameters
    ----------
    captions : for each step of the course, lines: what number it is, its title, and what must be
        bent by hand, if anything.
    cameras : one for each moment.
    size : of the whole picture, with the band of the captions, pixels.
    """

    course: BuildingCourse
    line: Timeline
    captions: tuple[tuple[str, ...], ...]
    cameras: tuple[Camera, ...]
    size: Size
    mood: str | Mood = "daylight"
    engine: EngineName = "auto"
    quality: Quality = "film"

    @property
    def poses(self) -> int:
        """How many pictures there are to draw."""
        return len(self.line.moments)

    @cached_property
    def _areas(self) -> tuple[GlueArea, ...]:
        return areas_of(self.course.table)

    @cached_property
    def _band(self) -> int:
        return band_height(self.size, self.captions)

    def draw(self, pose: int, engine: Engine) -> np.ndarray:
        """The picture of one moment, shape (rows, columns, 3), uint8 sRGB."""
        moment = self.line.moments[pose]
        move = self.course.steps[moment.step].moves[moment.move]
        camera = self.cameras[pose]
        scene = scene_at(self.course.table, self._areas, move, moment.share, self.mood)
        width, height = self.size
        lit = scene.lit_for(camera.azimuth)
        picture = engine.draw(lit, camera, (width, height - self._band), self.quality)
        return captioned(picture, self.captions[moment.step], self._band, self.mood)


def shot_of(
    course: BuildingCourse,
    steps: Sequence[int],
    count: int,
    pace: tuple[float, float],
    size: Size,
    **settings: Any,
) -> Building:
    """The shot of some steps of a course.

    Parameters
    ----------
    steps : their places in the course, from 0.
    count : of all steps that the guide has.
    pace : seconds that each step takes, and frames per second.
    size : width and height, pixels.
    settings : mood, engine and quality of the `Building`.
    """
    line = timeline(course, steps, *pace)
    captions = tuple(
        tuple(filter(None, (f"{step.number} of {count}", step.words.title, step.advice)))
        for step in course.steps
    )
    width, height = size
    aspect = width / (height - band_height(size, captions))
    return Building(course, line, captions, cameras(course, line, aspect), size, **settings)


def text_size(size: Size) -> int:
    """Of captions on a picture of a size, pixels."""
    return max(_LEAST, round(_TEXT * min(size)))


def band_height(size: Size, captions: tuple[tuple[str, ...], ...]) -> int:
    """Of the band that holds every caption of a film, pixels; the picture over it is even."""
    text = text_size(size)
    lines = max(len(_wrapped(caption, text, size[0])) for caption in captions)
    band = round((lines * _LINE + 2 * _EDGE) * text)
    return band + (size[1] - band) % 2


def _wrapped(caption: tuple[str, ...], text: int, width: int) -> list[tuple[str, bool]]:
    """Lines of a caption, and whether they are bold."""
    from ..drawing import lettering

    room = width - 2 * _EDGE * text
    return [
        (line, row == 0)
        for row, sentence in enumerate(caption)
        for line in broken(sentence, room, partial(lettering.width, size=text, bold=row == 0))
        if line
    ]


def captioned(
    picture: np.ndarray, caption: tuple[str, ...], band: int, mood: str | Mood
) -> np.ndarray:
    """A picture with a caption in a band under it, where no paper can be."""
    from PIL import Image

    from ..drawing import lettering

    height, width = picture.shape[:2]
    ground = mood_of(mood).table
    text = text_size((width, height + band))
    image = Image.new("RGB", (width, height + band), ground)
    image.paste(Image.fromarray(picture), (0, 0))
    ink = lettering.ink_on(ground)
    base = height + _EDGE * text + 0.8 * text
    for line, bold in _wrapped(caption, text, width):
        lettering.write(image, line, (_EDGE * text, base), text, ink, bold)
        base += _LINE * text
    return np.asarray(image)
