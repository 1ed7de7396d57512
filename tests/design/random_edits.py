"""Random edits of a design, and a judge of what they did that knows nothing of how.

The judge reads both texts with :mod:`tomllib` and compares: only what an edit names may differ. It
compares the lines as well: all but those of the edit must be there as they were, byte for byte.
"""

from __future__ import annotations

import difflib
import random
import tomllib
from collections.abc import Iterator
from typing import Any

from meshes.design.edit import (
    AddPiece,
    Append,
    Clear,
    Double,
    Edit,
    GiveHost,
    Mirror,
    NameValue,
    PartKey,
    Rename,
    SetValue,
    TakeAway,
    standing_on,
)

Path = tuple[str, ...]
COLOURS = ("#112233", "#Ff00aA", "red", "#12345")
ELLIPSE = {"shape": "ellipse", "length": 7.5}


def parsed(text: str) -> dict[str, Any]:
    return tomllib.loads(text.removeprefix("\ufeff"))


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every value that is no table or list, with its path; places in lists count from 1."""
    if isinstance(value, dict | list):
        pairs = value.items() if isinstance(value, dict) else enumerate(value, 1)
        for key, inner in pairs:
            yield from leaves(inner, (*path, str(key)))
    else:
        yield path, value


def random_edit(draw: random.Random, text: str) -> Edit:
    """An edit that may do well, or be refused."""
    tables = parsed(text)
    pieces = list(tables["pieces"])
    piece = draw.choice(pieces)
    found = list(leaves({k: v for k, v in tables.items() if k != "title"}))
    path, _ = draw.choice([one for one in found if len(one[0]) > 1])
    numbers = [p for p, v in found if isinstance(v, int | float) and not isinstance(v, bool)]
    texts = [p for p, v in found if isinstance(v, str) and p[0] == "pieces"]
    kind = draw.randrange(14)
    if kind < 4:
        spot = draw.choice([p for p in numbers if len(p) > 1])
        return SetValue(path=spot, value=round(draw.gauss(value_at(tables, spot), 4), 2))
    if kind == 4:
        key = draw.choice(["front", "back", "x", "y", "at", "turn", "side", "printed", "nonsense"])
        new = {"side": "back", "printed": "back"}.get(key, draw.choice([3, -2.5, *COLOURS]))
        return SetValue(path=("pieces", piece, key), value=new)
    if kind == 5:
        return Clear(path=path)
    if kind == 6:
        key = draw.choice(["lettering", "images"])
        entry = {"text": draw.choice(['a "b"', "ä\n]", "it's"]), "size": draw.randint(1, 9)}
        return Append(path=("pieces", piece, key), value=entry)
    if kind == 7:
        return PartKey(path=draw.choice(texts)) if texts else Clear(path=path)
    if kind == 8:
        return NameValue(path=draw.choice([p for p in numbers if len(p) > 1]), name=name(draw))
    if kind == 9:
        host = draw.choice(["page.left", "page.right", "gutter", f"{draw.choice(pieces)}.left"])
        table = {"kind": "flat", "on": host, "x": draw.choice([-40, 40]), "outline": ELLIPSE}
        return AddPiece(name=draw.choice([name(draw), piece]), table=table)
    if kind == 10:
        going = [piece] if draw.random() < 0.3 else list(standing_on(text, [piece]))
        return TakeAway(pieces=going)
    if kind == 11:
        chosen = standing_on(text, [piece])[:4]
        copies = {one: f"{one}-{name(draw)}" for one in chosen}
        return Double(names=copies) if draw.random() < 0.5 else Mirror(names=copies)
    if kind == 12:
        return Rename(piece=piece, name=draw.choice([name(draw), draw.choice(pieces), "9"]))
    host = draw.choice(["page.left", "page.right", "gutter", f"{draw.choice(pieces)}.right"])
    return GiveHost(piece=piece, on=host, place=draw.choice([{}, {"x": 30, "y": 50}, {"at": 60}]))


def name(draw: random.Random) -> str:
    return "n" + "".join(draw.choices("abcdefgh", k=5))


def value_at(tables: Any, path: Path) -> float:
    for key in path:
        tables = tables[int(key) - 1] if isinstance(tables, list) else tables[key]
    return float(tables)


def judged(before: str, after: str, edit: Edit) -> str:
    """What is wrong with the outcome of an edit; empty if nothing is."""
    old, new = dict(leaves(parsed(before))), dict(leaves(parsed(after)))
    differ = [p for p in {**old, **new} if old.get(p, leaves) != new.get(p, leaves)]
    strange = [p for p in differ if not _meant(edit, p)]
    if strange:
        return f"{edit!r} changed {strange[:3]}"
    if isinstance(edit, SetValue) and new.get(edit.path) != edit.value:
        return f"{edit!r} left {new.get(edit.path)!r}"
    if isinstance(edit, Rename):
        named = {
            tuple(edit.name if k == 1 and key == edit.piece else key for k, key in enumerate(p))
            if p[0] == "pieces"
            else p
            for p in old
        }
        if set(new) != named:
            return f"{edit!r} lost or made keys"
    return _lines(before, after, edit)


def _meant(edit: Edit, path: Path) -> bool:
    """Whether an edit may change what stands at a path."""
    if isinstance(edit, SetValue | Append | PartKey):
        return path[: len(edit.path)] == edit.path
    if isinstance(edit, Clear):  # what follows in a list moves up
        return path[: len(edit.path) - 1] == edit.path[:-1]
    if isinstance(edit, NameValue):
        return path in (edit.path, ("values", edit.name))
    if isinstance(edit, AddPiece):
        return path[:2] == ("pieces", edit.name)
    if isinstance(edit, TakeAway):
        return path[1] in edit.pieces or path[0] == "shots"
    if isinstance(edit, Double | Mirror):
        return path[0] == "pieces" and path[1] in edit.names.values()
    if isinstance(edit, Rename):
        return path[1] in (edit.piece, edit.name) or path[-1] in ("on", "after", "piece")
    return path[:2] == ("pieces", edit.piece) and path[2] in ("on", "at", "x", "y")


def _lines(before: str, after: str, edit: Edit) -> str:
    old, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    gone = [a for tag, a, b, _, _ in _changes(old, new) for a in old[a:b] if tag != "insert"]
    come = [c for tag, _, _, a, b in _changes(old, new) for c in new[a:b] if tag != "delete"]
    most = {"set": 1, "clear": 1, "append": 1, "part": 1, "name": 1, "stand": 3}.get(edit.edit)
    most = 0 if edit.edit in ("add", "double", "mirror") else most
    if edit.edit == "rename":
        most = sum(edit.piece in line for line in old)
    if most is not None and sum(line.strip() != "" for line in gone) > most:
        return f"{edit!r} replaced {gone}"
    if edit.edit in ("take-away", "clear") and any(
        line.strip() and edit.edit == "take-away" and "shots" not in before for line in come
    ):
        return f"{edit!r} wrote {come}"
    ends = {line[-2:] == "\r\n" for line in new if line.endswith("\n")}
    if len(ends) > 1 and len({line[-2:] == "\r\n" for line in old if line.endswith("\n")}) == 1:
        return f"{edit!r} mixed the ends of lines"
    return ""


def _changes(old: list[str], new: list[str]) -> list[tuple[str, int, int, int, int]]:
    matcher = difflib.SequenceMatcher(None, old, new, autojunk=False)
    return [op for op in matcher.get_opcodes() if op[0] != "equal"]
