"""The XML of a drawing as a plain tree, read under caps and without anything from outside.

No DTD, no entities, no network, no other files: a drawing is data from a stranger. Caps are set far
above any drawing made by hand and far below what would keep a machine busy for seconds.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

MOST_BYTES = 5_000_000
MOST_DEPTH = 60
MOST_ELEMENTS = 20_000
SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"
_INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
_STYLE = re.compile(r"\s*([a-z-]+)\s*:\s*([^;]*)")


class DrawingError(ValueError):
    """What is wrong with a drawing, in one line."""


@dataclass
class Element:
    """One element; names without namespace.

    Parameters
    ----------
    line : in the file, from 1.
    """

    tag: str
    attributes: Mapping[str, str]
    line: int
    children: list[Element] = field(default_factory=list)

    @property
    def label(self) -> str:
        """What to call it in a message."""
        name = self.attributes.get("id")
        return f"{self.tag} {name!r}" if name else f"{self.tag} in line {self.line}"

    def style(self, name: str) -> str | None:
        """A presentation attribute, which a style declaration overrides."""
        found = dict(_STYLE.findall(self.attributes.get("style", "")))
        value = found.get(name, self.attributes.get(name))
        return value.strip() if value is not None else None


def parse(data: bytes) -> Element:
    """The root element of an SVG document.

    Raises
    ------
    DrawingError
        If it is too large or too deep, no XML, no SVG, or declares a document type.
    """
    if len(data) > MOST_BYTES:
        raise DrawingError(f"has {len(data)} bytes; allowed: {MOST_BYTES}")
    builder = _SvgBuilder()
    try:
        builder.parser.Parse(data, True)
    except expat.ExpatError as error:
        raise DrawingError(f"is not valid XML: {error}") from None
    except (ValueError, LookupError) as error:
        if isinstance(error, DrawingError):
            raise
        raise DrawingError(f"is not valid XML: {error}") from None
    if builder.root is None or builder.root.tag != "svg":
        raise DrawingError("is not an SVG: its root element is not svg")
    return builder.root


class _SvgBuilder:
    """Collects elements while expat reads; refuses declarations and whatever goes over a cap."""

    def __init__(self) -> None:
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._doctype
        self.parser.UnparsedEntityDeclHandler = self._doctype
        self.parser.ExternalEntityRefHandler = self._outside
        self.root: Element | None = None
        self.open: list[Element | None] = []
        self.count = 0

    def _doctype(self, *_: object) -> None:
        raise DrawingError(
            "declares a document type or an entity; save it without, as a plain SVG file"
        )

    def _outside(self, *_: object) -> int:
        self._doctype()
        return 0

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise DrawingError(f"has more than {MOST_ELEMENTS} elements")
        if len(self.open) >= MOST_DEPTH:
            raise DrawingError(f"is nested more than {MOST_DEPTH} deep")
        space, _, tag = name.rpartition(" ")
        if space not in (SVG, ""):
            self.open.append(None)
            return
        known = {_short(key): value for key, value in attributes.items()}
        element = Element(tag, known, self.parser.CurrentLineNumber)
        parent = next((e for e in reversed(self.open) if e is not None), None)
        if self.root is None:
            self.root = element
        elif None not in self.open and parent is not None:
            parent.children.append(element)
        self.open.append(element)

    def _end(self, _: str) -> None:
        self.open.pop()


def _short(name: str) -> str:
    space, _, key = name.rpartition(" ")
    if space == _XLINK:
        return key
    if space == _INKSCAPE:
        return f"inkscape:{key}"
    return key if not space else f"{space} {key}"
