"""The sheet of a kind of piece: one page of A4 with pictures, flat sheets, words and a snippet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from meshes.pieces import KINDS
from preview.draft.ground import PictureBox
from preview.drawing.render import Quality
from preview.pattern import font
from preview.pattern.drawing import Fill, Mark, PrintedImage, Text, box, line
from preview.pattern.folds import sample_sign
from preview.pattern.furniture import sample
from preview.pattern.line import Role

from . import flat
from .flat import FlatView
from .measures import Key, called, keys, measures
from .specimen import Specimen, specimen
from .views import views

# A4. Source: ISO 216.
WIDE_MM, HIGH_MM = 210.0, 297.0
_MARGIN_MM, _BETWEEN_MM = 12.0, 6.0  # our choice
# Sizes of type, mm. Our choice.
_TITLE, _SAYS, _HEAD, _TEXT, _SMALL = 9.5, 3.7, 3.7, 2.75, 2.45
_SNIPPET_LEAST = 2.2  # our choice
_LEAD = 1.36  # from line to line, in sizes of the type; our choice
_VIEW_PIXELS = (640, 424)  # our choice
_SNIPPET_MM, _INDENT_MM, _DOT = 71.0, 2.2, "•"  # our choice
_PANEL = "#f6f1e4"  # our choice
_LEAST_DRAWING_MM = 58.0  # our choice
_SAMPLE_MM = 11.0  # our choice
_LINES: Mapping[Role, str] = {
    "cut": "cut",
    "valley": "valley fold",
    "mountain": "mountain fold",
    "place": "lands here",
}
CAUTION = (
    "Knives and hot glue hurt: cut away from your hand, on a mat, and follow what their makers say."
)


@dataclass(frozen=True)
class KindSheet:
    """A finished sheet.

    Parameters
    ----------
    marks : all of it, undermost first, mm from the top left corner of the page.
    flat : the drawing of the flat sheets among them.
    """

    title: str
    marks: tuple[Mark, ...]
    flat: FlatView


def sheet(
    kind: str, quality: Quality = "still", pixels: tuple[int, int] = _VIEW_PIXELS
) -> KindSheet:
    """The sheet of a kind.

    Parameters
    ----------
    quality, pixels : of its three pictures.
    """
    one = specimen(kind)
    found = measures(one)
    top = WordColumn(_MARGIN_MM, WIDE_MM - 2 * _MARGIN_MM, _MARGIN_MM)
    _heading(top, one)
    _pictures(top, one, quality, pixels)
    shown = {_plain(m.name) for m in found if m.seen is not None}
    foot = HIGH_MM - _MARGIN_MM - 2.0
    low = words(one, shown)
    begin = foot - 5.0 - low.y
    top.head("Flat, printed side up")
    drawn = PictureBox(top.x, top.y, top.width, begin - 9.0 - top.y)
    if drawn.height < _LEAST_DRAWING_MM:
        raise ValueError(f"the words of {kind} leave {drawn.height:.0f} mm for its drawing")
    view = flat.draw(one, found, drawn)
    last = Text(top.x, foot + 2.0, f"{CAUTION} All keys: foldstage help {kind}", _SMALL, grey=0.4)
    marks = [
        *top.marks,
        *view.marks,
        *_legend(top.x, begin - 5.5),
        *(_lowered(mark, begin) for mark in low.marks),
        last,
    ]
    return KindSheet(one.title, tuple(marks), view)


@dataclass
class WordColumn:
    """Words one under the other; `y` is where the next thing begins, mm."""

    x: float
    width: float
    y: float = 0.0
    marks: list[Mark] = field(default_factory=list)

    def say(self, words: str, size: float = _TEXT, bold: bool = False, grey: float = 0.12) -> None:
        """A paragraph."""
        for row in font.wrapped(font.printable(words), size, self.width, bold):
            self.y += size * _LEAD
            baseline = self.y - 0.3 * size
            self.marks.append(Text(self.x, baseline, row, size, bold=bold, grey=grey))

    def head(self, words: str) -> None:
        """A heading over a line."""
        self.y += 2.6
        self.say(words, _HEAD, bold=True)
        self.y += 0.4
        self.marks.append(line("rule", (self.x, self.y), (self.x + self.width, self.y)))
        self.y += 1.0


def _plain(name: str) -> str:
    """A number's path as its key is called: without places in lists."""
    return ": ".join(part for part in name.split(".") if not part.isdigit())


def _heading(top: WordColumn, one: Specimen) -> None:
    base = top.y + 7.0
    kind = Text(top.x + top.width, base, f'kind = "{one.kind}"', 4.2, "end", grey=0.35)
    top.marks += [Text(top.x, base, one.title, _TITLE, bold=True), kind]
    top.y = base + 2.5
    top.say(one.says, _SAYS, grey=0.2)
    top.y += 2.4


def _pictures(top: WordColumn, one: Specimen, quality: Quality, pixels: tuple[int, int]) -> None:
    wide = (top.width - 2 * 3.0) / 3
    high = wide * pixels[1] / pixels[0]
    for k, view in enumerate(views(one.spread, pixels, quality)):
        x = top.x + k * (wide + 3.0)
        rgba = np.dstack([view.pixels, np.full(view.pixels.shape[:2], 255, np.uint8)])
        top.marks.append(PrintedImage(rgba, x, top.y, wide, high))
        top.marks.append(Text(x, top.y + high + 3.4, view.title, _TEXT, grey=0.25))
    top.y += high + 3.8


