"""Whether a move takes paper through other paper: the exact test of the check, along the move."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from meshes.check.chord import chords
from meshes.check.limits import Limits
from meshes.check.poses import Pose, poses_of
from meshes.check.swap import Swap, orders_of, swaps
from meshes.check.sweep import Contact, FacetPairs, Near, near_pairs, sweep, worst
from meshes.motion.result import Motion

from ..drawing.book import tilt_of
from .figures import Figures
from .moves import CourseMove, OnTable, Ride, WorkTable
from .overtaking import overtaking
from .sides import wrong_sides

# Poses at which a move is evaluated, where the notebook shuts at least for every so many degrees;
# between them the check joins them. Our choice.
STAGES, SHUTTING_DEG = 33, 2.0
# Paper may be this far in the table or the notebook before it counts, mm. Our choice.
_IN_GROUND_MM = 0.05
# Points along the edges of paper by which it is told from the notebook. Our choice.
_ALONG = np.linspace(0.0, 1.0, 5)[:-1]


@dataclass(frozen=True)
class Meeting:
    """Two parts that pass through each other during a move.

    Parameters
    ----------
    first, second : ids of the facets; the second is ``table`` or ``notebook`` for these.
    push : the least that frees them, mm, where they are deepest; where one passes flat through the
        other, the side of a square as large as what they share.
    share : of the time of the move, there.
    """

    first: str
    second: str
    push: float
    share: float


def meetings(
    table: WorkTable,
    move: CourseMove,
    within: tuple[float, float] = (0.0, 1.0),
    count: int = 0,
    among: bool = True,
    quick: bool = False,
) -> list[Meeting]:
    """What passes through what during a move, deepest first.

    What rides with the notebook as it is solved is left out among itself: that is what the check of
    the finished spread looks at.

    Parameters
    ----------
    within : the part of the time that is looked at.
    count : poses at which the move is evaluated; 0 for as many as it takes.
    among : whether the paper that moves is tried against itself too.
    quick : perhaps do not tell of what meets but for a moment.
    """
    count = count or stages_of(move)
    shares = np.linspace(*within, count)
    posed = [table.pose(move, float(share)) for share in shares]
    rotations = np.array([pose.rotation for pose, _, _ in posed])
    translations = np.array([pose.translation for pose, _, _ in posed])
    mine = moving_parts(table.figures, move)
    if not len(mine):
        return []
    found = [*_in_ground(table, posed, shares, mine), *_over_folded(table.figures, move, shares)]
    facets = table.figures.facets
    motion = Motion(
        np.linspace(0.0, np.pi, count),
        np.ones(count, bool),
        rotations,
        translations,
        np.zeros((count, 0)),
        np.zeros(count),
    )
    pairs = FacetPairs(facets, poses_of(motion, smooth=True))
    known = ~np.isin(np.arange(len(facets)), mine)
    moving = None if among else mine.tolist()
    near = near_pairs(facets, pairs.poses, moving, known)
    ends = shares[0], shares[-1]
    found += _crossed(table, move, pairs, near, ends, quick)
    found += _exchanged(table, move, pairs, near, shares)
    found += [Meeting(*row) for row in overtaking(table, move, within)] if among else []
    found += [] if quick else [Meeting(*row) for row in wrong_sides(table, move)]
    return sorted(found, key=lambda one: -one.push)


def _over_folded(figures: Figures, move: CourseMove, shares: np.ndarray) -> Iterator[Meeting]:
    """Neighbours on a sheet of which one is folded through the other."""
    for track in move.tracks:
        if track.stays or not any(form.bends for form in track.forms):
            continue
        deepest: dict[int, tuple[float, float]] = {}
        for share in np.linspace(shares[0], shares[-1], _ALONG_FORMS).tolist():
            form = track.forms[0].between(track.forms[1], share)
            for fold, past in figures.over_folded(form, track.sheets):
                deepest[fold] = max(deepest.get(fold, (0.0, 0.0)), (past, share))
        for fold, (past, share) in deepest.items():
            crease = figures.creases[fold]
            sides = [figures.parts[k].facet.polygon for k in (crease.left, crease.right)]
            line = shapely.LineString([crease.fold.start, crease.fold.end])
            arm = min(line.hausdorff_distance(side) for side in sides)
            left, right = (figures.parts[k].id for k in (crease.left, crease.right))
            yield Meeting(left, right, float(arm * np.sin(min(past, np.pi / 2))), share)


# Forms between two at which it is looked for folds past flat shut. Our choice.
_ALONG_FORMS = 9


def _crossed(
    table: WorkTable,
    move: CourseMove,
    pairs: FacetPairs,
    near: Near,
    ends: tuple[float, float],
    quick: bool,
) -> Iterator[Meeting]:
    """Parts that are in each other at an angle."""
    for contact in sweep(pairs, near, quick):
        if quick and _depth(pairs, contact) <= _allowed():
            continue
        push, at = worst(pairs, contact)[:2]
        if push <= _allowed():
            continue
        if push < _UNSURE_MM:
            # Poses that were joined may be off by so much; those of the move itself are not.
            ats = np.append(np.linspace(contact.start, contact.end, _AGAIN), at)
            pushes = [_push_at(table, move, contact, _share(at, ends)) for at in ats.tolist()]
            push, at = max(zip(pushes, ats.tolist(), strict=True))
        if push > _allowed():
            yield Meeting(*_ids(pairs, contact), push, _share(at, ends))


def _exchanged(
    table: WorkTable, move: CourseMove, pairs: FacetPairs, near: Near, shares: np.ndarray
) -> Iterator[Meeting]:
    """Parts that get through each other while they lie in one plane."""
    step = shares[1] - shares[0]
    for swap in swaps(pairs, near):
        share = _share(swap.opening, (shares[0], shares[-1]))
        if _changes_sides(table, move, pairs, swap, (share - step, share + step)):
            yield Meeting(*_ids(pairs, swap), float(np.sqrt(swap.area.area)), share)


def _share(at: float, ends: tuple[float, float]) -> float:
    """The share of a move at which the check's stand-in for an opening is `at`, 0 to pi."""
    return float(ends[0] + (ends[1] - ends[0]) * at / np.pi)


