"""The paper drawer: pieces of every kind, with numbers that fit where they are laid.

A piece from the drawer is tried where the hand drops it. What has no room is tried again smaller,
and only one that passes the check comes into the file.
"""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict
from shapely.geometry import Point

from meshes.design.edit import AddPiece, name_like
from meshes.design.edit.names import pieces_of
from meshes.hosts import Hosts
from meshes.measure import MM_PER_UNIT
from meshes.pull.hold import HoldError, gripped
from meshes.site import CreaseSite
from meshes.spread import Spread, hosts_of
from preview.errors import UseError

from .asked import Finite, Name, Request
from .beside import Beside
from .room import Room, places
from .sizing import foldable, largest_of, sized, sizes
from .stock import Item, stock

Json = dict[str, Any]
_Side = Literal["front", "back"]

# Keys that hold no length.
_KEPT = (
    "page_angle",
    "panel_angle",
    "arm_turn",
    "sectors",
    "angle",
    "petals",
    "levels",
    "shape",
    "file",
    "name",
    "front",
)
# As many creases near the hand are tried. Our choice.
_CREASES = 3
# Processor time for which a hand waits to learn whether something fits, s. Our choice.
PATIENCE_S = 5.0


class NoRoomError(UseError):
    """A piece has no room where it is tried."""


class Dropped(Request):
    """A piece of the drawer and where the hand lets it go.

    Parameters
    ----------
    facet, place : what it is laid on, and where, in the coordinates of the facet's sheet, mm; or
    piece, body, local, seen : what lies under the hand, a point in the coordinates of its body, and
        from which side of that body's plane it is seen, 1 from its z; or
    on : a crease or facet by name, in whose middle it is laid.
    """

    kind: Name
    facet: Name = ""
    place: tuple[Finite, Finite] = (0.0, 0.0)
    piece: Name = ""
    body: Name = ""
    local: tuple[Finite, Finite, Finite] = (0.0, 0.0, 0.0)
    seen: Literal[1, -1] = 1
    on: Name = ""


class Offered(BaseModel):
    """The page asks which places could take a piece of the drawer."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    kind: Name


@dataclass(frozen=True)
class Footing:
    """A crease or facet that could carry a piece, and where on it the hand is."""

    on: str
    at: Mapping[str, float]
    side: _Side = "front"

    def table(self) -> Json:
        """The keys that say so."""
        behind = {} if self.side == "front" else {"side": self.side}
        return {"on": self.on, **self.at, **behind}


def drawer() -> list[Json]:
    """What the drawer holds: name, group, meaning, and what it stands on."""
    return [item.told() for item in stock().values()]


def offered(spread: Spread, kind: str) -> list[Json]:
    """Creases or facets that could take a piece of the drawer."""
    return [place.told() for place in places(spread, _item(kind).told()["stands"])]


def _some(name: str) -> str:
    """A name with its article."""
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _item(kind: str) -> Item:
    if kind not in stock():
        raise UseError(f"there is no {kind} in the drawer")
    return stock()[kind]


class _TooLongError(Exception):
    """What a trial may spend is spent."""


class _Hand:
    """Who waits for a trial: for so much work, and until she takes it back.

    Parameters
    ----------
    clock : the processor time of the thread that tries, s.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock, self._end = clock, 0.0
        self._asked = itertools.count(1)
        self._last = self._back = self._now = 0

    def ask(self) -> int:
        """A number for what is asked for now."""
        self._last = next(self._asked)
        return self._last

    def wait(self, number: int) -> None:
        """Begin to wait for what was asked for."""
        self._now, self._end = number, self._clock() + PATIENCE_S
        self.heed()

    def take_back(self) -> None:
        """Wait no longer for anything that has been asked for so far."""
        self._back = self._last

    def heed(self) -> None:
        """End the trial by an error if nobody waits for it any more."""
        if self._now <= self._back:
            raise UseError("it went back into the drawer")
        if self._clock() > self._end:
            raise _TooLongError


