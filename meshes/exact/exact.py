"""Which places of a spread need care, how much, and how many builds by hand close."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from meshes.building.kept import LOOKED_AT_DEG

from .builds import BUILDS, Builds, HandAccuracy, build
from .linear import Linear, linear
from .network import networks
from .rows import Way, sources
from .settle import Settled, stands_open

if TYPE_CHECKING:
    from meshes.check.case import Case

# Flatter than this is flat, radians.
CLOSED = 1e-6
# Openings at which closing is watched, degrees. Our choice.
_STANDS_DEG = tuple(range(46))
# Closing may ask so much more of paper than any other opening does, as a share and mm. Our choice.
_MORE, _MORE_MM = 0.1, 0.03
# So many of the places that need most care are looked at by full solves. Our choice.
_CHECKED = 3
# Full solves of networks with more unknowns would take minutes. Our choice: the shipped designs
# have up to 196.
_MOST_UNKNOWNS = 250
# An error is no longer told where more than this is forgiven, mm and radians. Our choice.
_MOST_MM, _MOST_RAD = 5.0, float(np.radians(10.0))


@dataclass(frozen=True)
class Misplacing:
    """One way to misplace something.

    Parameters
    ----------
    way : ``along`` or ``across`` (glue, in its plane, along its longest extent or across it),
        ``moved`` (a fold, across itself) or ``turned``.
    give : most that a place must give for each mm or degree, if all do their part, mm.
    gap : what that place lacks for each mm or degree if it alone is left open, mm.
    opening : where that is most, radians.
    seen_at : the glue, or the fold, that must give most.
    within : the error that takes all that paper gives, mm or radians; infinite if none does.
    """

    way: Way
    give: float
    gap: float
    opening: float
    seen_at: str
    within: float


@dataclass(frozen=True)
class CareSpot:
    """A glue area, or a line of folds, with what its errors do.

    Parameters
    ----------
    name : ``piece.facet`` of the glued facet, or ``piece.fold`` of the first fold.
    more : the other folds on that line, which are scored in the same stroke.
    host : what the facet is glued to; empty for a fold.
    lands : whether the spread is closed on it when it is glued, so that it lands where it belongs.
    by_hand : root of the sum of squares of the gaps that its errors open, each one standard
        deviation large, mm.
    slips : if built as told; of what lands on its place, there is none.
    to_mark : the same if every side is glued to its mark instead.
    stands : how far the spread stays open if it alone is glued or folded 1 mm or 1° off, whichever
        is worse when closed, all is glued to its marks, and closing asks no more of paper than
        any other opening does; radians. None where that was not looked at.
    builds : how many builds would close if it were exact.
    """

    name: str
    more: tuple[str, ...]
    host: str
    kind: Literal["glue", "fold"]
    lands: bool
    by_hand: float
    slips: tuple[Misplacing, ...]
    to_mark: tuple[Misplacing, ...]
    stands: float | None
    builds: int

    @property
    def within_mm(self) -> float:
        """The smallest shift that opens a gap of what paper gives, mm."""
        return min((s.within for s in self.slips if s.way != "turned"), default=np.inf)

    @property
    def within_rad(self) -> float:
        """The smallest turn that does so, radians."""
        return min((s.within for s in self.slips if s.way == "turned"), default=np.inf)


@dataclass(frozen=True)
class Exactness:
    """How exact a spread must be made.

    Parameters
    ----------
    spots : those in closed loops, worst first.
    builds : how many of 1,000 builds by hand close within what paper gives.
    by_marks : the same if every side is glued to its mark.
    """

    hand: HandAccuracy
    spots: tuple[CareSpot, ...]
    builds: int
    by_marks: int

    @property
    def of(self) -> int:
        """How many are built."""
        return BUILDS

    @property
    def best(self) -> CareSpot | None:
        """The spot that would make most builds close if it were exact; None if none does."""
        found = max(self.spots, key=lambda spot: spot.builds, default=None)
        return found if found is not None and found.builds > self.builds else None


@dataclass(frozen=True)
class _Stages:
    """Openings at which all is looked at, with the poses of all bodies and the fold angles."""

    openings: np.ndarray
    poses: np.ndarray
    angles: np.ndarray

    @staticmethod
    def of(case: Case, openings_deg: Sequence[float]) -> _Stages:
        """The solved stages of a motion that are nearest to some openings."""
        motion = case.motion
        solved = np.flatnonzero(motion.solved)
        far = np.abs(motion.openings[solved] - np.radians(openings_deg)[:, None])
        rows = np.unique(solved[far.argmin(axis=1)])
        return _Stages(motion.openings[rows], motion.matrices[rows], motion.angles[rows])

    def and_then(self, others: Sequence[_Stages]) -> _Stages:
        """These and others."""
        every = (self, *others)
        return _Stages(
            np.concatenate([one.openings for one in every]),
            np.concatenate([one.poses for one in every]),
            np.concatenate([one.angles for one in every]),
        )


def exactness(
    case: Case,
    pressed: Collection[int] = (),
    hand: HandAccuracy | None = None,
) -> Exactness:
    """How exact each place must be, and how many builds by hand close.

    Parameters
    ----------
    case : must close. All is looked at where it is looked whether hands reach the glue; builds are
        judged at all of these openings but flat open, where paper may bulge instead of tearing.
    pressed : indices of the joins on which the spread is closed when they are glued.
    """
    hand = hand or HandAccuracy()
    main = _Stages.of(case, LOOKED_AT_DEG)
    stages = main.and_then([_Stages.of(turn, LOOKED_AT_DEG) for turn in case.turns])
    closing = np.arange(len(stages.openings)) < np.searchsorted(main.openings, np.pi - CLOSED)
    told, marked = _answers(case, stages, pressed)
    builds = build(told, hand, closing)
    where: dict[str, tuple[Linear, Linear]] = {}
    spots: list[CareSpot] = []
    for one, other in zip(told, marked, strict=True):
        here = _spots(one, other, hand, builds)
        where.update({spot.name: (one, other) for spot in here})
        spots += here
    spots.sort(key=_worst_first)
    looked = []
    for spot in spots[:_CHECKED]:
        one, other = where[spot.name]
        network = one.network
        is_small = 6 * len(network.free) + len(network.folds) <= _MOST_UNKNOWNS
        looked.append(_looked_at(case, stages, spot, one, other, hand) if is_small else spot)
    return Exactness(
        hand,
        (*looked, *spots[_CHECKED:]),
        builds.close,
        build(marked, hand, closing).close if pressed else builds.close,
    )


def care_spots(
    case: Case, pressed: Collection[int] = (), hand: HandAccuracy | None = None
) -> list[CareSpot]:
    """All places of a spread, worst first, to first order and without any builds."""
    hand = hand or HandAccuracy()
    told, marked = _answers(case, _Stages.of(case, LOOKED_AT_DEG), pressed)
    none = Builds(0, {})
    spots = [s for pair in zip(told, marked, strict=True) for s in _spots(*pair, hand, none)]
    return sorted(spots, key=_worst_first)


def _worst_first(spot: CareSpot) -> tuple[float, str]:
    return -round(spot.by_hand, 9), spot.name


def _answers(
    case: Case, stages: _Stages, pressed: Collection[int]
) -> tuple[list[Linear], list[Linear]]:
    """For each network the answer if it is built as told, and if all is glued to marks."""
    told, marked = [], []
    for network in networks(case.sheets, case.joins, case.linkage):
        lands = {q for q, seam in enumerate(network.seams) if set(seam.joins) & set(pressed)}
        marked.append(linear(network, stages.openings, stages.poses))
        told.append(marked[-1].landing(lands))
    return told, marked


def _spots(told: Linear, marked: Linear, hand: HandAccuracy, builds: Builds) -> list[CareSpot]:
    """All glue areas and folds of one network."""
    found = []
    seams = told.network.seams
    for k, spot in enumerate(told.network.spots):
        seam, some = seams[spot.seams[0]], _of_spot(told, k)
        lands = bool(set(some) & set(told.pressed))
        slips = () if lands else tuple(_slip(told, e, hand) for e in some)
        by_hand = [
            slip.give * (np.degrees(hand.turn) if slip.way == "turned" else hand.shift)
            for slip in slips
        ]
        found.append(
            CareSpot(
                seam.name,
                tuple(seams[q].name for q in spot.seams[1:]),
                seam.host,
                "fold" if seam.folds else "glue",
                lands,
                float(np.linalg.norm(by_hand)),
                slips,
                tuple(_slip(marked, e, hand) for e in some),
                None,
                builds.without.get(seam.name, builds.close),
            )
        )
    return found


def _of_spot(answer: Linear, k: int) -> list[int]:
    return [e for e, source in enumerate(sources(answer.network)) if source.spot == k]


def _slip(answer: Linear, e: int, hand: HandAccuracy) -> Misplacing:
    source = sources(answer.network)[e]
    stage, seam, size = _worst(answer, e)
    most = _MOST_RAD if source.turns else _MOST_MM
    within = hand.give / size if size * most > hand.give else np.inf
    unit = float(np.radians(1.0)) if source.turns else 1.0
    gap = float(np.linalg.norm(answer.gaps(stage)[seam, :, e]))
    return Misplacing(
        source.way,
        size * unit,
        gap * unit,
        float(answer.openings[stage]),
        answer.network.seams[seam].name,
        within,
    )


def _worst(answer: Linear, e: int) -> tuple[int, int, float]:
    """The stage and the seam where a source asks for most, and how much for 1 mm or 1 rad."""
    sizes = np.linalg.norm(answer.gives[..., e], axis=2)
    # Rounded, so that the first of equal ones is taken on every computer.
    stage, seam = np.unravel_index(int(np.argmax(np.round(sizes, 9))), sizes.shape)
    return int(stage), int(seam), float(sizes[stage, seam])


def _looked_at(
    case: Case, stages: _Stages, spot: CareSpot, told: Linear, marked: Linear, hand: HandAccuracy
) -> CareSpot:
    """The spot with what full solves say of it."""
    names = [told.network.seams[one.seams[0]].name for one in told.network.spots]
    some = _of_spot(told, names.index(spot.name))
    pairs = zip(some, spot.slips, strict=True) if spot.slips else ()
    slips = tuple(_solved(stages, told, e, slip, hand) for e, slip in pairs)
    return replace(spot, slips=slips, stands=_stands(case, marked, some))


def _solved(
    stages: _Stages, answer: Linear, e: int, slip: Misplacing, hand: HandAccuracy
) -> Misplacing:
    """A slip whose size has been put right by full solves at its worst opening, both ways."""
    if not np.isfinite(slip.within):
        return slip
    errors = np.zeros((2, len(sources(answer.network))))
    errors[:, e] = slip.within, -slip.within
    if answer.closing is not None:
        errors[:, list(answer.pressed)] += errors @ answer.closing.T
    stage = [_worst(answer, e)[0]] * 2
    closed = stages.openings[stage] < CLOSED
    settled = Settled(answer.network, stages.poses[stage], stages.angles[stage], errors, closed)
    ratio = float(settled.gives.max()) / hand.give
    return replace(slip, give=slip.give * ratio, within=slip.within / ratio) if ratio else slip


def _stands(case: Case, marked: Linear, some: Sequence[int]) -> float | None:
    """How far the spread stays open for 1 mm or 1° of error, whichever is worst when closed."""
    every = sources(marked.network)
    sizes = [np.radians(1.0) if every[e].turns else 1.0 for e in some]
    given = np.linalg.norm(marked.gives[0], axis=1).max(axis=0)[some] * sizes
    worst = int(np.argmax(np.round(given, 9)))
    closing = _Stages.of(case, _STANDS_DEG)
    if len(closing.openings) < 2:
        return None
    errors = np.zeros(len(every))
    errors[some[worst]] = sizes[worst]
    place = marked.network, closing.openings, closing.poses, closing.angles
    open_ = np.linalg.norm(marked.gives[1:] @ errors, axis=2).max()
    most = (1 + _MORE) * float(open_) + _MORE_MM
    return max(stands_open(*place, sign * errors, most) for sign in (1.0, -1.0))


def spot_outline(case: Case, spot: CareSpot) -> tuple[Literal["line", "area"], np.ndarray]:
    """Where a spot lies when the spread is widest open: positions, shape (n, 3), mm."""
    facets, opening = case.facets, case.widest
    if spot.kind == "glue":
        one, two = facets.index(spot.name), facets.index(spot.host)
        area = facets.polygons[one].intersection(facets.polygons[two])
        shape = area if area.area > 0 else facets.polygons[one]
        return "area", case.world(one, np.asarray(shape.convex_hull.exterior.coords), opening)
    hinge = next(hinge for hinge in case.linkage.hinges if hinge.name == spot.name)
    ends = np.array([[0.0, 0.0, 0.0], hinge.length * hinge.frames[0][:, 0]]) + hinge.origins[0]
    return "line", case.world(facets.index(hinge.facets[0]), ends[:, :2], opening)