def _ids(pairs: FacetPairs, pair: Contact | Swap) -> tuple[str, str]:
    return pairs.facets.ids[pair.first], pairs.facets.ids[pair.second]


def _push_at(table: WorkTable, move: CourseMove, contact: Contact, share: float) -> float:
    """The push that frees two parts at one moment of a move, mm."""
    pose, _, _ = table.pose(move, share)
    one, two = (
        Pose(pose.rotation[k], pose.translation[k]) for k in (contact.first, contact.second)
    )
    found = chords(table.figures.facets, contact.first, contact.second, one.seen_from(two))
    return max((chord.push for chord in found), default=0.0)


def _changes_sides(
    table: WorkTable,
    move: CourseMove,
    pairs: FacetPairs,
    swap: Swap,
    shares: tuple[float, float],
) -> bool:
    """Whether two parts lie the other way round a little later than a little before.

    Where one comes from beside the other they may not lie over each other for long: then it is
    looked closer by.
    """
    middle = sum(shares) / 2
    for closer in _CLOSER:
        orders = []
        for share in shares:
            pose, _, _ = table.pose(move, float(np.clip(middle + (share - middle) * closer, 0, 1)))
            one, two = (
                Pose(pose.rotation[k], pose.translation[k]) for k in (swap.first, swap.second)
            )
            seen = one.seen_from(two)
            pair = np.array([swap.first]), np.array([swap.second])
            found = orders_of(pairs, *pair, Pose(seen.rotation[None], seen.translation[None]))
            orders.append(int(found[0]))
        if all(orders):
            return orders[0] * orders[1] < 0
    return False


# Shares of a step between two poses from which it is looked; farther where both lie in one plane
# for some time. Our choice.
_CLOSER = (1.0, 0.3, 0.1, 0.03, 2.0, 4.0)
# Shallower meetings are looked at again, at so many moments; mm. Our choice: a flyleaf that was
# brought from far off and stopped on its page seemed to dip 1.5 mm into it between two poses
# (measured).
_UNSURE_MM, _AGAIN = 5.0, 5


def _depth(pairs: FacetPairs, contact: Contact) -> float:
    """About how deep two facets meet at most, mm."""
    at = np.linspace(contact.start, contact.end, _TRIED)
    one, two = np.full(_TRIED, contact.first), np.full(_TRIED, contact.second)
    return float(pairs.meet(one, two, at).bound.max())


