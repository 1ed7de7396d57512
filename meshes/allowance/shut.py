"""What lies in a fold that shuts over it, and how far from the fold it must end.

In the closed spread every fold that has shut lies round whatever is between its two leaves. A sheet
without thickness finds room for that right up to the fold; a stack of thickness g does not. Round a
stack that ends squarely, a leaf turns in a half circle of diameter g, as in a bend whose inner
radius is g / 2, and takes pi g / 2 of paper for it, pi g / 4 of each leaf (the arc of a bend,
(R + K T) times its angle in any handbook of sheet metal, with R = g / 2; the rest, K T times the
angle, the bare fold has as well, and scoring takes it up). Paper is not stretched: whatever is
between the leaves must leave as much free beside the fold.

::

    ---------- leaf ------.
    =================      )     g: thickness of what lies between
    =================      ) fold     the stack ends pi g / 4 before
    =================      )     where the fold is in the design
    ---------- leaf ------'

For sheets that are nested round a common fold this gives each the pi t / 2 a leaf that its parallel
curve is longer than that of the sheet inside of it (Steiner's formula; half a turn). A fold pressed
square instead of round asks g / 2 of each leaf, the least that there is at all, and mitred corners
would ask for more than the half circle does; so round is what card can do without being crushed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPoint, Polygon

from meshes.linkage import Hinge, Linkage, Part
from meshes.motion.result import Motion

# Openings to solve: closed, and ajar, where layers have parted but lie where they come to rest.
# Our choice.
CLOSING_DEG = (0.0, 1.0)
# A fold and an edge cut by hand are so far from where they ought to be, each by one standard
# deviation of 0.3 mm, as in `check --exact` (common practice, no source): what must give way by
# less is not worth a cut.
LEAST_MM = 0.3 * np.sqrt(2.0)
# So much longer a way paper gives on one side of a fold, half of what it gives in all (0.3 mm, as
# in `check --exact`; common practice, no source).
_GIVE_MM = 0.15
_SHUT_RAD = 0.05  # our choice: folds nearer to half a turn lie round what is between their leaves
_SHARE = 1e-3  # our choice: as finely as it is found how far layers draw back
# Sections are looked at so far from each other and from the ends of a fold; what is too thick in
# one of them only, a mere corner, presses flat. Our choice.
_STEP_MM = 1.0
_PAST_MM = 0.05  # our choice: strips reach so far past the ends of their fold
_SAME_PLANE_MM = 1e-7  # our choice: nearer layers have no order
_COMMON_MM2 = 0.05  # our choice: layers that share less do not count
_NEAR_MM = 1.0  # our choice: the order of layers counts where they are nearest to the fold
_LEAST_CUT_MM = 1e-3  # our choice: nor do sections shorter than this
_IN_GUTTER_MM = 0.5  # our choice: a fold nearer to the gutter goes through it
_BEYOND_MM = 0.5  # our choice: a strip reaches so far over its fold, for what ends on it


@dataclass(frozen=True)
class Pinch:
    """A facet that ends too near to a fold that shuts over it.

    Parameters
    ----------
    facet : ``piece.facet``, between the leaves.
    fold : ``piece.fold`` that shuts.
    leaves : ids of the facets beside that fold.
    strip : what it must leave free, in the coordinates of its own sheet, mm.
    depth : how much of it lies in there, across the fold, mm.
    keep : width of the strip, mm.
    stack : thickness of all that lies between the leaves there, mm.
    layers : count of these.
    """

    facet: str
    fold: str
    leaves: tuple[str, str]
    strip: Polygon
    depth: float
    keep: float
    stack: float
    layers: int


def room(ends: np.ndarray, calipers: np.ndarray) -> np.ndarray:
    """How far from a fold each layer between its leaves must end.

    Each stack of layers, from the one that reaches nearest to the fold on, needs pi / 4 of its
    thickness. Where a thicker stack ends farther back and the leaf, going straight from corner to
    corner of that stair, would have a longer way than there is paper and than paper gives, the thin
    layers draw back towards the half circle round the end of the thick stack, as far as it takes.

    Parameters
    ----------
    ends : distances from the fold at which layers end, shape (n,), mm, ascending.
    calipers : their thicknesses, shape (n,), mm.

    Returns
    -------
    Distances, shape (n,), mm; those that are fine as they are come back as they came.
    """
    stacks = np.cumsum(calipers)
    found = room_of_free(ends, calipers)
    for k in range(len(found) - 1, 0, -1):
        if _way_round(found[: k + 1], stacks[: k + 1]) > found[k] + _GIVE_MM:
            found[:k] = _drawn_back(found[: k + 1], stacks[: k + 1])
    return found


def room_of_free(ends: np.ndarray, calipers: np.ndarray) -> np.ndarray:
    """The same between leaves that are held by their fold alone, as pages are by their gutter.

    Where their way round a stair of layers is longer than there is paper, they draw in all that is
    glued on them alike, as the fore edge shows; only what is nearest to the fold has nowhere to go.
    """
    stacks = np.cumsum(calipers)
    found = np.array(ends, float)
    short = np.flatnonzero(found < np.pi / 4 * stacks - 1e-9)
    if len(short):
        found[: short[-1] + 1] = np.maximum(found[: short[-1] + 1], np.pi / 4 * stacks[short[-1]])
    return found


def _drawn_back(ends: np.ndarray, stacks: np.ndarray) -> np.ndarray:
    """The least ends of all layers but the last with which the way round all is short enough."""
    nose = ends[-1] - np.sqrt(stacks[-1] ** 2 - stacks[:-1] ** 2) / 2
    low, high = 0.0, 1.0
    while high - low > _SHARE:
        middle = (low + high) / 2
        tried = np.append(np.maximum(ends[:-1], middle * nose), ends[-1])
        short = _way_round(tried, stacks) <= ends[-1] + _GIVE_MM
        low, high = (low, middle) if short else (middle, high)
    return np.maximum(ends[:-1], high * nose)


def _way_round(ends: np.ndarray, stacks: np.ndarray) -> float:
    """The shortest way of a leaf round a stair of layers, from its last step to the middle, mm."""
    corners = np.column_stack([np.r_[ends, ends], np.r_[stacks, -stacks] / 2])
    hull = MultiPoint(corners).convex_hull
    if isinstance(hull, Polygon):
        return float(hull.length - stacks[-1]) / 2
    return float(stacks[-1]) / 2


def pinches(
    linkage: Linkage,
    motion: Motion,
    outlines: Mapping[str, Polygon],
    wider: Mapping[str, float],
) -> Iterator[Pinch]:
    """All facets that end too near to a fold that shuts over them, or to the gutter.

    Parameters
    ----------
    motion : at the openings of :data:`CLOSING_DEG`, all solved.
    outlines : of the facets as they are cut, by id, where they lie in their sheets as designed.
    wider : how far folds have been moved out of their facets already, by ``piece.fold``, mm.
    """
    closed = _Closed(linkage, motion, outlines)
    for number, hinge in enumerate(linkage.hinges):
        if np.pi - abs(motion.angles[0, number]) < _SHUT_RAD:
            yield from closed.pinched(hinge, wider.get(hinge.name, 0.0))
    yield from closed.in_gutter()


@dataclass(frozen=True)
class _Shut:
    """A fold that has shut, in the closed plane, mm.

    Parameters
    ----------
    start, along, into : where it starts, and unit vectors along it and to its leaves, shape (2,).
    wider : how far it was moved out already.
    free : its leaves are held by nothing else.
    """

    name: str
    leaves: tuple[str, str]
    start: np.ndarray
    along: np.ndarray
    into: np.ndarray
    length: float
    wider: float = 0.0
    free: bool = False


class _Closed:
    """The closed spread: outlines in its plane, as (distance from the gutter, y), and their order.

    Attributes
    ----------
    flat : outlines by id of the facets, mm.
    angle : of the folds that can move, by ``piece.fold``, radians.
    """

    def __init__(self, linkage: Linkage, motion: Motion, outlines: Mapping[str, Polygon]) -> None:
        self.linkage, self.motion = linkage, motion
        self.body: dict[str, int] = {}
        self.part: dict[str, Part] = {}
        self.flat: dict[str, Polygon] = {}
        for k, body in enumerate(linkage.bodies):
            for part in [p for p in body.parts if p.sheet.piece != "page"]:
                self.body[part.id], self.part[part.id] = k, part
                lying = part.placement.polygon(outlines[part.id])
                laid = shapely.transform(lying, lambda at, k=k: self._laid(k, at))
                self.flat[part.id] = shapely.make_valid(laid)
        self.angle = {
            h.name: float(a) for h, a in zip(linkage.hinges, motion.angles[0], strict=True)
        }
        self.ids = list(self.flat)
        self.tree = shapely.STRtree([self.flat[name] for name in self.ids])

    def _laid(self, body: int, points: np.ndarray) -> np.ndarray:
        turn, shift = self.motion.rotations[0, body], self.motion.translations[0, body]
        return np.asarray((points @ turn[:, :2].T + shift)[:, [2, 1]])

    def _unlaid(self, facet: str, points: np.ndarray) -> np.ndarray:
        """Points of the closed plane, shape (n, 2), in the coordinates of a facet's sheet."""
        body = self.body[facet]
        turn, shift = self.motion.rotations[0, body], self.motion.translations[0, body]
        world = np.column_stack([np.zeros(len(points)), points[:, 1], points[:, 0]])
        return self.part[facet].placement.inverse().apply(((world - shift) @ turn)[:, :2])

    def _side(self, facet: str, other: str, place: np.ndarray) -> float:
        """+1 if a facet lies right of another at a place of the closed plane, -1 left of it."""
        if self.body[facet] == self.body[other]:
            normal = self.motion.rotations[1, self.body[facet], 0, 2]
            return float(np.sign((self.part[facet].height - self.part[other].height) * normal))
        apart = self._ajar(facet, place) - self._ajar(other, place)
        return float(np.sign(apart)) if abs(apart) > _SAME_PLANE_MM else 0.0

    def _ajar(self, facet: str, place: np.ndarray) -> float:
        """How far right what lies at a place of the closed plane is when it stands ajar, mm."""
        body = self.body[facet]
        turns, shifts = self.motion.rotations[:, body], self.motion.translations[:, body]
        own = (np.array([0.0, place[1], place[0]]) - shifts[0]) @ turns[0]
        return float((turns[1] @ np.array([own[0], own[1], 0.0]) + shifts[1])[0])

    def pinched(self, hinge: Hinge, wider: float) -> Iterator[Pinch]:
        """What ends too near to a fold that has shut, and was moved out by `wider`, mm."""
        if not set(hinge.facets) <= set(self.flat) or hinge.length < 2 * _STEP_MM:
            return
        start, along, into = self._line(hinge)
        fold = _Shut(hinge.name, hinge.facets, start, along, into, hinge.length, wider)
        end, reach = start + hinge.length * along, self._reach
        zone = Polygon([start, end, end + reach * into, start + reach * into])
        leaves = [self._leaf(name) for name in hinge.facets]
        yield from self._strips(fold, self._between(leaves, zone, LineString([start, end])))

    def in_gutter(self) -> Iterator[Pinch]:
        """What ends too near to the gutter, between the pages.

        Sheets that go through the gutter are judged at their own folds there, and do not count.
        """
        through = self._through_gutter()
        names = [n for n in self.ids if n not in through and self.flat[n].bounds[0] < self._reach]
        if not names:
            return
        bounds = np.array([self.flat[name].bounds for name in names])
        foot, head = bounds[:, 1].min(), bounds[:, 3].max()
        up, out = np.array([0.0, 1.0]), np.array([1.0, 0.0])
        pages = ("page.left", "page.right")
        fold = _Shut("page.gutter", pages, foot * up, up, out, float(head - foot), free=True)
        # Flyleaves are pages too: each gap between two pages is a gutter of its own.
        gaps: dict[tuple[float, ...], list[str]] = {}
        for name in names:
            spot = shapely.get_coordinates(self.flat[name].representative_point())[0]
            gap = tuple(self._side(name, leaf, spot) for leaf in self._flyleaves)
            gaps.setdefault(gap, []).append(name)
        for between in gaps.values():
            yield from self._strips(fold, self._layers(between))

    @cached_property
    def _flyleaves(self) -> list[str]:
        """Facets of the notebook's further leaves."""
        return [drive.join.facet for drive in self.linkage.drives if drive.kind == "flyleaf"]

    def _through_gutter(self) -> set[str]:
        """Facets of sheets that have a fold in the gutter, and flyleaves, hinged in it."""
        found = set(self._flyleaves)
        for hinge in self.linkage.hinges:
            if set(hinge.facets) <= set(self.flat):
                start, along, _ = self._line(hinge)
                ends = np.array([start, start + hinge.length * along])
                if np.abs(ends[:, 0]).max() < _IN_GUTTER_MM:
                    sheet = self.part[hinge.facets[0]].sheet
                    found |= {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}
        return found

    @cached_property
    def _reach(self) -> float:
        """As far from a fold as all paper there is could ask for, mm."""
        return float(np.pi / 4 * sum(part.sheet.paper.caliper for part in self.part.values()))

    def _strips(self, fold: _Shut, between: Sequence[Sequence[str]]) -> Iterator[Pinch]:
        """What the layers between the leaves of a fold must leave free beside it."""
        names = [name for layer in between for name in layer]
        calipers = np.array([self.part[layer[0]].sheet.paper.caliper for layer in between])
        if np.pi / 4 * calipers.sum() < LEAST_MM or fold.length < 2 * _STEP_MM:
            return
        start, along, into, wider = fold.start, fold.along, fold.into, fold.wider
        of_layer = np.repeat(np.arange(len(between)), [len(layer) for layer in between])
        count = int((fold.length - 2 * _STEP_MM) / _STEP_MM) + 2
        far = np.linspace(_STEP_MM, fold.length - _STEP_MM, count)
        feet = start + far[:, None] * along
        found: dict[str, _Need] = {}
        before: dict[int, _Need] = {}
        sections = _ends([self.flat[name] for name in names], feet, self._reach * into)
        for at, ends in zip(far, sections, strict=True):
            here = dict(_needs(float(at), ends + wider, of_layer, calipers, fold.free))
            for k in before.keys() & here.keys():
                worst = here[k].or_worse(before[k])
                found[names[k]] = worst.or_worse(found.get(names[k], worst))
            before = here
        for name, need in found.items():
            first, last = need.span[0] - _STEP_MM - _PAST_MM, need.span[1] + _STEP_MM + _PAST_MM
            deep = (need.keep - wider) * into
            low, high = start + first * along, start + last * along
            back = _BEYOND_MM * into
            corners = np.array([low - back, high - back, high + deep, low + deep])
            strip = shapely.orient_polygons(Polygon(self._unlaid(name, corners)))
            yield Pinch(
                name, fold.name, fold.leaves, strip, need.deep, need.keep, need.stack, need.layers
            )

    def _line(self, hinge: Hinge) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Start of a fold in the closed plane, its direction, and the way into its leaves."""
        body = hinge.bodies[0]
        ends = hinge.origins[0] + np.outer([0.0, hinge.length], hinge.frames[0][:, 0])
        start, end = self._laid(body, ends[:, :2])
        along = (end - start) / np.linalg.norm(end - start)
        into = np.array([-along[1], along[0]])
        # Facet 0 lies left of the fold, seen from its printed face, which may look either way.
        left = self._laid(body, (ends[0] + hinge.frames[0][:, 1])[None, :2])[0] - start
        return start, along, into * (1.0 if left @ into > 0 else -1.0)

    def _leaf(self, facet: str) -> list[str]:
        """A facet and those of its sheet that lie flat beside it, and so lie on with it."""
        sheet, found = self.part[facet].sheet, [facet]
        for name in found:
            own = name.partition(".")[2]
            for crossing in [c for c in sheet.crossings if own in (c.left, c.right)]:
                beyond = crossing.right if crossing.left == own else crossing.left
                flat = abs(self.angle.get(f"{sheet.piece}.{crossing.fold.name}", 0.0)) < _SHUT_RAD
                if flat and f"{sheet.piece}.{beyond}" not in found:
                    found.append(f"{sheet.piece}.{beyond}")
        return found

    def _between(
        self, leaves: Sequence[Sequence[str]], zone: Polygon, line: LineString
    ) -> list[list[str]]:
        """Layers between the leaves of a fold where these lie on each other beside it."""
        ones, twos = ([(n, self.flat[n].intersection(zone)) for n in leaf] for leaf in leaves)
        own = {name for leaf in leaves for name in leaf}
        common = shapely.union_all([shape for _, shape in ones]).intersection(
            shapely.union_all([shape for _, shape in twos])
        )
        found = []
        for k in np.sort(self.tree.query(common, predicate="intersects")):
            name = self.ids[k]
            shared = self.flat[name].intersection(common)
            if name in own or shared.area < _COMMON_MM2:
                continue
            near = line.buffer(shared.distance(line) + _NEAR_MM)
            spot = shared.intersection(near).representative_point()
            one, two = (min(side, key=lambda s: s[1].distance(spot))[0] for side in (ones, twos))
            place = shapely.get_coordinates(spot)[0]
            way = self._side(two, one, place)
            if way and self._side(name, one, place) == way == self._side(two, name, place):
                found.append(name)
        return self._layers(found)

    def _layers(self, names: Sequence[str]) -> list[list[str]]:
        """Facets that lie flat beside each other are one layer."""
        layers: dict[str, list[str]] = {}
        for name in names:
            layers.setdefault(min(self._leaf(name)), []).append(name)
        return list(layers.values())


@dataclass(frozen=True)
class _Need:
    """What sections along a fold ask of one facet; see :class:`Pinch`.

    Parameters
    ----------
    span : from the first to the last of these sections, from the start of the fold, mm.
    """

    span: tuple[float, float]
    keep: float
    deep: float
    stack: float
    layers: int

    def or_worse(self, other: _Need) -> _Need:
        widest = max(self, other, key=lambda need: need.keep)
        span = min(self.span[0], other.span[0]), max(self.span[1], other.span[1])
        return replace(widest, span=span, deep=max(self.deep, other.deep))


def _needs(
    at: float, ends: np.ndarray, of_layer: np.ndarray, calipers: np.ndarray, free: bool
) -> Iterator[tuple[int, _Need]]:
    """What one section across a fold asks of its facets: their indices, and what.

    Parameters
    ----------
    at : where it is, from the start of the fold, mm.
    ends : how far from the fold each facet begins, shape (F,), mm; infinite where it is not.
    of_layer : index of the layer that each belongs to, shape (F,).
    calipers : of the layers, shape (L,), mm.
    free : the leaves are held by the fold alone.
    """
    first = np.full(len(calipers), np.inf)
    np.minimum.at(first, of_layer, ends)
    order = np.argsort(first, kind="stable")
    order = order[np.isfinite(first[order])]
    stacks = calipers[order].cumsum()
    needed = (room_of_free if free else room)(first[order], calipers[order])
    for nth, layer in enumerate(order):
        for k in np.flatnonzero(of_layer == layer):
            deep = float(needed[nth] - ends[k])
            if deep >= LEAST_MM:
                last = int(np.flatnonzero(needed <= needed[nth] + 1e-9)[-1])
                keep, stack = float(needed[nth]), float(stacks[last])
                yield int(k), _Need((at, at), keep, deep, stack, last + 1)


def _ends(shapes: Sequence[Polygon], feet: np.ndarray, into: np.ndarray) -> np.ndarray:
    """How far from a fold shapes begin, in sections across it, shape (sections, shapes), mm.

    Infinite where there is nothing of a shape.
    """
    across = shapely.linestrings(np.stack([feet, feet + into], axis=1))
    parts = shapely.intersection(np.array(shapes)[None, :], across[:, None])
    gaps = shapely.distance(parts, shapely.points(feet)[:, None])
    return np.where(shapely.length(parts) > _LEAST_CUT_MM, gaps, np.inf)
