"""What is printed on paper, under the hand: pictures and lettering are laid down, moved, turned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field
from shapely.geometry import box

from meshes.art import Image, Lettering, raster, size_of
from meshes.design.edit import AddPiece, Append, Clear, Edit, SetValue, name_like
from meshes.design.edit.edits import units_of
from meshes.design.edit.names import meant, tables_of
from meshes.design.repeat import other_side
from meshes.linkage import Part
from meshes.measure import Units
from meshes.pieces.artwork import FONT
from meshes.pull.choose import rounded
from meshes.pull.hold import HoldError, gripped
from meshes.sheet import Placement, Sheet
from meshes.spread import Spread
from preview.errors import UseError

from .asked import Finite, Name, Request
from .drawer import in_units
from .payload import art_on
from .tray import address
from .values import further

Json = dict[str, Any]

# Steps of a hand, in units of the file and in degrees, as of one that pulls. Our choice.
_STEPS: Mapping[str, float] = {"mm": 1.0, "cm": 0.1, "in": 0.05}
_TURN, _FINER = 1.0, 10
# Of what is printed, mm: it must still be found again. Our choice.
_LEAST, _MOST = 2.0, 2000.0
# A picture covers so much of a facet when it is laid on it. Our choice.
_SHARE = 0.7
# Type that is written on paper and nothing else tells its size: our choice, mm.
TYPE_MM = 8.0
_MARGIN_MM = 5.0
_PLACE = ("facet", "side", "x", "y")


class UnderHand(BaseModel):
    """Paper under the hand.

    Parameters
    ----------
    piece, body, local : what lies there, and a point in the coordinates of its body, mm.
    seen : from which side of that body's plane it is seen, 1 from its z.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    piece: Name
    body: Name
    local: tuple[Finite, Finite, Finite]
    seen: Literal[1, -1] = 1


class Moved(Request):
    """A print is moved by so many mm to the right and up, turned, and made larger.

    Parameters
    ----------
    key : where its piece has it, as in ``images.1``.
    turn : degrees, counter-clockwise.
    scale : 1 leaves it as large as it is.
    fine : whether tenths of the usual steps count.
    """

    piece: Name
    key: Annotated[str, Field(pattern=r"^(images|lettering)\.\d{1,3}$")]
    right: Finite = 0.0
    up: Finite = 0.0
    turn: Annotated[float, Field(ge=-360, le=360)] = 0.0
    scale: Annotated[float, Field(ge=0.01, le=100)] = 1.0
    fine: bool = False


class Carried(Request):
    """A print is carried to other paper: to another facet, side or piece.

    Parameters
    ----------
    key : as of :class:`Moved`.
    spot : the paper under the hand.
    right, up : how far the hand is from the print's middle, mm, as who reads it sees it.
    """

    piece: Name
    key: Annotated[str, Field(pattern=r"^(images|lettering)\.\d{1,3}$")]
    spot: UnderHand
    right: Finite = 0.0
    up: Finite = 0.0
    fine: bool = False


class Gone(Request):
    """A picture is taken off its paper; see :class:`Moved`."""

    piece: Name
    key: Annotated[str, Field(pattern=r"^images\.\d{1,3}$")]


class Written(Request):
    """Lettering that is typed on the paper; or, with a `key`, typed anew."""

    text: Annotated[str, Field(max_length=200)]
    spot: UnderHand | None = None
    piece: Name = ""
    key: Annotated[str, Field(pattern=r"^(lettering\.\d{1,3})?$")] = ""


@dataclass(frozen=True)
class Face:
    """A side of a facet, and a point on it in the coordinates of its sheet, mm."""

    part: Part
    place: tuple[float, float]
    side: Literal["front", "back"]

    @property
    def facet(self) -> str:
        """Its name within its piece."""
        return self.part.facet.name

    def shift(self, middle: tuple[float, float]) -> tuple[float, float]:
        """From a point of the sheet to the place, to the right and up for whoever reads it."""
        x, y = self.place[0] - middle[0], self.place[1] - middle[1]
        return (-x if self.side == "back" else x), y


def ground_of(spread: Spread, spot: UnderHand) -> Face:
    """The facet under the hand; UseError if it is gone."""
    try:
        grip = gripped(spread.linkage, spot.piece, spot.body, spot.local)
    except HoldError:
        raise UseError("the paper under the hand is not there any more; try again") from None
    parts = (part for body in spread.linkage.bodies for part in body.parts)
    part = next(part for part in parts if part.id == grip.part)
    x, y = grip.point
    return Face(part, (float(x), float(y)), "front" if spot.seen == part.placement.up else "back")