# Places of a contact at which its depth is estimated. Our choice.
_TRIED = 9


def _allowed() -> float:
    return float(Limits().clash_push)


def stages_of(move: CourseMove) -> int:
    """At how many poses a move is evaluated."""
    turned = abs(move.openings[1] - move.openings[0])
    turned += max(abs(t.forms[1].opening - t.forms[0].opening) for t in move.tracks)
    # What has only a part of the move for its way is looked at as often on it.
    shortest = min(track.window[1] - track.window[0] for track in move.tracks)
    poses = int(np.ceil((STAGES - 1) / shortest))
    return max(poses, int(np.ceil(np.degrees(turned) / SHUTTING_DEG))) + 1


def moving_parts(figures: Figures, move: CourseMove) -> np.ndarray:
    """Parts that do more than go along with the notebook as the solved spread does."""
    widest = max(move.openings)
    shuts = move.openings[0] != move.openings[1]
    found: set[int] = set()
    for track in move.tracks:
        loose = shuts and track.forms[0].opening < widest and isinstance(track.seats[0], Ride)
        handled = isinstance(track.seats[0], OnTable) and not track.stays
        if track.way is not None or handled or loose:
            found.update(figures.parts_of(track.sheets).tolist())
        elif not track.stays or (shuts and track.forms[0].bends):
            for form in track.forms:
                found.update(figures.bent(form, track.sheets, move.glued[0]))
    return np.array(sorted(found), int)


def _in_ground(
    table: WorkTable,
    posed: list[tuple[Pose, np.ndarray, float]],
    shares: np.ndarray,
    mine: np.ndarray,
) -> list[Meeting]:
    """Parts that dip into the table, or into the pages and boards from beside or below."""
    deepest: dict[tuple[str, str], Meeting] = {}
    figures = table.figures
    rings = [_ring(figures.corners[k]) for k in mine]
    owner = np.repeat(mine, [len(ring) for ring in rings])
    flat = np.concatenate(rings)
    for (pose, there, _), share in zip(posed, shares, strict=True):
        turns, shifts = pose.rotation[owner], pose.translation[owner]
        spots = np.einsum("nij,nj->ni", turns[:, :, :2], flat) + shifts
        under = np.where(there[owner], table.top - spots[:, 2], 0.0)
        inside = np.where(there[owner], _in_notebook(table, pose, spots), 0.0)
        for what, depths in (("table", under), ("notebook", inside)):
            k = int(np.argmax(depths))
            if depths[k] > _IN_GROUND_MM:
                name = figures.parts[owner[k]].id
                known = deepest.get((name, what))
                if known is None or known.push < depths[k]:
                    deepest[name, what] = Meeting(name, what, float(depths[k]), float(share))
    return list(deepest.values())


def _ring(corners: np.ndarray) -> np.ndarray:
    """Points along an outline, shape (n, 2)."""
    ahead = np.roll(corners, -1, axis=0)
    steps = corners[:, None] + (ahead - corners)[:, None] * _ALONG[:, None]
    return steps.reshape(-1, 2)


def _in_notebook(table: WorkTable, pose: Pose, spots: np.ndarray) -> np.ndarray:
    """How deep points are in the two halves of the notebook, shape (n,), mm; 0 outside."""
    book = table.book
    deep = np.zeros(len(spots))
    along = pose.rotation[:2, :, 0]
    tilt = tilt_of(float(np.arccos(np.clip(-along[0] @ along[1], -1.0, 1.0))))
    start, crept = book.hinge(tilt), book.creep(book.kept, tilt)
    for page, side in ((0, -1.0), (1, 1.0)):
        local = (spots - pose.translation[page]) @ pose.rotation[page]
        x, y, z = side * local[:, 0], local[:, 1], local[:, 2]
        far = book.width + book.creep(-z, tilt)
        block = np.minimum.reduce([far - x, y, book.height - y, -z, x, z + book.block])
        rim = book.overhang
        across = book.width + rim + crept - x
        board = np.minimum.reduce(
            [across, y + rim, book.height + rim - y, -book.block - z, x - start]
        )
        board = np.minimum(board, z + book.depth)
        deep = np.maximum(deep, np.maximum(block, board))
    return deep