class Drawer:
    """Finds what fits where; what has been tried is known until the design changes.

    Parameters
    ----------
    strict : a piece has no room either where the check would warn.
    clock : the processor time of the thread that tries, s.
    """

    def __init__(
        self, *, strict: bool = False, clock: Callable[[], float] = time.thread_time
    ) -> None:
        self._busy, self._strict = threading.Lock(), strict
        self._room: Room | None = None
        self._known: dict[str, AddPiece | str] = {}
        self._hand = _Hand(clock)

    def take_back(self) -> None:
        """End what is being tried, and what waits for that."""
        self._hand.take_back()

    def added(self, text: str, spread: Spread, dropped: Dropped) -> AddPiece:
        """The edit that lays a piece of the drawer where the hand is.

        Parameters
        ----------
        spread : of the text.

        Raises
        ------
        UseError
            If no place near the hand can carry it, however small, or if that is not found out
            within the time that a hand waits, or if it was taken back meanwhile.
        """
        what, number = dropped.model_dump_json(exclude={"made", "page"}), self._hand.ask()
        with self._busy:
            if self._room is None or self._room.spread is not spread:
                self._room, self._known = self._begun(spread), {}
            if what not in self._known:
                self._hand.wait(number)
                try:
                    self._known[what] = _fitting(text, self._room, dropped)
                except NoRoomError as error:
                    self._known[what] = str(error)
                except _TooLongError:
                    self._known[what] = (
                        f"whether {_some(dropped.kind)} has room here takes longer than"
                        f" {PATIENCE_S:.0f} s to find out; try another place, or paper with"
                        " fewer folds"
                    )
            found = self._known[what]
        if isinstance(found, str):
            raise UseError(found)
        return found

    def _begun(self, spread: Spread) -> Room:
        return Room(spread, strict=self._strict, heed=self._hand.heed)


def _fitting(text: str, room: Room, dropped: Dropped) -> AddPiece:
    item, spread = _item(dropped.kind), room.spread
    pieces = pieces_of(text)
    name = name_like(item.name, pieces)
    per_unit = MM_PER_UNIT[spread.design.units]
    with beside(item.name, spread, keep=False) as named:
        sizes = (
            [{"kind": item.kind, **spot.table(), **one, **named} for one in _tables(item, spread)]
            for spot in spots(spread, item, dropped)
        )
        fits: list[Json] = []

        def trouble(table: Json) -> str:
            reason = room.trouble(name, table)
            fits.extend([] if reason else [table])
            return reason

        try:
            found = first_with_room(_some(item.name), sizes, trouble)
        except _TooLongError:
            if not fits:
                raise
            found = fits[-1]  # there may be room for a larger one, but she waits
    return AddPiece(name=name, table=in_units(found, per_unit))


def first_with_room(
    what: str, tried: Iterable[Sequence[Json]], trouble: Callable[[Json], str]
) -> Json:
    """The largest table without trouble at the first place that has any.

    Parameters
    ----------
    what : looks for room, for a person.
    tried : at each place, ever smaller tables.

    Raises
    ------
    NoRoomError
        If there is no room, with the first reason that a place gives.
    """
    reason = ""
    for tables in tried:
        number, why = largest_of(tables, trouble)
        if number is not None:
            return tables[number]
        reason = reason or why
    because = f": {reason}" if reason else ""
    raise NoRoomError(f"{what} finds no room here{because}; try another place")


@contextmanager
def beside(kind: str, spread: Spread, *, keep: bool = True) -> Iterator[Json]:
    """A shipped drawing beside the design file; its ``file`` there, for the piece.

    A drawing that is there already is used. A new one goes again if what it is needed for fails,
    or is not to be kept.
    """
    item = _item(kind)
    if item.file is None:
        yield {}
        return
    folder = Path(item.table["file"]).parent
    files = Beside(Path(spread.design.file).parent / folder)
    name, new = files.put(item.file.stem, item.file.suffix, item.file.read_bytes())
    done = False
    try:
        yield {"file": (folder / name).as_posix()}
        done = True
    finally:
        if new and not (done and keep):
            files.take_back(name)


