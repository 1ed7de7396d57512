"""What happens while a hand pulls at the paper in the page: one answer for each place of the hand.

The page says what is held, where the eye is and where the hand; the answer says which numbers could
follow, what the one that does has become, and how everything that it moves lies now. Nothing is
written here: on letting go the page asks for an edit like any other.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, Any

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from meshes.measure import Units
from meshes.motion.memory import Memory
from meshes.pull.choose import (
    Pull,
    Ray,
    Reached,
    Tug,
    edit_path,
    grid,
    numbers,
    poor,
    pulls,
    ranked,
)
from meshes.pull.hold import Hold, HoldError, Posture, take_hold
from meshes.pull.sketch import Sketch
from preview.errors import UseError

from .payload import facet_data

Json = dict[str, Any]

# Numbers that Tab goes through, and holds and numbers that are kept warm. Our choice.
_OFFERED, _HOLDS, _TUGS = 12, 4, 24
# How long a request waits for the one before it, s. Our choice.
_PATIENCE_S = 10.0

_Finite = Annotated[float, Field(allow_inf_nan=False, ge=-1e6, le=1e6)]
_Point = tuple[_Finite, _Finite, _Finite]
_Name = Annotated[str, Field(max_length=200)]


class PullRequest(BaseModel):
    """A request of the page, lengths in mm as the spread stands unlifted.

    Parameters
    ----------
    made : which state of the design the page shows.
    piece, body, local : what is held: a point in the coordinates of a body.
    opening : degrees.
    shares : of what a hand moves.
    eye, target : the line of sight through the hand; both left out, nothing is pulled yet.
    path : of the number that is to follow; left out, the best is chosen.
    value : what it is to be, in the unit of the file or degrees, instead of following the hand.
    fine : finer steps than whole millimetres and degrees.
    further : numbers of what the piece stands on are wanted as well.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    made: _Name
    piece: _Name
    body: _Name
    local: _Point
    opening: Annotated[float, Field(ge=0, le=180)]
    shares: Annotated[dict[_Name, Annotated[float, Field(ge=0, le=1)]], Field(max_length=200)] = (
        Field(default_factory=dict)
    )
    eye: _Point | None = None
    target: _Point | None = None
    path: Annotated[tuple[_Name, ...], Field(max_length=12)] | None = None
    value: _Finite | None = None
    fine: bool = False
    further: bool = False


@dataclass
class _Warm:
    """What is known of one held point.

    Attributes
    ----------
    own, others : what the numbers of the piece do, and those of what it stands on, once asked for.
    tugs : numbers that have been pulled at, by path.
    """

    hold: Hold
    own: list[Pull]
    others: list[Pull] | None = None
    tugs: OrderedDict[tuple[str, ...], Tug] = field(default_factory=OrderedDict)

    def known(self, further: bool) -> list[Pull]:
        """All numbers that move the held point, as far as they are asked for."""
        if further and self.others is None:
            self.others = list(pulls(self.hold, numbers(self.hold)[1]))
        return [*self.own, *(self.others or [])]

    def tug(self, pull: Pull) -> Tug:
        """The one that pulls at a number, with what it found before."""
        key = tuple(edit_path(pull.number.path))
        if key not in self.tugs:
            self.tugs[key] = Tug(self.hold, pull)
        self.tugs.move_to_end(key)
        while len(self.tugs) > _TUGS:
            self.tugs.popitem(last=False)
        return self.tugs[key]


