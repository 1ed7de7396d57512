"""Changing a few bytes of a design file: a value set, a key added or taken out, a table added."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from .spans import BARE_KEY, Node, Span, spans

Path = tuple[str, ...]
_TABLES_BEFORE_PIECES = ("spread", "papers", "values", "check")


class EditError(ValueError):
    """An edit that cannot be made in this text; one sentence for a person."""


def value_of(text: str, node: Node) -> Any:
    """What a node holds, as :mod:`tomllib` reads it."""
    if node.kind in ("table", "inline"):
        return {name: value_of(text, child) for name, child in node.children.items()}
    if node.kind in ("array", "tables"):
        return [value_of(text, item) for item in node.items]
    start, end = _span(node)
    return tomllib.loads(f"value = {text[start:end]}".replace("\r\n", "\n"))["value"]


def find(text: str, root: Node, path: Path) -> Node | None:
    """The node at a path; in lists the way leads by the `name` of a table, or a number from 1."""
    node = root
    for key in path:
        inner = child_of(text, node, key)
        if inner is None:
            return None
        node = inner
    return node


def child_of(text: str, node: Node, key: str) -> Node | None:
    """What a table or list holds at a key."""
    if node.kind in ("table", "inline"):
        return node.children.get(key)
    for item in node.items:
        name = item.children.get("name")
        if name is not None and value_of(text, name) == key:
            return item
    if key.isdecimal() and 1 <= int(key) <= len(node.items):
        return node.items[int(key) - 1]
    return None


def with_value(text: str, path: Path, value: Any) -> str:
    """The text with a key set, which is added where it is missing.

    Raises
    ------
    EditError
        If there is no table that the key could stand in.
    """
    root = spans(text)
    node = find(text, root, path)
    if node is not None and _same(value_of(text, node), value):
        return text
    if node is None:
        return _added(text, root, path, value)
    if node.span is not None:
        return spliced(text, _replaced(text, node, value))
    if not isinstance(value, dict | list):
        raise EditError(f"{dotted(path)} is a table in the file, not one value")
    return with_value(without(text, path), path, value)


def _replaced(text: str, node: Node, value: Any) -> list[tuple[Span, str]]:
    """What to put where, so that a node holds another value; lists keep their layout."""
    if _same(value_of(text, node), value):
        return []
    inner: list[tuple[Node, Any]] = []
    if node.kind == "array" and isinstance(value, list) and len(value) == len(node.items):
        inner = list(zip(node.items, value, strict=True))
    if node.kind == "inline" and isinstance(value, dict) and value.keys() == node.children.keys():
        inner = [(child, value[key]) for key, child in node.children.items()]
    if inner and all(child.span for child, _ in inner):
        return [change for child, one in inner for change in _replaced(text, child, one)]
    start, end = _span(node)
    return [((start, end), written(value, text[start:end]))]


def _same(one: Any, two: Any) -> bool:
    """Whether two values are equal in a file, where true is not 1."""
    if isinstance(one, list) and isinstance(two, list):
        return len(one) == len(two) and all(map(_same, one, two))
    if isinstance(one, dict) and isinstance(two, dict):
        return one.keys() == two.keys() and all(_same(one[key], two[key]) for key in one)
    return isinstance(one, bool) == isinstance(two, bool) and bool(one == two)


def _added(text: str, root: Node, path: Path, value: Any) -> str:
    """The text with a key put into its table."""
    *above, key = path
    table = find(text, root, tuple(above))
    if table is None:
        if above[0] == "pieces" and len(above) < 3:
            raise EditError(f"there is no table {dotted(above)} in the file")
        if len(above) == 1:
            return _with_table(text, root, above[0], {key: value})
        return _added(text, root, tuple(above), {key: value})
    if table.kind == "inline":
        return _into_braces(text, table, key, value)
    if table.kind != "table":
        raise EditError(f"there is no table {dotted(above)} in the file, so {key} can't be added")
    line = f"{written_key(key)} = {written(value)}"
    if table.sections:
        return _below_header(text, table, line)
    if table.lines:  # a table made by dotted keys alone
        start, end = table.lines[-1]
        prefix = text[start : table.keys[-1][1]]
        return inserted(text, end, f"{prefix}.{line}")
    return _before_children(text, root, table, path, line)


def _below_header(text: str, table: Node, line: str) -> str:
    start, _ = table.sections[0]
    if table.statements:
        first, end = table.statements[-1]
        indent = re.match(r"[ \t]*", text[first:])
        return inserted(text, end, f"{indent.group() if indent else ''}{line}")
    if not table.keys:  # the file itself, with no key before its first header
        end = table.sections[0][1]
        return appended(text, line) if end == len(text) else inserted(text, end, f"{line}\n")
    return inserted(text, _end_of_line(text, start), line)


def _before_children(text: str, root: Node, table: Node, path: Path, line: str) -> str:
    """Give a table that only its inner tables have headers for a header of its own."""
    starts = [section[0] for _, node in table.walk() for section in node.sections]
    if not starts:
        raise EditError(f"{dotted(path)} can't be added to the file as it is laid out")
    header = ".".join(written_key(key) for key in path[:-1])
    return inserted(text, min(starts), f"[{header}]\n{line}\n")


def _into_braces(text: str, table: Node, key: str, value: Any) -> str:
    line = f"{written_key(key)} = {written(value)}"
    start, end = _span(table)
    ends = [entry[1] for child in table.children.values() for entry in child.entries]
    if not ends:
        return text[:start] + f"{{ {line} }}" + text[end:]
    return text[: max(ends)] + f", {line}" + text[max(ends) :]


def _with_table(text: str, root: Node, name: str, table: Mapping[str, Any]) -> str:
    """A new table of the top level, put where a maker would look for it."""
    lines = as_lines(f"[{written_key(name)}]", table)
    before = [
        section[0]
        for key, node in root.children.items()
        if name in _TABLES_BEFORE_PIECES and key not in _TABLES_BEFORE_PIECES
        for _, inner in node.walk()
        for section in inner.sections
    ]
    if before:
        place = with_comments(text, min(before))
        return inserted(text, place, f"{lines}\n")
    return appended(text, lines)


def as_lines(header: str, table: Mapping[str, Any]) -> str:
    """A table under its header, a line for each key."""
    return "\n".join([header, *(f"{written_key(k)} = {written(v)}" for k, v in table.items())])


def appended(text: str, block: str) -> str:
    """The text with lines at its end, after an empty line."""
    gap = "" if not text.strip("\ufeff \t\r\n") or re.search(r"\n[ \t]*\r?\n$", text) else "\n"
    return inserted(text, len(text), gap + block)


def with_entry(text: str, path: Path, value: Any) -> str:
    """The text with an entry at the end of a list, which begins with it where there is none."""
    node = find(text, spans(text), path)
    if node is None:
        return with_value(text, path, [value])
    if node.kind == "array":
        start, end = _span(node)
        if not node.items:
            return text[:start] + f"[{written(value)}]" + text[end:]
        last = _span(node.items[-1])[1]
        return text[:last] + f", {written(value)}" + text[last:]
    if node.kind == "tables" and isinstance(value, Mapping):
        header = ".".join(written_key(key) for key in path)
        end = max(span[1] for span in extent(text, node))
        return inserted(text, end, as_lines(f"[[{header}]]", value))
    raise EditError(f"{dotted(path)} is no list, so nothing can be added to it")


def without(text: str, path: Path) -> str:
    """The text without a key, a table or an entry of a list.

    Raises
    ------
    EditError
        If there is no such key.
    """
    root = spans(text)
    parent, node = find(text, root, path[:-1]), find(text, root, path)
    if parent is None or node is None:
        raise EditError(f"{dotted(path)} is not in the file")
    if parent.kind == "array":
        return _out_of_list(text, parent, [item.span for item in parent.items], [_span(node)])
    if node.entries:
        siblings = {entry for child in parent.children.values() for entry in child.entries}
        return _out_of_list(text, parent, sorted(siblings), node.entries)
    return spliced(text, [(span, "") for span in extent(text, node)])


def _out_of_list(
    text: str, whole: Node, all_spans: Sequence[Span | None], gone: Iterable[Span]
) -> str:
    for span in sorted(gone, reverse=True):
        places = [one for one in all_spans if one is not None]
        k = places.index(span)
        if k + 1 < len(places):
            cut = (span[0], places[k + 1][0])
        elif k and "#" not in text[places[k - 1][1] : span[0]]:
            cut = (places[k - 1][1], span[1])
        elif k or whole.span is None:
            cut = span
        else:
            cut = (whole.span[0] + 1, whole.span[1] - 1)
            if "#" in text[cut[0] : span[0]] or "#" in text[span[1] : cut[1]]:
                comma = re.match(r"[ \t]*,?", text[span[1] :])
                cut = (span[0], span[1] + (comma.end() if comma else 0))
        text = text[: cut[0]] + text[cut[1] :]
        all_spans = places[:k]
    return text


def extent(text: str, node: Node) -> list[Span]:
    """The lines that make a key or table: headers, statements, and comments right above them.

    What follows the last statement, such as a comment on what comes next, is left; so is one of
    two empty lines.
    """
    found: set[Span] = set()
    for _, inner in node.walk():
        found |= set(inner.lines)
        for start, end in inner.sections:
            last = max([_end_of_line(text, start), *(line[1] for line in inner.statements)])
            found.add((with_comments(text, start), _and_blank(text, min(last, end))))
    for item in node.items:
        # Each header of a list of tables has its own section.
        found |= set(extent(text, item)) if node.kind == "tables" else set()
    merged: list[Span] = []
    for start, end in sorted(found):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged


def with_comments(text: str, start: int) -> int:
    """The start of the comment lines that stand right above a line."""
    while start > 0:
        before = text.rfind("\n", 0, start - 1) + 1
        if not text[before:start].lstrip(" \t").startswith("#"):
            return start
        if before == 0:  # the words at the head of a file are about all of it
            return start
        start = before
    return start


def _and_blank(text: str, end: int) -> int:
    """One empty line that follows, too."""
    blank = re.compile(r"[ \t]*\r?\n").match(text, end)
    return blank.end() if blank else end


def _end_of_line(text: str, place: int) -> int:
    end = text.find("\n", place)
    return len(text) if end < 0 else end + 1


def inserted(text: str, place: int, lines: str) -> str:
    """Whole lines put in at the beginning of a line, or at the end of a file."""
    end = _line_end(text, place)
    lines = lines.replace("\n", end)
    if place > 0 and text[place - 1] not in "\n\ufeff":
        return text[:place] + end + lines + text[place:]
    return text[:place] + lines + end + text[place:]


def _line_end(text: str, place: int) -> str:
    """How the lines around a place end."""
    before = text.rfind("\n", 0, place)
    before = text.find("\n") if before < 0 else before
    return "\r\n" if before > 0 and text[before - 1] == "\r" else "\n"


def spliced(text: str, changes: Iterable[tuple[Span, str]]) -> str:
    """The text with other bytes at some places, which must not overlap."""
    for (start, end), new in sorted(changes, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def written(value: Any, old: str = "") -> str:
    """A value in TOML; text keeps the quotes that it had, and floats that are whole are short.

    Raises
    ------
    EditError
        For a number that is not finite, or what TOML cannot hold.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise EditError(f"{value} is not a finite number")
        whole = abs(value) < 1e15 and float(value).is_integer()
        return str(int(value)) if whole else repr(float(value))
    if isinstance(value, str):
        return _quoted(value, old)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{written_key(key)} = {written(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(map(written, value))}]"
    raise EditError(f"{value!r} can't stand in a design file")


def _quoted(value: str, old: str) -> str:
    import tomlkit

    if any("\ud800" <= letter <= "\udfff" for letter in value):
        raise EditError("half a letter (a lone surrogate) can't stand in a design file")
    plain = value.isprintable() and "'" not in value
    if plain and old.startswith("'") and not old.startswith("'''"):
        return f"'{value}'"
    return tomlkit.item(value).as_string()


def written_key(key: str) -> str:
    """A key in TOML, in quotes where it needs them."""
    return key if BARE_KEY.fullmatch(key) else _quoted(key, "")


def dotted(path: Iterable[str]) -> str:
    """A path for people."""
    return ".".join(path)


def _span(node: Node) -> Span:
    if node.span is None:
        raise EditError("a table of lines has no single place in the file")
    return node.span
