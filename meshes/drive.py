"""Parts that a hand moves while the spread is open: flyleaves that turn, wheels, slides.

None of them needs the solver to know it. Flyleaves part the opening into wedges, each of which is a
spread of its own with two sides and an opening; a wheel or a slide rides on its host, and carries
along what stands on it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from .linkage import Body, Hinge, Linkage
from .motion.result import Motion, MotionFinding
from .sheet import Drive, Placement

if TYPE_CHECKING:
    from .motion.memory import Memory

LEFT, RIGHT = 0, 1

# Two flyleaves of a notebook with folded paper between them never lie quite on each other.
LEAST_RAD = np.radians(1.0)
# Wheels that have turned by this little backwards are where they were, radians. Our choice.
_SAME_RAD = 1e-9
_OVER = np.diag([-1.0, 1.0, -1.0])

Values = Mapping[str, "float | np.ndarray"]
Solver = Callable[[Linkage, np.ndarray], Motion]


class DriveError(ValueError):
    """A part that can't be moved by hand as the design has it; the text says which and why."""


def check(linkage: Linkage) -> None:
    """Raise DriveError if a piece is tied to flyleaves that are not next to each other."""
    Wedges(linkage)


def solve(
    linkage: Linkage,
    openings: np.ndarray,
    values: Values | None = None,
    memory: Memory | None = None,
    solver: Solver | None = None,
) -> Motion:
    """Solve a linkage with its driven parts where they are put.

    Parameters
    ----------
    openings : shape (S,), radians, ascending.
    values : by name of the driven piece, how far it is moved at each opening, 0 to 1, shape (S,)
        or one number; else each is where it rests.
    memory : of earlier solves.
    solver : gives the motion of a linkage without flyleaves over openings, else
        :func:`meshes.motion.solve.solve`.

    Raises
    ------
    DriveError
        For an unknown name, a value outside 0 to 1, or flyleaves that pass through each other.
    """
    openings = np.atleast_1d(np.asarray(openings, float))
    shares = _shares(linkage, values or {}, len(openings))
    motion = _with_leaves(linkage, openings, shares, solver or _solver(memory))
    for drive in linkage.drives:
        if drive.kind != "flyleaf":
            motion = _carried(linkage, motion, drive, shares[drive.name])
    return motion


def _solver(memory: Memory | None) -> Solver:
    from .motion.solve import solve as solve_linkage

    return lambda linkage, openings: solve_linkage(linkage, openings, memory)


def _shares(linkage: Linkage, values: Values, count: int) -> dict[str, np.ndarray]:
    known = {drive.name: drive.rest for drive in linkage.drives}
    for name in values:
        if name not in known:
            raise DriveError(
                f"{name!r} is not moved by hand; pieces that are: {', '.join(known) or 'none'}"
            )
    shares = {
        name: np.broadcast_to(np.asarray(values.get(name, rest), float), count)
        for name, rest in known.items()
    }
    for name, share in shares.items():
        if not ((share >= 0) & (share <= 1)).all():
            raise DriveError(f"{name} can be moved from 0 to 1, found {share.min():g}")
    return shares


class Wedges:
    """The sides of the opening from left to right, and what stands between them.

    Attributes
    ----------
    sides : bodies, the left page first and the right page last.
    loose : for each wedge its bodies; what touches no side is in the first.
    """

    def __init__(self, linkage: Linkage) -> None:
        self.linkage = linkage
        self.flyleaves = in_order([d for d in linkage.drives if d.kind == "flyleaf"])
        bodies = [linkage.place(drive.join.facet)[0] for drive in self.flyleaves]
        self.sides = [LEFT, *bodies, RIGHT]
        self.loose: list[list[int]] = [[] for _ in self.sides[1:]]
        for group, touched in _groups(linkage, self.sides):
            self.loose[self._wedge(group, touched)] += group

    def _wedge(self, group: list[int], touched: list[int]) -> int:
        last = len(self.sides) - 2
        if not touched:
            return 0
        low, high = min(touched), max(touched)
        if high - low > 1:
            names = " and ".join(self.linkage.bodies[self.sides[k]].name for k in (low, high))
            piece = self.linkage.bodies[group[0]].name.partition(".")[0]
            raise DriveError(f"{piece} is tied to {names}, with a flyleaf between them")
        return low if high > low else min(max(high - 1, 0), last)

    def linkage_of(self, wedge: int) -> tuple[Linkage, list[int]]:
        """A wedge as a linkage with two sides, and the bodies of ours that it is made of."""
        left, right = self.sides[wedge : wedge + 2]
        bodies = [left, right, *sorted(self.loose[wedge])]
        number = {body: k for k, body in enumerate(bodies)}
        over = {left} if left != LEFT else set()
        hinges = [
            replace(_turned(hinge, over), bodies=(number[hinge.bodies[0]], number[hinge.bodies[1]]))
            for hinge in self.linkage.hinges
            if set(hinge.bodies) <= set(bodies) and not set(hinge.bodies) <= {left, right}
        ]
        parts = tuple(
            _over(self.linkage.bodies[k]) if k in over else self.linkage.bodies[k] for k in bodies
        )
        pieces = {part.sheet.piece for body in parts for part in body.parts}
        obstacles = tuple(
            o
            for o in self.linkage.obstacles
            if {o.piece.partition(".")[0], o.host.partition(".")[0]} <= pieces
        )
        here = {part.id for body in parts for part in body.parts}
        riding = [drive for drive in self.linkage.drives if drive.kind != "flyleaf"]
        drives = tuple(drive for drive in riding if drive.join.facet in here)
        return Linkage(parts, tuple(hinges), obstacles, self.linkage.locked, drives), bodies