def _legend(x: float, y: float) -> list[Mark]:
    """What lines and colours mean, in one row."""
    marks: list[Mark] = []
    for role, words in _LINES.items():
        marks.append(sample(role, x, y, _SAMPLE_MM))
        if role in ("valley", "mountain"):
            marks.append(sample_sign(role == "mountain", x + _SAMPLE_MM / 2, y))
        x = _said(marks, words, x + _SAMPLE_MM + 1.6, y)
    swatch = np.array([(x, y - 1.5), (x + 4.5, y - 1.5), (x + 4.5, y + 1.5), (x, y + 1.5)])
    marks.append(Fill((swatch,), flat.GLUED))
    x = _said(marks, "glue", x + 6.0, y)
    marks += flat.cross(np.array([x + 1.0, y + 1.2]), 4.5)
    x = _said(marks, "x and y of its facets begin here", x + 6.6, y)
    _said(marks, "lengths in mm", x, y)
    return marks


def _said(marks: list[Mark], words: str, x: float, y: float) -> float:
    """Write some words of the row, and where the next ones may begin, mm."""
    marks.append(Text(x, y + 0.85, words, _SMALL, grey=0.12))
    return x + font.width(words, _SMALL) + 4.2


def words(one: Specimen, shown: set[str]) -> WordColumn:
    """Snippet and words side by side, the measures under them, from y = 0.

    Parameters
    ----------
    shown : names of the keys that are drawn.
    """
    paste = WordColumn(_MARGIN_MM, _SNIPPET_MM)
    _to_paste(paste, one)
    right = paste.x + paste.width + _BETWEEN_MM
    beside = WordColumn(right, WIDE_MM - _MARGIN_MM - right)
    _stands(beside, one)
    _wrong(beside, one)
    whole = WordColumn(_MARGIN_MM, WIDE_MM - 2 * _MARGIN_MM, max(paste.y, beside.y))
    whole.marks += [*paste.marks, *beside.marks]
    whole.head("Measures")
    told = f"{_DOT} drawn above"
    whole.marks.append(Text(whole.x + whole.width, whole.y - 2.4, told, _SMALL, "end", grey=0.12))
    half = (whole.width - _BETWEEN_MM) / 2
    rows = [_row(key, key.name in shown, half) for key in keys(one)]
    most = sum(row.y for row in rows)
    columns = [WordColumn(whole.x + k * (half + _BETWEEN_MM), half, whole.y) for k in (0, 1)]
    for row in rows:
        column = columns[0] if columns[0].y - whole.y + row.y / 2 <= most / 2 else columns[1]
        column.marks += [_lowered(mark, column.y, column.x) for mark in row.marks]
        column.y += row.y
    whole.marks += [mark for column in columns for mark in column.marks]
    whole.y = max(column.y for column in columns)
    return whole


def _to_paste(column: WordColumn, one: Specimen) -> None:
    column.head("To paste into a design")
    rows = one.snippet.splitlines()
    room = column.width - 5.0
    widest = max(font.width(row, 1.0) for row in rows)
    size = float(np.clip(room / widest, _SNIPPET_LEAST, _TEXT))
    inner = WordColumn(column.x + 2.5, room, column.y + 1.2)
    for row in rows:
        inner.say(row or " ", size, bold=row.startswith("["))
    x, y, high = column.x, column.y, inner.y + 1.8 - column.y
    panel = np.array([(x, y), (x + column.width, y), (x + column.width, y + high), (x, y + high)])
    column.marks += [Fill((panel,), _PANEL), box("rule", x, y, column.width, high), *inner.marks]
    column.y += high


def _stands(column: WordColumn, one: Specimen) -> None:
    column.head("Stands well on it")
    for stands in one.stands:
        column.say(stands.says)
        column.y += 0.6


def _wrong(column: WordColumn, one: Specimen) -> None:
    column.head("Goes wrong")
    for wrong in one.wrong:
        size = _TEXT
        told = f"the program says: {wrong.finds}"
        base = column.y + size * _LEAD - 0.3 * size
        path, _, value = wrong.change.partition(" = ")
        keys = [int(key) if key.isdigit() else key for key in path.split(".")]
        change = f"{called(keys)} = {value}"
        begin = column.x + font.width(change, size, bold=True) + 1.6
        column.marks.append(Text(begin, base, told, size, grey=0.4))
        column.say(change, bold=True)
        column.say(wrong.says)
        column.y += 0.9


def _row(key: Key, shown: bool, width: float) -> WordColumn:
    """A key and what it means, from x = 0 and y = 0; a dot before those that are drawn."""
    row = WordColumn(_INDENT_MM, width - _INDENT_MM)
    base = _SMALL * (_LEAD - 0.3)
    if shown:
        row.marks.append(Text(0.2, base, _DOT, _SMALL, grey=0.12))
    row.marks.append(Text(_INDENT_MM, base, key.name, _SMALL, bold=True, grey=0.12))
    begin = font.width(key.name, _SMALL, bold=True) + 1.4
    words = font.printable(_means(key))
    first = font.wrapped(words, _SMALL, row.width - begin)[0]
    row.marks.append(Text(_INDENT_MM + begin, base, first, _SMALL, grey=0.12))
    row.y = _SMALL * _LEAD
    rest = words[len(first) :].strip()
    if rest:
        row.say(rest, _SMALL)
    row.y += 0.4
    return row


def _means(key: Key) -> str:
    words = key.means.replace("`", "").removesuffix(" (common practice, no source)")
    return f"{words}; {key.value} if left out" if key.value and not key.given else words


def _lowered(mark: Mark, by: float, aside: float = 0.0) -> Mark:
    from preview.pattern.drawing import moved

    return moved([mark], lambda points: np.asarray(points + np.array([aside, by])))[0]


def every() -> list[str]:
    """All kinds that have a sheet, in the order of the reference."""
    return list(KINDS)
