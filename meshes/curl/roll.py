"""Poses of the strips of curled paper, for any share of the curl."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from meshes.linkage import Body, Linkage, Part
from meshes.motion.result import Motion
from meshes.sheet import Facet, Sheet

from .strips import MARK, Cut, cut_up

# Strips turned by less than this against each other lie flat, radians.
_FLAT = 1e-9
# Points this near to a border lie on it, shares of a strip's width.
_ON_BORDER = 1e-6


@dataclass(frozen=True, eq=False)
class Rolled:
    """A linkage whose curled facets are cut into strips, each a body that follows its facet's.

    At share 0 a strip has the pose of the body that it follows, so that coordinates of both are the
    same; bodies of the flat linkage keep their numbers, and strips come after them.

    Parameters
    ----------
    linkage : with the strips.
    held : the flat linkage without the paper beyond the lines.
    sheets : flat sheets to those that are cut into strips, by ``id`` of the flat one.
    entries : piece and number of each entry of a ``curl`` list, E of them.
    parents : shape (n,), the body that each of n strips follows.
    entry : shape (n,), the entry it belongs to.
    place : shape (n,), how many strips lie between it and the line.
    width, radius : shape (n,), mm.
    frames : shape (n, 3, 3), columns along the line, across it into the rolled paper, and to where
        it curls, in coordinates of the body.
    origins : shape (n, 3), a point of the line in the middle of the paper, mm.
    """

    linkage: Linkage
    held: Linkage
    sheets: dict[int, Sheet]
    entries: tuple[tuple[str, int], ...]
    parents: np.ndarray
    entry: np.ndarray
    place: np.ndarray
    width: np.ndarray
    radius: np.ndarray
    frames: np.ndarray
    origins: np.ndarray

    def move(self, motion: Motion, shares: np.ndarray, lifted: bool = True) -> Motion:
        """The motion with the strips in it.

        Parameters
        ----------
        motion : of the flat linkage, S openings.
        shares : of the curl, shape (E, S).
        lifted : bend about the middle of the paper, which glued layers lift off their body's plane;
            else about that plane, as the motion knows no thickness.
        """
        turns, shifts = self.bends(shares, lifted)
        bodies, places = motion.rotations[:, self.parents], motion.translations[:, self.parents]
        rotations = np.concatenate([motion.rotations, bodies @ turns], axis=1)
        moved = np.einsum("snij,snj->sni", bodies, shifts) + places
        translations = np.concatenate([motion.translations, moved], axis=1)
        return replace(motion, rotations=rotations, translations=translations)

    def bends(
        self, shares: np.ndarray, lifted: bool = True, strips: np.ndarray | slice = slice(None)
    ) -> tuple[np.ndarray, np.ndarray]:
        """How strips stand to the bodies that they follow, shapes (S, n, 3, 3), (S, n, 3).

        Parameters
        ----------
        shares : of the curl, shape (E, S).
        lifted : see :meth:`move`.
        strips : which of them, all if left out.

        Borders lie on a circle that touches the flat paper at the line. A chord of width w on a
        circle of radius r turns by 2 asin(w / 2r) against the next, and the k-th stands k + 1/2
        such turns off the tangent (inscribed angles, Euclid III.32). Borders before it add up to
        w sin(k t / 2) / sin(t / 2) in the direction k t / 2 (sum of a geometric series).
        """
        place, width, frames = self.place[strips], self.width[strips], self.frames[strips]
        share = shares[self.entry[strips]].T
        turn = 2 * np.arcsin(np.clip(share * width / self.radius[strips] / 2, 0.0, 1.0))
        angle = (place + 0.5) * turn
        cosine, sine = np.cos(angle), np.sin(angle)
        local = np.zeros((*angle.shape, 3, 3))
        local[..., 0, 0] = 1.0
        local[..., 1, 1] = local[..., 2, 2] = cosine
        local[..., 2, 1], local[..., 1, 2] = sine, -sine
        rotations = frames @ local @ np.swapaxes(frames, -1, -2)
        half = place * turn / 2
        bent = turn > _FLAT
        ratio = np.where(bent, np.sin(half) / np.where(bent, np.sin(turn / 2), 1.0), place)
        out = np.stack([np.zeros_like(half), np.cos(half), np.sin(half)], axis=-1)
        border = np.einsum("nij,snj->sni", frames, (width * ratio)[..., None] * out)
        origins = self.origins[strips] * ([1.0, 1.0, 1.0] if lifted else [1.0, 1.0, 0.0])
        flat = origins + (place * width)[:, None] * frames[:, :, 1]
        return rotations, origins + border - np.einsum("snij,nj->sni", rotations, flat)

    def beyond(self, strip: int, points: np.ndarray) -> np.ndarray:
        """How far points (..., 3) of a flat strip lie beyond its inner border, mm."""
        across = self.frames[strip, :, 1]
        return np.asarray(
            (points - self.origins[strip]) @ across - self.place[strip] * self.width[strip]
        )

    def bend(self, strip: int, points: np.ndarray, shares: np.ndarray) -> np.ndarray:
        """Where points (n, 3) of a flat strip lie at shares (m,) of the curl, shape (m, n, 3).

        The faces of a strip end in the bisector between it and the next one, so that paper of some
        thickness stays whole; its middle keeps its lengths.
        """
        turns, shifts = self._of(strip, shares)
        moved = np.einsum("mij,nj->mni", turns, points) + shifts[:, None]
        share, height = self._inside(strip, points)
        turn = self.turn(strip, shares)
        outer = np.where(self.is_last(strip), 0.0, share > 1 - _ON_BORDER)
        inner = np.where(self.place[strip] == 0, 0.0, share < _ON_BORDER)
        mitre = height * (inner - outer) * np.tan(turn / 2)[:, None]
        return np.asarray(moved + mitre[..., None] * (turns @ self.frames[strip, :, 1])[:, None])

    def bend_normals(
        self, strip: int, points: np.ndarray, normals: np.ndarray, shares: np.ndarray
    ) -> np.ndarray:
        """Normals (n, 3) of the cylinder at such points, shape (m, n, 3)."""
        share, _ = self._inside(strip, points)
        angle = (self.place[strip] + share) * self.turn(strip, shares)[:, None]
        local = normals @ self.frames[strip]
        c, s = np.cos(angle), np.sin(angle)
        across, up = local[:, 1], local[:, 2]
        along = np.broadcast_to(local[:, 0], angle.shape)
        turned = np.stack([along, c * across - s * up, s * across + c * up], axis=-1)
        return np.asarray(turned @ self.frames[strip].T)

    def turn(self, strip: int, shares: np.ndarray) -> np.ndarray:
        """By how much a strip is turned against the next at shares (m,), radians."""
        half = shares * self.width[strip] / self.radius[strip] / 2
        return np.asarray(2 * np.arcsin(np.clip(half, 0.0, 1.0)))

    def is_last(self, strip: int) -> bool:
        """Whether a strip is the outermost of its facet."""
        after = strip + 1
        return bool(after == len(self.place) or self.place[after] == 0)

    def _inside(self, strip: int, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Shares of a strip's width from its inner border, and heights over its middle, mm."""
        share = np.clip(self.beyond(strip, points) / self.width[strip], 0.0, 1.0)
        return share, (points - self.origins[strip]) @ self.frames[strip, :, 2]

    def _of(self, strip: int, shares: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        every = np.broadcast_to(shares, (len(self.entries), len(shares)))
        turns, shifts = self.bends(every, strips=np.array([strip]))
        return turns[:, 0], shifts[:, 0]


def rolled(linkage: Linkage) -> Rolled:
    """Cut the curled facets of a linkage into strips."""
    found = {id(p.sheet): p.sheet for body in linkage.bodies for p in body.parts}
    curled = [sheet for sheet in found.values() if sheet.curls]
    cuts = {id(sheet): cut_up(sheet) for sheet in curled}
    order = list(dict.fromkeys(sheet.piece for sheet in curled))
    wanted = {(sheet.piece, curl.number) for sheet in curled for curl in sheet.curls}
    entries = sorted(wanted, key=lambda entry: (order.index(entry[0]), entry[1]))
    bodies, strips, rows = [], [], []
    for number, body in enumerate(linkage.bodies):
        parts = []
        for part in body.parts:
            if id(part.sheet) not in cuts:
                parts.append(part)
                continue
            sheet, pieces = cuts[id(part.sheet)]
            parts.append(replace(part, sheet=sheet, facet=sheet.facet(part.facet.name)))
            for cut, k, facets in pieces.get(part.facet.name, ()):
                entry = entries.index((sheet.piece, cut.curl.number))
                strips.append(_strip_body(body, part, sheet, k, facets))
                frame, origin = _frame(part, *cut.curl.frame, cut.curl.towards)
                rows.append((number, entry, k, cut.width, cut.radius, frame, origin))
        bodies.append(replace(body, parts=tuple(parts)))
    parents, entry, place, width, radius, frames, origins = zip(*rows, strict=True)
    return Rolled(
        replace(linkage, bodies=(*bodies, *strips)),
        replace(linkage, bodies=tuple(_without_strips(body, cuts) for body in linkage.bodies)),
        {flat: sheet for flat, (sheet, _) in cuts.items()},
        tuple(entries),
        np.array(parents),
        np.array(entry),
        np.array(place),
        np.array(width),
        np.array(radius),
        np.array(frames),
        np.array(origins),
    )


def _without_strips(body: Body, cuts: Mapping[int, Cut]) -> Body:
    """A body of the flat linkage, its curled facets as far as they stay flat."""
    parts = []
    for part in body.parts:
        sheet = part.sheet
        if id(sheet) in cuts:
            held = tuple(cuts[id(sheet)][0].facet(facet.name) for facet in sheet.facets)
            sheet = replace(sheet, facets=held, curls=())
        parts.append(replace(part, sheet=sheet, facet=sheet.facet(part.facet.name)))
    return replace(body, parts=tuple(parts))


def _strip_body(body: Body, part: Part, sheet: Sheet, k: int, facets: Sequence[Facet]) -> Body:
    own = tuple(
        replace(part, id=f"{sheet.piece}.{facet.name}", sheet=sheet, facet=facet)
        for facet in facets
    )
    return Body(f"{body.name}{MARK}{part.facet.name}{MARK}{k + 1}", own)


def _frame(
    part: Part, origin: np.ndarray, along: np.ndarray, across: np.ndarray, towards: int
) -> tuple[np.ndarray, np.ndarray]:
    """The frame of a curl and a point of its line in the coordinates of the part's body."""
    matrix, up = part.placement.matrix, part.placement.up
    a, b = (np.append(matrix @ each, 0.0) for each in (along, across))
    n = np.array([0.0, 0.0, float(towards * up)])
    return np.column_stack([a, b, n]), np.append(part.placement.apply(origin), part.height)