def in_order(flyleaves: Sequence[Drive]) -> list[Drive]:
    """Flyleaves from left to right; DriveError if two lie after the same one."""
    found: list[Drive] = []
    after = ""
    while len(found) < len(flyleaves):
        following = [leaf for leaf in flyleaves if leaf.after == after]
        if len(following) != 1:
            names = ", ".join(leaf.name for leaf in following) or "no flyleaf"
            raise DriveError(f"{names} should lie after {after or 'the left page'}; allowed: one")
        found.append(following[0])
        after = following[0].name
    return found


def _groups(linkage: Linkage, sides: Sequence[int]) -> list[tuple[list[int], list[int]]]:
    """Bodies that folds tie together, without the sides; and which sides each group touches."""
    links: dict[int, list[int]] = {k: [] for k in range(len(linkage.bodies))}
    for hinge in linkage.hinges:
        first, second = hinge.bodies
        links[first].append(second)
        links[second].append(first)
    place = {body: k for k, body in enumerate(sides)}
    left = set(links) - set(sides)
    groups = []
    while left:
        queue, group, touched = [min(left)], [], set()
        left -= set(queue)
        while queue:
            body = queue.pop()
            group.append(body)
            for other in links[body]:
                if other in place:
                    touched.add(place[other])
                elif other in left:
                    left.remove(other)
                    queue.append(other)
        groups.append((group, sorted(touched)))
    return groups


def _turned(hinge: Hinge, over: set[int]) -> Hinge:
    frames, origins = list(hinge.frames), list(hinge.origins)
    for k, body in enumerate(hinge.bodies):
        if body in over:
            frames[k], origins[k] = _OVER @ frames[k], _OVER @ origins[k]
    return replace(hinge, frames=(frames[0], frames[1]), origins=(origins[0], origins[1]))


def _over(body: Body) -> Body:
    flip = Placement(flipped=True)
    parts = tuple(
        replace(part, placement=flip.after(part.placement), height=-part.height)
        for part in body.parts
    )
    return replace(body, parts=parts)