def spots(spread: Spread, item: Item, dropped: Dropped) -> Iterator[Footing]:
    """Creases or facets that could carry an item, the nearest first."""
    if item.kind == "flyleaf":
        yield Footing("gutter", {})
        return
    if dropped.on:
        yield Footing(dropped.on, {})
        return
    hosts = hosts_of(spread)
    facet, point, face = _under_the_hand(spread, hosts, dropped)
    if item.stands == "facet":
        side = _side(hosts, facet, face)
        ground = hosts.facet(facet, 1 if side == "front" else -1)
        x, y = ground.placement.inverse().apply(point)
        yield Footing(facet, {"x": round(float(x)), "y": round(float(y))}, side)
        return
    found = sorted(_creases(hosts, facet, point, face), key=lambda one: one[0])
    while not found and facet in hosts.glued:  # what it lies on may have a crease
        join = hosts.glued[facet]
        facet, point, face = join.host, join.placement.apply(point), join.side
        found = sorted(_creases(hosts, facet, point, face), key=lambda one: one[0])
    if not found:
        raise UseError(
            f"{_some(item.name)} stands on a crease, and {facet.partition('.')[0]} has none"
        )
    for _, spot in found[:_CREASES]:
        yield spot


def _under_the_hand(spread: Spread, hosts: Hosts, dropped: Dropped) -> tuple[str, np.ndarray, int]:
    """The facet under the hand, where on its sheet, and which face of the sheet: 1 the printed."""
    facet, place, face = dropped.facet, dropped.place, 1
    if dropped.body:
        try:
            grip = gripped(spread.linkage, dropped.piece, dropped.body, dropped.local)
        except HoldError:
            facet = ""
        else:
            facet, place = grip.part, grip.point
            parts = (part for body in spread.linkage.bodies for part in body.parts)
            face = dropped.seen * next(part for part in parts if part.id == facet).placement.up
    if facet not in hosts.facets:
        raise UseError("the paper under the hand is not there any more; try again")
    return facet, np.asarray(place), face


def _side(hosts: Hosts, facet: str, face: int) -> _Side:
    """What a design calls a face of a facet."""
    return "front" if hosts.facet(facet, 1).side == face else "back"


def _creases(
    hosts: Hosts, facet: str, point: np.ndarray, face: int
) -> Iterator[tuple[float, Footing]]:
    """Creases of the sheet under the hand, each with how far the hand is from it, mm."""
    sheet = hosts.facets[facet][0]
    side = _side(hosts, facet, face)
    own = {f"{sheet.piece}.{one.name}" for one in sheet.facets}
    names = [f"{sheet.piece}.{crossing.fold.name}" for crossing in sheet.crossings]
    names += [n for n, site in hosts.sites.items() if own & {site.left.facet, site.right.facet}]
    for name in names:
        site = hosts.crease(name, 1 if side == "front" else -1)
        at = _along(site, own, point)
        if at is None:
            continue
        along, away = at
        on = "gutter" if name == "page.gutter" else name
        yield away, Footing(on, {"at": round(along)}, side)


def _along(site: CreaseSite, own: set[str], point: np.ndarray) -> tuple[float, float] | None:
    """How far along a crease a point of its sheet lies, and how far from it, mm."""
    grounds = [ground for ground in (site.left, site.right) if ground.facet in own]
    if not grounds:
        return None
    x, y = grounds[0].placement.inverse().apply(point)
    along = float(np.clip(y, 0, site.length))
    return along, Point(x, y).distance(Point(0, along))


def _tables(item: Item, spread: Spread) -> Iterator[Json]:
    """An item in ever smaller sizes, until it is too small to be folded."""
    page = spread.design.spread
    tables = {"pieces": {item.name: {"kind": item.kind, **item.table}}}
    for size in sizes((page.width, page.height)):
        smaller = sized(tables, [item.name], size)
        if not foldable(smaller, [item.name]):
            return
        yield smaller["pieces"][item.name]


def in_units(value: Any, per_unit: float, key: str = "") -> Any:
    """Lengths of a table in the unit of the file."""
    if isinstance(value, Mapping):
        return {name: in_units(one, per_unit, name) for name, one in value.items()}
    if isinstance(value, list):
        return [in_units(one, per_unit, key) for one in value]
    if key in (*_KEPT, "scale") or isinstance(value, str) or per_unit == 1.0:
        return value
    return round(value / per_unit, 3)
