"""Cases by kind and number; the same number always gives the same case."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import tomlkit

from meshes.designs import names, path
from tests.drawn.hostile import ALL as DRAWINGS

from .by_range import design
from .cell import Case

_ODD = (
    "nan", "-inf", "1e400", "-0.0", "[]", "{}", '""', '" "', "true", "1,5", "“card”", "#aabbcc",
    "1979-05-27", "0x10", "[[1]]", '"1/0"', '"a.b"', "'''", '"\\u2028"', "{a.b = 1}", "9" * 40,
)  # fmt: skip
_WORDS = (
    "check", "film", "still", "strip", "thumbnail", "plan", "pattern", "guide", "mesh", "angles",
    "tune", "catalog", "new", "engines", "design.toml", "missing.toml", ".", "", "-", "--",
    "--json", "--help", "--size", "0x0", "64x48", "1e9x2", "nan", "-1", "--set",
    "pieces.leaf.at=30", "pieces.leaf.at=nan", "a=b=c", "=", "--only", "clash", "--limit",
    "thickest=-1", "--output", "out/none/x.png", "--quality", "draft", "--frames", "0",
    "--opening", "200", "\u2028", "--jobs",
)  # fmt: skip
LEAF = """title = "One leaf"
[spread]
page = "A6"
[values]
tall = 30
[pieces.leaf] # stands up
kind = "v-fold"
at = 70
page_angle = 38
panel_angle = 52
base = 14
outline = { shape = "leaf", length = "tall * 2", width = 30 }
"""


@lru_cache(maxsize=64)
def _shipped(name: str) -> bytes:
    return path(name).read_bytes()


def by_bytes(chance: random.Random) -> Case:
    """A shipped design with some bytes changed, dropped or doubled."""
    text = bytearray(_shipped(chance.choice(names())))
    for _ in range(chance.choice((1, 3, 30))):
        at = chance.randrange(len(text))
        way = chance.randrange(3)
        if way == 0:
            text[at] = chance.randrange(256)
        elif way == 1:
            del text[at : at + chance.choice((1, 9, 200))]
        else:
            text[at:at] = text[at : at + chance.choice((1, 40))]
    return Case("bytes", {"design.toml": bytes(text)}, ("angles", "design.toml", "--every", "180"))


def by_lines(chance: random.Random) -> Case:
    """A shipped design with lines dropped, doubled, moved, or given another value."""
    lines = _shipped(chance.choice(names())).decode().splitlines()
    for _ in range(chance.choice((1, 2, 6))):
        at = chance.randrange(len(lines))
        way = chance.randrange(4)
        if way == 0:
            del lines[at]
        elif way == 1:
            lines.insert(chance.randrange(len(lines)), lines[at])
        elif "=" in lines[at]:
            lines[at] = lines[at].partition("=")[0] + "= " + chance.choice(_ODD)
    text = "\n".join(lines).encode()
    return Case("lines", {"design.toml": text}, ("angles", "design.toml", "--every", "180"))


def by_tree(chance: random.Random) -> Case:
    """A small design with branches of its tables swapped for other ones."""
    tables: dict[str, Any] = tomlkit.parse(LEAF).unwrap()
    for _ in range(chance.choice((1, 2, 4))):
        here: Any = tables
        while isinstance(here, dict) and here and chance.random() < 0.7:
            key = chance.choice(list(here))
            if not isinstance(here[key], dict):
                break
            here = here[key]
        odd = chance.choice(
            (0, -1, "", "x", True, [], {}, [[]], {"a": {"b": [1]}}, 1e308, [1, "2"])
        )
        if isinstance(here, dict):
            here[chance.choice([*here, "repeat", "on", "folds", "images", "\u00e9 \n"])] = odd
    text = tomlkit.dumps(tables).encode()
    return Case("trees", {"design.toml": text}, ("check", "design.toml", "--only", "flat"))


def by_range(chance: random.Random) -> Case:
    """Every number inside its documented range."""
    return Case("ranges", {"design.toml": tomlkit.dumps(design(chance)).encode()})


def by_drawing(chance: random.Random) -> Case:
    """A hostile drawing, or one of them spoilt further, as a piece."""
    drawing = bytearray(DRAWINGS[chance.choice(list(DRAWINGS))][:200_000])
    for _ in range(chance.choice((0, 1, 8))):
        if drawing:
            drawing[chance.randrange(len(drawing))] = chance.randrange(32, 127)
    text = b'[pieces.sign]\nkind = "drawn"\non = "gutter"\nfile = "sign.svg"\n'
    files = {"design.toml": text, "sign.svg": bytes(drawing)}
    return Case("drawings", files, ("check", "design.toml", "--only", "flat"))


def by_art(chance: random.Random) -> Case:
    """An image or a font whose bytes are spoilt, printed on a piece."""
    if chance.random() < 0.4:
        from meshes.pieces.artwork import FONT

        data, name, key = bytearray(FONT.read_bytes()), "a.ttf", "lettering"
        entry = 'lettering = [{ text = "Spring", font = "a.ttf" }]\n'
    else:
        data, name, key = bytearray(_picture(chance)), "a.png", "images"
        entry = 'images = [{ file = "a.png", width = 20 }]\n'
    for _ in range(chance.choice((0, 1, 5, 50))):
        data[chance.randrange(len(data))] = chance.randrange(256)
    cut = chance.choice((len(data), len(data), chance.randrange(len(data))))
    text = LEAF + entry
    command = ("mesh", "design.toml", "--output", "out.glb")
    return Case(f"art, {key}", {"design.toml": text.encode(), name: bytes(data[:cut])}, command)


def _picture(chance: random.Random) -> bytes:
    from PIL import Image

    mode = chance.choice(("RGBA", "RGB", "L", "P", "1", "I;16", "CMYK"))
    form = "JPEG" if mode == "CMYK" else "PNG"
    out = io.BytesIO()
    size = chance.choice(((1, 1), (40, 30), (3000, 1)))
    Image.new(mode, size).save(out, form)
    return out.getvalue()


def by_edit(chance: random.Random) -> Case:
    """A number changed from the command line, in the file or over it."""
    keys = ("tall", "pieces.leaf.foot", "pieces.leaf.outline.width", "spread.margin", "pieces",
            "pieces.leaf", "pieces.none.at", "a..b", ".", "values.tall", "pieces.leaf.kind.x",
            "pieces.leaf.page_angle", "title")  # fmt: skip
    value = chance.choice(("1", "nan", "1e999", "-3", "tall", "12.5", "0", "1/0", "“", "9" * 30))
    key = chance.choice(keys)
    if chance.random() < 0.5:
        return Case("edits", {"design.toml": LEAF.encode()}, ("edit", key, value))
    command = ("check", "design.toml", "--only", "flat", "--set", f"{key}={value}")
    return Case("edits", {"design.toml": LEAF.encode()}, command)


def by_words(chance: random.Random) -> Case:
    """Words of the command line in any order; nothing that runs for long."""
    first = chance.choice(("check", "angles", "mesh", "new", "engines", "plan", "tune", "chekc"))
    words = [chance.choice(_WORDS) for _ in range(chance.randrange(1, 6))]
    return Case("command lines", {"design.toml": LEAF.encode()}, (first, *words))


KINDS: dict[str, Callable[[random.Random], Case]] = {
    "bytes": by_bytes,
    "lines": by_lines,
    "trees": by_tree,
    "ranges": by_range,
    "drawings": by_drawing,
    "art": by_art,
    "edits": by_edit,
    "words": by_words,
}


def case(kind: str, number: int) -> Case:
    """Case `number` of a kind."""
    return KINDS[kind](random.Random(f"{kind} {number}"))