def _with_leaves(
    linkage: Linkage,
    openings: np.ndarray,
    shares: Mapping[str, np.ndarray],
    solve_linkage: Solver,
) -> Motion:
    """Solve each wedge at its own opening and set the wedges side by side."""
    from .motion.solve import page_poses

    wedges = Wedges(linkage)
    if not wedges.flyleaves:
        return solve_linkage(linkage, openings)
    angles = _side_angles(wedges, openings, shares)
    count = len(openings)
    rotations, translations = page_poses(len(linkage.bodies), openings)
    folds = np.full((count, len(linkage.hinges)), np.nan)
    gaps, solved = np.zeros(count), np.ones(count, bool)
    findings: list[MotionFinding] = []
    numbers = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    for k in range(len(wedges.sides) - 1):
        part, bodies = wedges.linkage_of(k)
        own = np.maximum(angles[k + 1] - angles[k], 0.0)
        stages, row = np.unique(own, return_inverse=True)
        motion = solve_linkage(part, stages)
        lean = openings / 2 - (angles[k] + angles[k + 1]) / 2
        aside = _about_gutter(-lean)
        by_hand = {linkage.place(drive.join.facet)[0] for drive in part.drives}
        riding = {body for d in by_hand for body in riders(linkage, d)}
        for number, body in enumerate(bodies):
            if body in (LEFT, RIGHT):
                continue
            if body in riding:
                # It waits where its sheet is drawn until it is set on its host.
                rotations[:, body] = motion.rotations[row, number]
                translations[:, body] = motion.translations[row, number]
                continue
            turn = motion.rotations[row, number]
            turn = turn @ _OVER if number == 0 else turn
            rotations[:, body] = aside @ turn
            translations[:, body] = (aside @ motion.translations[row, number, :, None])[..., 0]
        for number, hinge in enumerate(part.hinges):
            folds[:, numbers[hinge.name]] = motion.angles[row, number]
        gaps = np.fmax(gaps, motion.gaps[row])
        solved &= motion.solved[row]
        findings += motion.findings
    blank = ~solved
    rotations[blank], translations[blank], folds[blank], gaps[blank] = (np.nan,) * 4
    return Motion(openings, solved, rotations, translations, folds, gaps, tuple(findings))


def _side_angles(
    wedges: Wedges, openings: np.ndarray, shares: Mapping[str, np.ndarray]
) -> np.ndarray:
    """Angle of each side from the left page at each stage, shape (sides, S), radians.

    What lies between two pages keeps them a little apart.
    """
    turned = [shares[leaf.name] * openings for leaf in wedges.flyleaves]
    angles = np.stack([np.zeros_like(openings), *turned, openings])
    if (np.diff(angles, axis=0) < -1e-9).any():
        names = ", ".join(leaf.name for leaf in wedges.flyleaves)
        raise DriveError(f"flyleaves pass through each other; turn them in their order: {names}")
    apart = np.minimum(LEAST_RAD, openings / (len(angles) - 1))
    room = openings - apart * (len(angles) - 1)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(openings > 0, np.diff(angles, axis=0) / openings, 0.0)
    wedge = apart + share * room
    return np.concatenate([np.zeros((1, len(openings))), np.cumsum(wedge, axis=0)])


def _about_gutter(angles: np.ndarray) -> np.ndarray:
    """Turns about the y axis, shape (S, 3, 3), radians."""
    c, s, zero, one = np.cos(angles), np.sin(angles), np.zeros_like(angles), np.ones_like(angles)
    return np.moveaxis(np.array([[c, zero, s], [zero, one, zero], [-s, zero, c]]), -1, 0)


def _carried(linkage: Linkage, motion: Motion, drive: Drive, share: np.ndarray) -> Motion:
    """The motion with a wheel or slide, and what stands on it, set on its host."""
    host_body, host = linkage.place(drive.join.host)
    body, moving = linkage.place(drive.join.facet)
    laid = in_space(host.placement) @ in_space(drive.join.placement)
    moved = laid @ moves(drive, share) @ np.linalg.inv(in_space(moving.placement))
    pages = _pose(motion, host_body)
    carry = pages @ moved
    rotations, translations = motion.rotations.copy(), motion.translations.copy()
    for other in riders(linkage, body):
        pose = carry @ _pose(motion, other)
        rotations[:, other], translations[:, other] = pose[:, :3, :3], pose[:, :3, 3]
    return replace(motion, rotations=rotations, translations=translations)


def pulled(
    linkage: Linkage, motion: Motion, name: str, stage: int, shares: np.ndarray
) -> tuple[Motion, list[int]]:
    """A wheel or slide moved over its way while the spread stands still, and the bodies that move.

    Parameters
    ----------
    motion : with every wheel and slide where it rests.
    stage : index of the opening at which the spread stands.
    shares : of the way, 0 to 1 and ascending, shape (S,). Shares of pi stand in the result for its
        openings.
    """
    count = len(shares)
    rotations, translations, angles, gaps = (
        np.repeat(values[stage : stage + 1], count, axis=0)
        for values in (motion.rotations, motion.translations, motion.angles, motion.gaps)
    )
    solved = np.ones(count, bool)
    still = Motion(np.pi * shares, solved, rotations, translations, angles, gaps)
    return put(linkage, still, name, shares)


