"""The front door: from a design file to sheets, linkage and motion."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from .design import Design, Standing, draft
from .design.mistakes import listed, nearest
from .design.values import Setting
from .errors import DesignError, Mistake
from .hosts import Hosts, page_sheet
from .linkage import GlueError, Linkage, link
from .motion.result import Motion
from .named import RESERVED
from .pieces.artwork import attach
from .pieces.curl import complaints, roll
from .pieces.piece import Context, Piece, lit, turn_over
from .sheet import Built, Join, Obstacle, Paper, Sheet

if TYPE_CHECKING:
    from .cache import Shelf
    from .curl.closing import Shares
    from .curl.roll import Rolled
    from .motion.kept import LastMotion
    from .motion.memory import Memory
    from .others import Others


@dataclass(frozen=True)
class Spread:
    """A design with its sheets, how they are glued, and what moves.

    Parameters
    ----------
    sheets : the first is the spread of pages itself.
    warnings : what can be built but will not work as wished, one line each.
    shelf : where its motions are kept from one run to the next, see :mod:`meshes.motion.kept`.
    built : sheets, joins and the like of each piece by name.
    """

    design: Design
    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    linkage: Linkage
    warnings: tuple[Mistake, ...] = ()
    shelf: Shelf | None = None
    built: Mapping[str, Built] = field(default_factory=dict, repr=False)

    def __getstate__(self) -> dict[str, object]:
        """As it is now: another thread may keep something in it while it is packed."""
        return vars(self).copy()

    @cached_property
    def curling(self) -> tuple[Rolled, Shares] | None:
        """Its curled paper in strips and how far it is curled; None if nothing is."""
        if not any(sheet.curls for sheet in self.sheets):
            return None
        from .curl.kept import curling

        return curling(self)

    def solve(
        self,
        openings: np.ndarray,
        driven: Mapping[str, float | np.ndarray] | None = None,
        memory: Memory | None = None,
        beside: Others | None = None,
    ) -> Motion:
        """The motion over openings of shape (S,), radians, 0 closed to pi flat open.

        Parameters
        ----------
        driven : for pieces that a hand moves, how far at each opening, 0 to 1; see
            :func:`meshes.drive.solve`. Left out, they are where they rest.
        memory : of earlier solves, of this design or another; what has not changed since is taken
            from it. Colours, papers and art never count as a change.
        beside : processes that solve a part of it meanwhile, if it is solved without a `memory`.
        """

        def found(memory: Memory | None) -> Motion:
            from .drive import solve

            return solve(self.linkage, openings, driven, memory)

        if self.shelf is None or memory is not None:
            return found(memory)
        from .motion.kept import solved_once

        part = None if driven else self._last.part(openings)
        if part is not None:
            return part

        def anew() -> Motion:
            self._solved.beside = beside
            return found(self._solved)

        motion = solved_once(self.shelf, self.linkage, openings, driven or {}, anew)
        if not driven:
            self._last.motion = motion
        return motion

    @cached_property
    def _last(self) -> LastMotion:
        from .motion.kept import LastMotion

        return LastMotion()

    @cached_property
    def _solved(self) -> Memory:
        """What was solved before, since a command may ask for several sets of openings."""
        from .motion.memory import Memory

        return Memory(motions=0)  # those are on the shelf


def read(
    path: str | PathLike[str],
    overrides: Mapping[str, Setting] | None = None,
    before: Spread | None = None,
    text: str | None = None,
    *,
    blank: bool = False,
) -> Spread:
    """Read a design file and build its sheets and linkage.

    Parameters
    ----------
    overrides : what to use instead of the file's values: a name in ``[values]``, or a path such
        as ``pieces.fern.at``.
    before : the same file with other values; pieces that these did not change are taken from it.
    text : what to read instead of what the file holds now.
    blank : a notebook without any piece will do.

    Raises
    ------
    DesignError
        With every mistake in the file, one line each.
    """
    found = draft(path, overrides, text, blank=blank)
    return _build(found.design, found.mistakes, found.broken, found.standing, before)


def build(design: Design, before: Spread | None = None) -> Spread:
    """Build the sheets and the linkage of a design; DesignError with every mistake.

    Parameters
    ----------
    before : the same file with other values, or more pieces; see :func:`read`.
    """
    return _build(design, (), frozenset(), {}, before)


def hosts_of(spread: Spread) -> Hosts:
    """What the pieces of a spread offer each other to stand on."""
    hosts = Hosts(spread.sheets[0])
    for name, built in spread.built.items():
        hosts.add(built, over=spread.design.pieces[name].printed == "back")
    return hosts


def _build(
    design: Design,
    mistakes: Sequence[Mistake],
    broken: Iterable[str],
    standing: Mapping[str, Standing],
    before: Spread | None = None,
) -> Spread:
    settings = design.spread
    paper = Paper("page", 90.0, 0.1, settings.paper, settings.paper)
    page = page_sheet(settings.width, settings.height, paper)
    builder = _Builder(design, page, mistakes, broken, before)
    builder.build_all()
    builder.check_standing(standing)
    if builder.mistakes:
        raise DesignError(builder.mistakes)
    pieces = builder.built.values()
    sheets = (page, *(sheet for built in pieces for sheet in built.sheets))
    joins = tuple(join for built in pieces for join in built.joins)
    drives = tuple(drive for built in pieces for drive in built.drives)
    obstacles: list[Obstacle] = [o for built in pieces for o in built.obstacles]
    try:
        known = (before.linkage, before.joins) if before is not None else None
        linkage = link(sheets, joins, obstacles, drives, known)
    except GlueError as error:
        facet, _, reason = str(error).partition(" ")
        piece = facet.partition(".")[0]
        raise DesignError(
            [Mistake(design.file, f"facet {facet} {reason}", piece, advice="glue it once only")]
        ) from None
    if drives:
        _check_drives(design, linkage)
    _check_curls(design, sheets, joins, linkage)
    return Spread(
        design, sheets, joins, linkage, tuple(builder.warnings), built=dict(builder.built)
    )


def _check_drives(design: Design, linkage: Linkage) -> None:
    from .drive import DriveError, check

    try:
        check(linkage)
    except DriveError as error:
        raise DesignError([Mistake(design.file, str(error))]) from None


def _check_curls(
    design: Design, sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage
) -> None:
    """Complain of curled paper that is held down."""
    mistakes = list(complaints(sheets, joins))
    if linkage.drives and any(sheet.curls for sheet in sheets):
        from .curl.laid import by_hand

        mistakes += by_hand(linkage)
    if mistakes:
        raise DesignError([replace(mistake, file=design.file) for mistake in mistakes])


class _Builder:
    """Builds the pieces, hosts first, and collects what is wrong."""

    def __init__(
        self,
        design: Design,
        page: Sheet,
        mistakes: Sequence[Mistake],
        broken: Iterable[str],
        before: Spread | None = None,
    ) -> None:
        self.design, self.hosts = design, Hosts(page)
        self.mistakes, self.broken = list(mistakes), set(broken)
        self.before = before if before and _same_ground(before.design, design) else None
        self.built: dict[str, Built] = {}
        # Pieces that are as they were before.
        self.unchanged: set[str] = set()
        self.warnings: list[Mistake] = []

    def build_all(self) -> None:
        """Build every piece whose hosts can be built."""
        waiting = dict(self.design.pieces)
        for name in [n for n, piece in waiting.items() if not self._hosts_exist(n, piece)]:
            self.broken.add(name)
        while waiting:
            ready = [n for n, piece in waiting.items() if not _needs(piece) & set(waiting)]
            if not ready:
                self._complain_of_circles(waiting)
                return
            for name in ready:
                piece = waiting.pop(name)
                if name in self.broken or _needs(piece) & self.broken:
                    self.broken.add(name)
                    continue
                self._build(name, piece)

    def _hosts_exist(self, name: str, piece: Piece) -> bool:
        known = set(self.design.pieces) | self.broken
        sound = True
        for host in sorted(_needs(piece) - known):
            if self._is_copy_of_broken(host):
                return False
            on = next(h for h in piece.hosts if h.partition(".")[0] == host)
            self._no_such_host(name, on)
            sound = False
        return sound

    def _is_copy_of_broken(self, host: str) -> bool:
        return any(host.startswith(f"{broken}-") for broken in self.broken)

    def _no_such_host(self, name: str, on: str) -> None:
        near = nearest(on, [*self.design.pieces, "gutter", "page.left", "page.right"])
        choices = listed(["gutter", "page.left", "page.right", *self.design.pieces])
        self._wrong(name, "on", "stands on a piece that does not exist", repr(on), choices, near)

    def check_standing(self, standing: Mapping[str, Standing]) -> None:
        """Tell of pieces left out for other mistakes that what they stand on is wrong too."""
        built = {
            "page",
            "gutter",
            *(sheet.piece for b in self.built.values() for sheet in b.sheets),
        }
        for name, piece in standing.items():
            host = piece.on.partition(".")[0]
            if host not in {*built, *self.design.pieces, *self.broken}:
                if not self._is_copy_of_broken(host):
                    self._no_such_host(name, piece.on)
                continue
            if host not in built:
                continue
            try:
                find = self.hosts.crease if piece.what == "crease" else self.hosts.facet
                find(piece.on)
            except DesignError as error:
                self.mistakes += [
                    replace(m, file=self.design.file, piece=name) for m in error.mistakes
                ]

    def _build(self, name: str, piece: Piece) -> None:
        over = piece.printed == "back"
        built = self._as_before(name, piece)
        if built is None:
            try:
                built = piece.build(self._context(name, piece))
                self._check_folds(name, piece, built)
            except DesignError as error:
                self.mistakes += [
                    replace(m, file=self.design.file, piece=m.piece or name) for m in error.mistakes
                ]
                self.broken.add(name)
                return
            built = turn_over(built) if over else built
            if piece.images or piece.lettering:
                built = self._printed(name, piece, built)
            if piece.curl:
                built = self._curled(name, piece, built)
            if piece.glow:
                built = lit(built, piece.glow, piece.glow_colour)
        self.hosts.add(built, over=over)
        self.built[name] = built
        self.warnings += [
            replace(m, file=self.design.file, piece=m.piece or name) for m in built.warnings
        ]

    def _as_before(self, name: str, piece: Piece) -> Built | None:
        """What the piece was before, if neither it nor anything that it stands on has changed."""
        before = self.before
        if before is None or name not in before.built or not _needs(piece) <= self.unchanged:
            return None
        if before.design.pieces[name] != piece:
            return None
        self.unchanged.add(name)
        return before.built[name]

    def _printed(self, name: str, piece: Piece, built: Built) -> Built:
        """The sheets with their art; without it if some of it can't be used."""
        try:
            return attach(built, piece.images, piece.lettering, Path(self.design.file).parent)
        except DesignError as error:
            self.mistakes += [replace(m, file=self.design.file, piece=name) for m in error.mistakes]
            return built

    def _curled(self, name: str, piece: Piece, built: Built) -> Built:
        """The sheets with their curls; without them if one can't be had."""
        try:
            return roll(built, piece.curl)
        except DesignError as error:
            self.mistakes += [replace(m, file=self.design.file, piece=name) for m in error.mistakes]
            return built

    def _context(self, name: str, piece: Piece) -> Context:
        paper = self.design.papers[piece.paper]
        return Context(
            name,
            paper,
            piece.front or paper.front,
            piece.back or paper.back,
            self.hosts.crease,
            self.hosts.facet,
            self.hosts.middle,
            piece.folds,
            self.design.papers,
            Path(self.design.file).parent,
            (self.design.spread.width, self.design.spread.height),
        )

    def _check_folds(self, name: str, piece: Piece, built: Built) -> None:
        known = [c.fold.name for sheet in built.sheets for c in sheet.crossings]
        for fold in piece.folds:
            if fold not in known:
                near = nearest(fold, known)
                self._wrong(
                    name, f"folds.{fold}", "is not one of its folds", "", listed(known, 30), near
                )

    def _complain_of_circles(self, waiting: Mapping[str, Piece]) -> None:
        left = dict(waiting)
        while left:
            path = [next(iter(left))]
            while True:
                step = next((n for n in sorted(_needs(left[path[-1]])) if n in left), None)
                if step is None or step in path:
                    break
                path.append(step)
            if step is not None:
                circle = path[path.index(step) :]
                text = " on ".join([*circle, step])
                self._wrong(circle[0], "on", f"goes round in a circle: {text}")
            for name in path:
                del left[name]

    def _wrong(
        self,
        piece: str,
        key: str,
        problem: str,
        found: str = "",
        allowed: str = "",
        advice: str = "",
    ) -> None:
        self.mistakes.append(Mistake(self.design.file, problem, piece, key, found, allowed, advice))


def _same_ground(one: Design, two: Design) -> bool:
    """Whether two designs agree in all but their pieces, as far as these depend on it."""
    return (one.file, one.papers, one.spread) == (two.file, two.papers, two.spread)


def _needs(piece: Piece) -> set[str]:
    """Names of the pieces that must be built before this one."""
    return {host.partition(".")[0] for host in piece.hosts} - {*RESERVED}
