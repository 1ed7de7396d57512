"""What a part is called in a sentence: by its role, never by its name in a table."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from meshes.sheet import Sheet

_LEG = re.compile(r"(?:(?P<layer>.+)-)?leg-(?P<side>left|right)(?:-(?P<rest>.+))?")
_OF_LAYER = re.compile(r"(?P<layer>.+)-(?P<part>(?:petal|fold)-\d+|flap)")
_NUMBERED = re.compile(r"(?P<what>tread|strut)-(?P<number>\d+)-(?P<rest>.+)")
_END_WALL = re.compile(r"(?P<end>foot|head)-end(?:-(?P<half>left|right))?(?P<edge>-edge)?")
_HALF = re.compile(r"(?P<what>[a-z][\w-]*)-(?P<half>left|right)")
_UNHALVED = re.compile(r"(?:strut|upper|lower|leg|.+-leg)(?:-.+)?")
_TAB = re.compile(r"(?P<part>flap|platform|lid)-tab")
_LIP = re.compile(r"(?P<lip>upper|lower)-(?P<rest>(?:left|right)-base|ridge|left|right)")


def plain(name: str) -> str:
    """A name from a design file as one says it: ``left tower 2`` for ``tower-left-2``."""
    words = name.replace("-", " ").replace("_", " ").split()
    for k, word in enumerate(words):
        last = k == len(words) - 1
        side = word in _SIDES and (last or not words[k - 1].isdigit())
        if k and (side or word == "mirrored"):
            return " ".join([word, *words[:k], *words[k + 1 :]])
    return " ".join(words)


def paper_called(name: str) -> str:
    """One of the ready papers as one says it, another by the name that the design gives it."""
    from meshes.design.model import PAPERS

    return plain(name) if name in PAPERS else f"the paper “{plain(name)}”"


# What a name says last, and a sentence first.
_SIDES = ("left", "right")


def counted(count: int, thing: str) -> str:
    """``1 sheet``, ``3 sheets``."""
    return f"{count} {thing}{'s' * (count != 1)}"


def listed(items: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def role(name: str) -> str:
    """A facet or fold by what it is, as in ``upper tab of the left leg of the outer layer``."""
    if match := _LEG.fullmatch(name):
        leg = f"{match['side']} leg" + _layer(match["layer"])
        rest = match["rest"]
        if rest is None:
            return leg
        half = re.fullmatch(r"(.+)-(left|right)", rest)
        if half:
            return f"{half[2]} half of the {_on_leg(half[1])} of the {leg}"
        return f"{_half(_on_leg(rest))} of the {leg}"
    if match := _OF_LAYER.fullmatch(name):
        return plain(match["part"]) + _layer(match["layer"])
    if match := _NUMBERED.fullmatch(name):
        part = f"{match['what']} {match['number']}"
        if match["what"] == "strut" and match["rest"] in ("left", "right"):
            return f"{part} on the {match['rest']}"
        return f"{_half(plain(match['rest']))} of {part}"
    if match := _LIP.fullmatch(name):
        return f"{_half(plain(match['rest']))} of the {match['lip']} lip"
    if name in ("left", "right"):
        return _half(name)
    if match := _END_WALL.fullmatch(name):
        part = f"{match['half']} {'edge' if match['edge'] else 'half'}" if match["half"] else "fold"
        return f"{part} of the end wall towards the {match['end']}"
    if match := _TAB.fullmatch(name):
        return f"tab of the {match['part']}"
    if (match := _HALF.fullmatch(name)) and not _UNHALVED.fullmatch(match["what"]):
        return f"{match['half']} half of the {plain(match['what'])}"
    return plain(name)


def the(part: str) -> str:
    """A part with its article; what is counted goes without, as in ``petal 2 of the crown``."""
    first = re.split(r", | and | of ", part)[0]
    return part if re.match(r"\D.*\d", first) else f"the {part}"


def _layer(name: str | None) -> str:
    return f" of the {plain(name)} layer" if name else ""


def _half(rest: str) -> str:
    return f"{rest} half" if rest in ("left", "right") else rest


def _on_leg(rest: str) -> str:
    return f"{rest} fold" if rest in ("upper", "lower") else plain(rest)


def sheet_role(sheet: Sheet) -> str:
    """A sheet of a piece that has several: a layer of a flower, a leg, or its own name."""
    own = f"{sheet.name}-"
    if any(facet.name.startswith((f"{own}petal-", f"{own}left")) for facet in sheet.facets):
        return plain(sheet.name) if sheet.name == "layer" else f"{plain(sheet.name)} layer"
    return role(sheet.name)