class Puller:
    """Answers the page while a hand pulls; it keeps what it finds until the design changes."""

    def __init__(self) -> None:
        self._busy = threading.Lock()
        self._sketch: Sketch | None = None
        self._made, self._memory = "", Memory()
        self._holds: OrderedDict[str, _Warm] = OrderedDict()

    def show(self, made: str, sketch: Sketch, memory: Memory) -> None:
        """Take another state of the design.

        Parameters
        ----------
        made : its name.
        memory : of a solve of it, for this alone.
        """
        with self._busy:
            self._made, self._sketch, self._memory = made, sketch, memory
            self._holds.clear()

    def answer(self, data: bytes) -> Json:
        """Answer one request.

        Raises
        ------
        UseError
            If it can't be answered; a sentence for a person.
        """
        try:
            asked = PullRequest.model_validate_json(data)
        except ValidationError:
            raise UseError("this is no request that the page makes") from None
        if not self._busy.acquire(timeout=_PATIENCE_S):
            raise UseError("too much is asked at once")
        try:
            return self._answer(asked)
        except HoldError as error:
            raise UseError(str(error)) from None
        finally:
            self._busy.release()

    def _answer(self, asked: PullRequest) -> Json:
        if self._sketch is None or asked.made != self._made:
            raise UseError("the design has changed meanwhile")
        warm = self._warm(self._sketch, asked)
        ray = _ray(asked, warm.hold)
        found = ranked(warm.hold, warm.known(asked.further), ray)
        if poor(found) and asked.target is not None:
            found = ranked(warm.hold, warm.known(True), ray)
        offered = [pull for score, pull in found if np.isfinite(score)][:_OFFERED]
        units = self._sketch.units
        answer: Json = {
            "keys": [_described(warm.hold.sketch, pull, units, asked.fine) for pull in offered],
            "held": warm.hold.place.tolist(),
        }
        pull = _chosen([pull for _, pull in found], offered, asked.path)
        if pull is None or (asked.target is None and asked.value is None):
            return answer
        tug = warm.tug(pull)
        reached = tug.exactly(asked.value) if asked.value is not None else tug.to(ray, asked.fine)
        return {**answer, **_moved(warm.hold, pull, reached)}

    def _warm(self, sketch: Sketch, asked: PullRequest) -> _Warm:
        what = asked.model_dump_json(include={"piece", "body", "local", "opening", "shares"})
        if what not in self._holds:
            hold = take_hold(
                sketch,
                self._memory,
                float(np.radians(asked.opening)),
                asked.shares,
                asked.piece,
                asked.body,
                asked.local,
            )
            self._holds[what] = _Warm(hold, list(pulls(hold, numbers(hold)[0])))
        self._holds.move_to_end(what)
        while len(self._holds) > _HOLDS:
            self._holds.popitem(last=False)
        return self._holds[what]


def _ray(asked: PullRequest, hold: Hold) -> Ray:
    """The line of sight; before anything is pulled, one from above through what is held."""
    if asked.eye is None or asked.target is None:
        return Ray(hold.place + np.array([0.0, 0.0, 1000.0]), hold.place)
    eye, target = np.array(asked.eye), np.array(asked.target)
    if np.linalg.norm(target - eye) < 1e-6:
        raise UseError("the eye is where the hand is")
    return Ray(eye, target)


def _chosen(found: list[Pull], offered: list[Pull], path: tuple[str, ...] | None) -> Pull | None:
    if path is None:
        return offered[0] if offered else None
    for pull in found:
        if tuple(edit_path(pull.number.path)) == path:
            return pull
    raise UseError(f"{'.'.join(path)} does not move what is held")


def _described(sketch: Sketch, pull: Pull, units: Units, fine: bool) -> Json:
    """A number as the page names it, with what else it would change."""
    number = pull.number
    low, high = number.limits(units)
    changed = sorted(sketch.changed_by(number))
    what = number.bounds.what
    return {
        "path": edit_path(number.path),
        "value": round(pull.value, 6),
        "unit": {"length": units.length, "angle": "°", "number": ""}[what],
        "low": low if np.isfinite(low) else None,
        "high": high if np.isfinite(high) else None,
        "step": grid(number, units, fine),
        "given": number.given,
        "expression": number.expression,
        "through": edit_path(number.through) if number.through else None,
        "pieces": changed,
    }


def _moved(hold: Hold, pull: Pull, reached: Reached) -> Json:
    """What a number has become, and how all that it moves lies now."""
    return {
        "path": edit_path(pull.number.path),
        "value": reached.value,
        "stopped": reached.stopped,
        "place": reached.place.tolist(),
        "bodies": list(_poses(reached.pose)),
        "facets": list(_facets(hold.pose, reached.pose)),
    }


def _poses(posture: Posture) -> Iterator[Json]:
    """Every body but the pages, by name, with its pose as a 4 × 4 matrix by columns, mm."""
    bodies, matrices = posture.spread.linkage.bodies, posture.motion.matrices[0]
    for body, matrix in zip(bodies[2:], matrices[2:], strict=True):
        yield {"name": body.name, "matrix": np.round(matrix.T.ravel(), 9).tolist()}


def _facets(before: Posture, after: Posture) -> Iterator[Json]:
    """Facets that are cut or lie otherwise than before, each with the body and sheet it is of."""
    sheets = {(s.piece, s.name): k for k, s in enumerate(before.spread.sheets)}
    for body in after.spread.linkage.bodies:
        for part in body.parts:
            known = before.places.get(part.id)
            if part.sheet.piece == "page":
                continue
            if known is not None and known[1].facet is part.facet:
                continue
            number = sheets.get((part.sheet.piece, part.sheet.name))
            if number is not None:
                height = part.height if known is None else known[1].height
                data = facet_data(part, number, height)
                yield {"body": body.name, "facet": data}