def put(
    linkage: Linkage, motion: Motion, name: str, shares: np.ndarray
) -> tuple[Motion, list[int]]:
    """A wheel or slide put somewhere on its way, and the bodies that move.

    Parameters
    ----------
    motion : with this wheel or slide where it rests.
    shares : of the way, 0 to 1, one for each opening of the motion, shape (S,).
    """
    drive = next(drive for drive in linkage.drives if drive.name == name)
    rotations, translations = motion.rotations.copy(), motion.translations.copy()
    here = _laid(linkage, motion, drive)
    rest = here @ moves(drive, np.full(len(shares), drive.rest))
    carry = here @ moves(drive, shares) @ np.linalg.inv(rest)
    bodies = carried_along(linkage, linkage.place(drive.join.facet)[0])
    for body in bodies:
        pose = carry @ _pose(motion, body)
        rotations[:, body], translations[:, body] = pose[:, :3, :3], pose[:, :3, 3]
    return replace(motion, rotations=rotations, translations=translations), bodies


def where(linkage: Linkage, motion: Motion, drive: Drive) -> np.ndarray:
    """How far a wheel or a slide is moved at each opening of a motion, 0 to 1, shape (S,).

    A wheel that turns more than once is where it is at first: it looks the same each time. What is
    not solved counts as 0.
    """
    body, moving = linkage.place(drive.join.facet)
    poses = _pose(motion, body) @ in_space(moving.placement)
    poses[~motion.solved] = np.eye(4)
    here = _laid(linkage, motion, drive)
    here[~motion.solved] = np.eye(4)
    moved = np.linalg.inv(here) @ poses
    if drive.kind == "slide":
        way = moved[:, :2, 3] @ np.asarray(drive.axis) / drive.reach
    else:
        angle = np.arctan2(moved[:, 1, 0], moved[:, 0, 0]) * np.sign(drive.reach)
        way = np.where(angle < -_SAME_RAD, angle + 2 * np.pi, angle) / abs(drive.reach)
    return np.where(motion.solved, np.clip(way, 0.0, 1.0), 0.0)


def _laid(linkage: Linkage, motion: Motion, drive: Drive) -> np.ndarray:
    """Where a moving sheet lies on its host before it is moved, poses of shape (S, 4, 4)."""
    body, host = linkage.place(drive.join.host)
    return np.asarray(
        _pose(motion, body) @ in_space(host.placement) @ in_space(drive.join.placement)
    )


def carried_along(linkage: Linkage, body: int) -> list[int]:
    """What moves with a driven body: what hangs on it, and the wheels and slides on all that."""
    found = riders(linkage, body)
    for drive in linkage.drives:
        if drive.kind != "flyleaf" and linkage.place(drive.join.host)[0] in found:
            found = [*found, *carried_along(linkage, linkage.place(drive.join.facet)[0])]
    return found


def riders(linkage: Linkage, body: int) -> list[int]:
    """The driven body and what hangs on it."""
    for group, touched in _groups(linkage, [LEFT, RIGHT]):
        if body in group:
            if touched:
                name = linkage.bodies[body].name
                raise DriveError(f"{name} is moved by hand and tied to a page as well")
            return group
    return [body]


def _pose(motion: Motion, body: int) -> np.ndarray:
    """Poses of a body as matrices, shape (S, 4, 4)."""
    pose = np.tile(np.eye(4), (len(motion.openings), 1, 1))
    pose[:, :3, :3] = motion.rotations[:, body]
    pose[:, :3, 3] = motion.translations[:, body]
    return pose


def moves(drive: Drive, share: np.ndarray) -> np.ndarray:
    """The hand's move at each stage in the coordinates of the moving sheet, shape (S, 4, 4)."""
    moves = np.tile(np.eye(4), (len(share), 1, 1))
    if drive.kind == "slide":
        moves[:, :2, 3] = share[:, None] * drive.reach * np.asarray(drive.axis)
        return moves
    angle = share * drive.reach
    c, s = np.cos(angle), np.sin(angle)
    moves[:, 0, 0], moves[:, 0, 1], moves[:, 1, 0], moves[:, 1, 1] = c, -s, s, c
    centre = np.asarray(drive.axis)
    moves[:, :2, 3] = centre - (moves[:, :2, :2] @ centre)
    return moves


def in_space(placement: Placement) -> np.ndarray:
    """A placement as a rigid move in space, shape (4, 4), mm."""
    pose = np.eye(4)
    pose[:2, :2] = placement.matrix
    pose[2, 2] = placement.up
    pose[:3, 3] = [*placement.shift, 0.0]
    return pose
