"""Where in the text of a TOML file each key and value stands.

An edit replaces a few bytes and leaves the others as they are, so it must know the places of what
it changes. A TOML library tells what the text means; this tells where. It reads text that
:mod:`tomllib` has found sound (TOML 1.0.0), so it need not look for mistakes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Literal

# The strings of TOML 1.0.0: three quotes may be followed by two more that belong to the text.
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:\\.|[^"\\\r\n])*"'
    r"|'[^'\r\n]*'",
    re.DOTALL,
)
BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\r\n]+")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_REST_OF_LINE = re.compile(r"[^\n]*\n?")

Kind = Literal["value", "array", "inline", "table", "tables"]
Span = tuple[int, int]


@dataclass
class Node:
    """One key, table, list or value of the file.

    Attributes
    ----------
    kind : a single value, a list, a table in braces, a table made of lines, or a list of tables of
        which each has a header.
    span : of a value, list or table in braces, without its comment.
    keys : where its own name is written; a table of lines may have it in many headers.
    lines : the whole lines of each statement that sets it or, by dotted keys, something in it.
    entries : likewise, from the key to the end of the value, where that stands in braces.
    sections : from each of its headers to the next header.
    statements : the whole lines of all that is set below its own header.
    children : what a table holds, by name.
    items : what a list holds.
    """

    kind: Kind
    span: Span | None = None
    keys: list[Span] = field(default_factory=list)
    lines: list[Span] = field(default_factory=list)
    entries: list[Span] = field(default_factory=list)
    sections: list[Span] = field(default_factory=list)
    statements: list[Span] = field(default_factory=list)
    children: dict[str, Node] = field(default_factory=dict)
    items: list[Node] = field(default_factory=list)

    def walk(self, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Node]]:
        """The node and all below it, with their paths; places in lists count from 1."""
        yield path, self
        for name, child in self.children.items():
            yield from child.walk((*path, name))
        for number, child in enumerate(self.items, 1):
            yield from child.walk((*path, str(number)))


@lru_cache(maxsize=16)  # one edit asks several times about the same text
def spans(text: str) -> Node:
    """The root table of a text; to be read only, since it is kept for the next time.

    Raises
    ------
    tomllib.TOMLDecodeError
        If the text is no TOML.
    """
    loaded(text)
    try:
        return _Scanner(text).document()
    except RecursionError:
        raise tomllib.TOMLDecodeError("is nested too deeply") from None


def loaded(text: str) -> dict[str, Any]:
    """What a text holds, which may begin with a mark of byte order.

    Raises
    ------
    tomllib.TOMLDecodeError
        If the text is no TOML.
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except RecursionError:
        raise tomllib.TOMLDecodeError("is nested too deeply") from None


class _Scanner:
    """Walks once through the text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.here = 1 if text.startswith("\ufeff") else 0
        self.root = Node("table")

    def document(self) -> Node:
        table, begun = self.root, self.here
        self.root.sections.append((begun, len(self.text)))
        while True:
            self._skip(_BLANK)
            if self.here >= len(self.text):
                break
            if self.text[self.here] == "[":
                start = self.line_start(self.here)
                table.sections[-1] = (table.sections[-1][0], start)
                table = self._header()
                table.sections.append((start, len(self.text)))
            else:
                self._statement(table)
        return self.root

    def line_start(self, place: int) -> int:
        """Where the line that holds a place begins, after a mark of byte order."""
        start = self.text.rfind("\n", 0, place) + 1
        return 1 if start == 0 and self.text.startswith("\ufeff") else start

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.here)
        found = match.group() if match else ""
        self.here += len(found)
        return found

    def _header(self) -> Node:
        several = self.text.startswith("[[", self.here)
        self.here += 2 if several else 1
        names = self._key()
        table = self.root
        for number, (name, span) in enumerate(names, 1):
            last = number == len(names)
            kind: Kind = "tables" if several and last else "table"
            child = table.children.setdefault(name, Node(kind))
            child.keys.append(span)
            table = child
            if kind == "tables":
                child.items.append(Node("table"))
            if child.kind == "tables":
                table = child.items[-1]
        self._skip(_REST_OF_LINE)
        return table

    def _statement(self, table: Node) -> None:
        start = self.line_start(self.here)
        nodes = self._assigned(table)
        self._skip(_REST_OF_LINE)
        line = (start, self.here)
        table.statements.append(line)
        for node in nodes:
            node.lines.append(line)

    def _entry(self, table: Node) -> None:
        start = self.here
        for node in self._assigned(table):
            node.entries.append((start, self.here))

    def _assigned(self, table: Node) -> list[Node]:
        """Read ``key = value``; the tables that its dotted key makes, and the value's node."""
        *above, (name, span) = self._key()
        parents = []
        for part, where in above:
            table = table.children.setdefault(part, Node("table"))
            table.keys.append(where)
            parents.append(table)
        self._skip(_SPACE)
        self.here += 1  # the sign =
        self._skip(_SPACE)
        node = self._value()
        node.keys.append(span)
        table.children[name] = node
        return [*parents, node]

    def _key(self) -> list[tuple[str, Span]]:
        names = []
        while True:
            self._skip(_SPACE)
            start = self.here
            written = self._skip(_STRING if self.text[start] in "\"'" else BARE_KEY)
            names.append((_unquoted(written), (start, self.here)))
            self._skip(_SPACE)
            if not self.text.startswith(".", self.here):
                return names
            self.here += 1

    def _value(self) -> Node:
        start, first = self.here, self.text[self.here]
        if first == "[":
            node = Node("array")
            self._inside("]", lambda: node.items.append(self._value()))
        elif first == "{":
            node = Node("inline")
            self._inside("}", lambda: self._entry(node))
        elif first in "\"'":
            node = Node("value")
            self._skip(_STRING)
        else:
            node = Node("value")
            written = self._skip(_SCALAR)
            self.here -= len(written) - len(written.rstrip())
        node.span = (start, self.here)
        return node

    def _inside(self, close: str, read: Callable[[], None]) -> None:
        """Read what stands between brackets, up to and with the closing one."""
        self.here += 1
        while True:
            self._skip(_BLANK)
            if self.text.startswith(close, self.here):
                self.here += 1
                return
            read()
            self._skip(_BLANK)
            if self.text.startswith(",", self.here):
                self.here += 1


def _unquoted(key: str) -> str:
    if key[:1] not in ("'", '"'):
        return key
    return str(tomllib.loads(f"key = {key}")["key"])
