"""Where a camera stands: at a view that every design has, or at one that a design names itself."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from preview.errors import UseError

from .camera import VIEWS, Camera, View

if TYPE_CHECKING:
    from meshes.design.shots import ShotSettings
    from preview.drawing.extent import InSight

# Around a piece that the camera comes close to, share of the picture. Our choice.
CLOSE_MARGINS = (0.16, 0.16)


def known_view(name: str, shots: Iterable[str]) -> str:
    """The name of a view, if there is one of that name.

    Parameters
    ----------
    shots : names that the design gives to shots; each is a view as well.

    Raises
    ------
    UseError
        If there is none.
    """
    names = [*VIEWS, *shots]
    if name in names:
        return name
    near = difflib.get_close_matches(name, names, 1)
    meant = f"did you mean {near[0]}? " if near else ""
    own = "" if len(names) > len(VIEWS) else "; this design has no [shots] that name others"
    raise UseError(f"there is no view {name!r}; {meant}views: {', '.join(names)}{own}")


def camera_of(shot: ShotSettings) -> Camera | None:
    """The camera of a shot that has a place of its own; None where a view has to be framed."""
    if shot.eye is None or shot.target is None:
        return None
    return Camera(shot.eye, shot.target, shot.field)


def standing(
    name: str, shots: Mapping[str, ShotSettings], scenes: Sequence[InSight], aspect: float
) -> Camera:
    """The camera of a view; one without a place of its own has all scenes in its picture.

    Parameters
    ----------
    name : in `VIEWS`, or of a shot of the design.
    aspect : width over height of the picture.

    Raises
    ------
    UseError
        If there is no such view.
    """
    if known_view(name, shots) in VIEWS:
        return _framed(VIEWS[name], scenes, aspect)
    shot = shots[name]
    kept = camera_of(shot)
    if kept is not None:
        return kept
    if shot.piece is None:
        return _framed(VIEWS[shot.view], scenes, aspect)
    points = points_of(scenes, frozenset({shot.piece}))
    return VIEWS[shot.view].frame(points, aspect, CLOSE_MARGINS)


def _framed(view: View, scenes: Sequence[InSight], aspect: float) -> Camera:
    """The camera of a view with what it is about in its picture over some scenes."""
    return view.frame(points_of(scenes, about_view(view, scenes)), aspect)


def about_view(view: View, scenes: Sequence[InSight]) -> frozenset[str] | None:
    """The pieces that a view has in its picture; None if it has everything."""
    from ..drawing.visible import pieces_of

    if not view.is_close:
        return None
    names = {name for scene in scenes for name in pieces_of(scene, standing=True)[0]}
    return frozenset(names) or None


def points_of(scenes: Sequence[InSight], about: frozenset[str] | None = None) -> np.ndarray:
    """Corners of everything, or of some pieces, over some scenes, shape (n, 3), mm."""
    if about is None:
        return np.concatenate([scene.points for scene in scenes])
    return np.concatenate(
        [
            surface.corners
            for scene in scenes
            for surface in scene.surfaces
            if surface.name.partition(".")[0] in about
        ]
    )