def prints(spread: Spread) -> list[Json]:
    """Where everything lies that is printed on pieces, for the page's frames.

    Returns
    -------
    Each with its ``piece`` and ``key``, the number of its ``sheet``, ``side``, ``size`` (mm), the
    map of its coordinates to the sheet's as ``placed`` (a, b, c, d, x, y) and its ``text`` or the
    name of its ``file``.
    """
    return [
        {
            "piece": sheet.piece,
            "key": item.key,
            "sheet": number,
            "side": item.side,
            "size": [round(one, 3) for one in size_of(item)],
            "placed": [*item.placement.matrix.ravel().tolist(), *item.placement.shift],
            **({"file": item.file.name} if isinstance(item, Image) else {"text": item.text}),
        }
        for number, sheet in enumerate(spread.sheets)
        for item in sheet.art
    ]


def lifted(spread: Spread, piece: str, key: str) -> Json:
    """A print taken off its paper: what it looks like by itself, and what stays behind.

    Returns
    -------
    ``look`` at it as a data address; ``rest``, for each facet of its sheet by full name the art
    without it, as the page has it.

    Raises
    ------
    UseError
        If it is not there.
    """
    sheet, item = _found(spread, piece, key)
    width, height = size_of(item)
    alone = replace(item, placement=Placement(), side=1)
    look = raster((alone,), box(-width / 2, -height / 2, width / 2, height / 2), 1)
    left = tuple(other for other in sheet.art if other is not item)
    return {
        "look": "" if look is None else address(look.pixels),
        "rest": {
            part.id: art_on(left, part.facet.polygon)
            for body in spread.linkage.bodies
            for part in body.parts
            if part.sheet is sheet
        },
    }


def moved(text: str, spread: Spread, wanted: Moved) -> list[Edit]:
    """The edits that move, turn and size a print.

    Raises
    ------
    UseError
        If it is not there any more, or would be too small or too large to be found again.
    """
    _, item = _found(spread, wanted.piece, wanted.key)
    name, over = table_of(text, wanted.piece)
    kind, number = wanted.key.split(".")
    path, entry = ("pieces", name, kind, number), tables_of(text)["pieces"][name][kind]
    spec = entry[int(number) - 1]
    grid = _Grid(units_of(text), wanted.fine)
    right, turn = (-wanted.right, -wanted.turn) if over else (wanted.right, wanted.turn)
    edits: list[Edit] = []
    for key, by in (("x", right), ("y", wanted.up)):
        if by:
            edits.append(grid.moved((*path, key), spec.get(key), by))
    if turn:
        edits.append(grid.turned((*path, "turn"), spec.get("turn"), turn))
    if wanted.scale != 1.0:
        edits += [grid.sized((*path, k), v) for k, v in _sizes(item, spec, wanted.scale)]
    return edits


def carried(text: str, spread: Spread, wanted: Carried) -> list[Edit]:
    """The edits that carry a print to the paper under the hand.

    Its turn and size stay; where it lies is written anew.

    Raises
    ------
    UseError
        If it is not there any more, or the hand is over a page.
    """
    _found(spread, wanted.piece, wanted.key)
    if wanted.spot.piece == "page":
        raise UseError("a page itself is not printed on; let it go over a piece of paper")
    ground = ground_of(spread, wanted.spot)
    read = -1 if ground.side == "back" else 1
    x, y = ground.place
    middle = replace(ground, place=(x - read * wanted.right, y - wanted.up))
    source, _ = table_of(text, wanted.piece)
    target, _ = table_of(text, wanted.spot.piece)
    kind, number = wanted.key.split(".")
    path = ("pieces", source, kind, number)
    spec = dict(tables_of(text)["pieces"][source][kind][int(number) - 1])
    spot = _place_keys(text, middle, wanted.fine)
    if source != target:
        kept = {key: spec[key] for key in spec if key not in _PLACE}
        return [Clear(path=path), Append(path=("pieces", target, kind), value={**kept, **spot})]
    edits: list[Edit] = [SetValue(path=(*path, key), value=value) for key, value in spot.items()]
    if "side" in spec and "side" not in spot:
        edits.append(Clear(path=(*path, "side")))
    return edits


def _sizes(item: Image | Lettering, spec: Json, scale: float) -> list[tuple[str, float]]:
    """The keys that say how large a print is, and what they become, mm."""
    if isinstance(item, Lettering):
        sizes = [("size", item.size)]
    else:
        sizes = [(k, getattr(item, k)) for k in ("width", "height") if spec.get(k) is not None]
        sizes = sizes or [("width", item.width)]
    found = [(key, size * scale) for key, size in sizes]
    if not all(_LEAST <= size <= _MOST for _, size in found):
        raise UseError(f"a print is {_LEAST:g} to {_MOST:g} mm large")
    return found


