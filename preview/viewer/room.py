"""Whether a piece has room where a hand lays it, and which places could take it at all.

A piece is tried with what carries it: built, solved through the whole opening and checked. Where
its paper comes near that of other pieces, these are tried with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely

from meshes.check import Limits, case_of, report
from meshes.errors import DesignError
from meshes.linkage import Linkage, Part
from meshes.measure import Units
from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.pieces import KINDS
from meshes.pieces.piece import Piece
from meshes.pull.sketch import carrying
from meshes.site import CreaseSite
from meshes.spread import Spread, build, hosts_of

Json = dict[str, Any]

# At how many openings paper is looked at for what comes near it; and how near that is, mm, which is
# more than an arc of 200 mm bulges between two of them. Our choice.
_LOOKS = np.radians(np.arange(0.0, 181.0, 7.5))
_NEAR_MM = 3.0
# The shortest crease and the least round place that could take a piece, mm: our choice, of which
# the smallest pieces of the drawer need about half.
_LEAST_CREASE, _LEAST_ROUND = 16.0, 6.0
# Free paper that gets past other paper only with much leading has no good place, and a hand waits
# for the answer: of the usual work a trial spends no more than this. Our choice.
_PATIENCE = 0.02


@dataclass(frozen=True)
class Vacancy:
    """A crease or facet that could take a piece.

    Parameters
    ----------
    body : that carries it, or its left half.
    line : from where to where a crease runs, in the coordinates of that body, mm; None for a facet.
    """

    on: str
    body: str
    line: tuple[tuple[float, float], tuple[float, float]] | None = None

    def told(self) -> Json:
        """The place as a page is told of it."""
        return {"on": self.on, "body": self.body, "line": self.line}


class Room:
    """The room that the pieces of a spread leave to another one.

    Parameters
    ----------
    strict : what the check only warns of is trouble too.
    heed : called again and again while a piece is tried; what it raises ends the trial.
    """

    def __init__(
        self, spread: Spread, *, strict: bool = False, heed: Callable[[], None] = lambda: None
    ) -> None:
        self.spread, self._memory, self._heed = spread, Memory(_PATIENCE, heed), heed
        self._trouble = ("problem", "warning") if strict else ("problem",)
        self._had: dict[frozenset[str], frozenset[frozenset[str]]] = {}

    @cached_property
    def _boxes(self) -> Mapping[str, np.ndarray]:
        motion = self.spread.solve(_LOOKS, memory=self._memory)
        return _boxes(self.spread.linkage, motion)

    def trouble(self, name: str, table: Mapping[str, Any]) -> str:
        """Why a piece would not do; empty if it closes flat, stays inside and hits nothing.

        Parameters
        ----------
        table : as in a design, in mm and degrees.
        """
        pieces = self.spread.design.pieces
        try:
            folder = Path(self.spread.design.file).parent
            piece = KINDS[table["kind"]].model_validate(table, context=Units(folder=folder))
            hosts = {*carrying(pieces, [piece]), *self._flyleaves}
            alone = self._among(name, piece, hosts)
            if found := self._problem(alone, name):
                return found
            self._heed()
            boxes = _boxes(alone.linkage, alone.solve(_LOOKS, memory=self._memory))
            near = self._near(boxes[name]) - hosts
            if not near:
                return ""
            known = carrying(pieces, [pieces[one] for one in near])
            among = self._among(name, piece, {*hosts, *near, *known})
            return self._problem(among, name, makeable=False)
        except DesignError as error:
            return error.mistakes[0].problem
        except ValueError as error:  # the model refuses the numbers
            return str(error).splitlines()[0]

    @cached_property
    def _flyleaves(self) -> frozenset[str]:
        """Flyleaves, which part the opening for all."""
        pieces = self.spread.design.pieces
        return frozenset(name for name, piece in pieces.items() if piece.kind == "flyleaf")

    def _among(self, name: str, piece: Piece, others: set[str]) -> Spread:
        """A spread of a piece and some others alone."""
        design = self.spread.design
        pieces = {k: v for k, v in design.pieces.items() if k in others} | {name: piece}
        return build(replace(design, pieces=pieces), self.spread)

    def _problem(self, spread: Spread, name: str, *, makeable: bool = True) -> str:
        """The first problem that a piece has or brings; how it looks from far is none."""
        own = spread.design.check
        limits = own.model_copy(update={"looks": False, "makeable": makeable and own.makeable})
        found = self._problems(spread, limits)
        known = frozenset(spread.design.pieces) - {name}
        for concerned, text in found:
            if name in concerned or concerned not in self._before(known):
                return text
        return ""

    def _problems(self, spread: Spread, limits: Limits) -> list[tuple[frozenset[str], str]]:
        """Every problem, with the pieces that it concerns."""
        self._heed()
        case = case_of(spread, memory=self._memory)
        return [
            (frozenset({one.piece, *(part.partition(".")[0] for part in one.parts)}), one.text)
            for one in report(case, limits, trims=False).findings
            if one.severity in self._trouble
        ]

    def _before(self, known: frozenset[str]) -> frozenset[frozenset[str]]:
        """Which pieces have a problem already without the new one."""
        if known not in self._had:
            design = self.spread.design
            pieces = {k: v for k, v in design.pieces.items() if k in known}
            without = build(replace(design, pieces=pieces), self.spread)
            limits = design.check.model_copy(update={"looks": False})
            found = self._problems(without, limits)
            self._had[known] = frozenset(concerned for concerned, _ in found)
        return self._had[known]

    def _near(self, boxes: np.ndarray) -> set[str]:
        """Pieces whose paper comes near that of another one at some opening."""
        return {name for name, others in self._boxes.items() if _meet(boxes, others)}


def _boxes(linkage: Linkage, motion: Motion) -> dict[str, np.ndarray]:
    """The box of each piece's paper from each opening to the next.

    Returns
    -------
    Corners, shape (S - 1, 2, 3): least and largest x, y, z, mm; NaN where nothing is solved.
    """
    found: dict[str, list[np.ndarray]] = {}
    for k, body in enumerate(linkage.bodies):
        for part in body.parts:
            if part.sheet.piece == "page":
                continue
            corners = shapely.get_coordinates(part.polygon.exterior)
            local = np.column_stack([corners, np.full(len(corners), part.height)])
            places = local @ motion.rotations[:, k].swapaxes(1, 2)
            places += motion.translations[:, k, None]
            found.setdefault(part.sheet.piece, []).append(places)
    boxes = {}
    for name, parts in found.items():
        points = np.concatenate(parts, axis=1)
        low, high = points.min(axis=1), points.max(axis=1)
        low, high = np.fmin(low[:-1], low[1:]), np.fmax(high[:-1], high[1:])
        boxes[name] = np.stack([low, high], axis=1)
    return boxes


def _meet(one: np.ndarray, two: np.ndarray) -> bool:
    low = np.maximum(one[:, 0], two[:, 0])
    high = np.minimum(one[:, 1], two[:, 1])
    return bool((high - low > -_NEAR_MM).all(axis=1).any())


def places(spread: Spread, stands: Literal["crease", "facet", "gutter"]) -> Iterator[Vacancy]:
    """Where a piece could be laid: creases that move, or facets, that are not too small."""
    parts = {part.id: (body.name, part) for body in spread.linkage.bodies for part in body.parts}
    hosts = hosts_of(spread)
    if stands == "facet":
        for name, (_, facet) in hosts.facets.items():
            circle = shapely.maximum_inscribed_circle(facet.polygon, tolerance=1.0)
            if name in parts and shapely.length(circle) >= _LEAST_ROUND:
                yield Vacancy(name, parts[name][0])
        return
    names: Iterable[str] = {**hosts.creases, **hosts.sites} if stands == "crease" else ["gutter"]
    for name in names:
        place = _crease(hosts.crease(name), parts)
        if place is not None:
            yield place


def _crease(site: CreaseSite, parts: Mapping[str, tuple[str, Part]]) -> Vacancy | None:
    """A crease with its ends, unless it is too short or does not move."""
    if site.length < _LEAST_CREASE or not {site.left.facet, site.right.facet} <= parts.keys():
        return None
    body, part = parts[site.left.facet]
    if body == parts[site.right.facet][0]:
        return None
    ends = site.left.placement.apply([(0.0, 0.0), (0.0, site.length)])
    (x0, y0), (x1, y1) = np.round(part.placement.apply(ends), 2).tolist()
    name = "gutter" if site.name == "page.gutter" else site.name
    return Vacancy(name, body, ((x0, y0), (x1, y1)))