@dataclass(frozen=True)
class _Grid:
    """What a hand's numbers are rounded to, in a unit of the file."""

    units: Units
    fine: bool = False

    @property
    def step(self) -> float:
        return _STEPS[self.units.length] / (_FINER if self.fine else 1)

    def moved(self, path: tuple[str, ...], value: Any, by: float) -> SetValue:
        """A length goes on by some mm."""
        return SetValue(path=path, value=further(value, *self._on(value, by / self.units.mm)))

    def turned(self, path: tuple[str, ...], value: Any, by: float) -> SetValue:
        """An angle goes on by some degrees, and stays within half a turn."""
        step = _TURN / (_FINER if self.fine else 1)
        if isinstance(value, str):
            return SetValue(path=path, value=further(value, 0.0, rounded(by, step)))
        whole = rounded(float(value or 0) + by, step)
        return SetValue(path=path, value=round((whole + 180) % 360 - 180, 4))

    def sized(self, path: tuple[str, ...], mm: float) -> SetValue:
        """A length becomes some mm."""
        return SetValue(path=path, value=max(self.step, rounded(mm / self.units.mm, self.step)))

    def of(self, mm: float) -> float:
        """Some mm as the file says them."""
        return rounded(mm / self.units.mm, self.step)

    def _on(self, value: Any, by: float) -> tuple[float, float]:
        """Where a number is, and how far it goes so that it ends at a step."""
        if isinstance(value, str):
            return 0.0, rounded(by, self.step)
        now = float(value or 0)
        return now, rounded(now + by, self.step) - now


def printed(text: str, ground: Face, file: str, size: tuple[int, int]) -> Append:
    """The edit that prints a picture on a facet, its middle under the hand.

    Parameters
    ----------
    file : its name beside the design.
    size : width and height, pixels.
    """
    left, low, right, top = ground.part.facet.polygon.bounds
    across = min(_SHARE * (right - left), _SHARE * (top - low) * size[0] / size[1])
    width = max(_LEAST, min(across, _MOST))
    return _laid(text, ground, "images", {"file": file}, {"width": width})


def written(text: str, ground: Face, words: str, size: float = TYPE_MM) -> Append:
    """The edit that writes a line of text on a facet, its middle under the hand."""
    return _laid(text, ground, "lettering", {"text": words}, {"size": size})


def _laid(
    text: str, ground: Face, key: str, what: Mapping[str, str], sizes: Mapping[str, float]
) -> Append:
    name, _ = table_of(text, ground.part.sheet.piece)
    grid = _Grid(units_of(text))
    value: Json = {**what, **_place_keys(text, ground)}
    value |= {k: max(grid.step, grid.of(v)) for k, v in sizes.items()}
    return Append(path=("pieces", name, key), value=value)


def _place_keys(text: str, ground: Face, fine: bool = False) -> Json:
    """The keys that say where on its piece something is printed."""
    _, over = table_of(text, ground.part.sheet.piece)
    middle = ground.part.facet.polygon.representative_point()
    x, y = ground.shift((middle.x, middle.y))
    grid, facet = _Grid(units_of(text), fine), ground.facet
    back = {"side": "back"} if ground.side == "back" else {}
    return {
        "facet": other_side(facet, "-") if over else facet,
        **back,
        "x": grid.of(-x if over else x),
        "y": grid.of(y),
    }


def label(text: str, spread: Spread, ground: Face, words: str) -> AddPiece:
    """A slip of paper with a line of text, for words that are typed on a page."""
    font = Lettering(words, TYPE_MM, "#000000", FONT, Placement())
    width, height = (one + 2 * _MARGIN_MM for one in size_of(font))
    paper = rectangle(ground, width, height) | {"front": spread.design.spread.paper}
    table = {**paper, "lettering": [{"text": words, "size": TYPE_MM}]}
    pieces = tables_of(text).get("pieces", {})
    return AddPiece(name=name_like("words", pieces), table=in_units(table, units_of(text).mm))


def rectangle(ground: Face, width: float, height: float) -> Json:
    """A flat piece of paper whose middle lies under the hand, mm."""
    return {
        "kind": "flat",
        "on": ground.part.id,
        "x": round(ground.place[0]),
        "y": round(ground.place[1]),
        "outline": {"shape": "rectangle", "length": round(height), "width": round(width)},
    }


def rewritten(text: str, wanted: Written) -> Edit:
    """The edit that changes a line of lettering, or takes it away if nothing is left of it."""
    name, _ = table_of(text, wanted.piece)
    path = ("pieces", name, *wanted.key.split("."))
    words = wanted.text.strip()
    return SetValue(path=(*path, "text"), value=words) if words else Clear(path=path)


def taken_off(text: str, gone: Gone) -> Clear:
    """The edit that takes a picture off its paper; the file stays."""
    name, _ = table_of(text, gone.piece)
    return Clear(path=("pieces", name, *gone.key.split(".")))


def table_of(text: str, piece: str) -> tuple[str, bool]:
    """The table that a piece or its copy stands in, and whether it is the mirrored copy."""
    name = meant(piece, list(tables_of(text).get("pieces", {})))
    if name is None:
        raise UseError(f"there is no piece {piece} any more")
    return name, piece.endswith("-mirrored") and piece != name


def _found(spread: Spread, piece: str, key: str) -> tuple[Sheet, Image | Lettering]:
    for sheet in spread.sheets if piece != "page" else ():
        for item in sheet.art:
            if sheet.piece == piece and item.key == key:
                return sheet, item
    raise UseError(f"{key} of {piece} is not there any more")
