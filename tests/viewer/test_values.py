"""The form of a piece is made from the models, and arrow keys move by whole units of the file."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from meshes import designs, spread
from meshes.pieces import KINDS
from preview.viewer.desk import Desk
from preview.viewer.values import form


def test_a_form_has_each_key_with_what_it_means(design: Path) -> None:
    found = form(design.read_text(), str(design), "tulip")
    assert (found["name"], found["kind"], found["standing"]) == ("tulip", "v-fold", [])
    fields = {field["key"]: field for field in found["fields"]}
    at = fields["at"]
    assert (at["value"], at["unit"], at["given"], at["holds"]) == (84, "mm", True, "number")
    assert fields["page angle"]["unit"] == "°"
    assert fields["outline width"]["value"] == 52
    assert fields["front"]["holds"] == "colour"
    assert fields["side"]["choices"] == ["front", "back"]
    # Every key of the model that one line can hold is there; folds, pictures, words are not.
    own = {name.replace("_", " ") for name in KINDS["v-fold"].model_fields}
    several = {name for name in own if name.split()[-1] in ("outline", "floor", "curl")}
    assert own - set(fields) <= {"kind", "folds", "images", "lettering", "holes"} | several
    assert all(field["means"] for field in found["fields"])
    given = [field["given"] for field in found["fields"]]
    assert given == sorted(given, reverse=True)


@pytest.mark.parametrize("name", ["toadstool-glade", "night-train", "two-seasons"])
def test_every_piece_of_a_shipped_design_has_a_form(name: str) -> None:
    path = designs.path(name)
    text = path.read_text("utf-8")
    for piece in list(spread.read(path).design.pieces)[::7]:
        found = form(text, str(path), piece)
        assert any(field["given"] for field in found["fields"])
        json.dumps(found)


def test_a_piece_that_has_gone_has_no_form(design: Path) -> None:
    """The page may ask before it has heard of it: that is no error, there is just nothing."""
    assert form(design.read_text(), str(design), "rose") == {}


REPEATED = """\
[values]
spot = 40
[pieces.dot]
kind = "flat"
on = "page.right"
x = "spot * 1"
y = 50
outline = { shape = "ellipse", length = 8 }
repeat = { count = 1, both_pages = true }
[pieces.leaf]
kind = "flat"
on = "page.left"
outline = { shape = "ellipse", length = 8 }
[pieces.fold]
kind = "v-fold"
page_angle = 40
panel_angle = 60
base = 30
outline = { shape = "ellipse", length = 30 }
"""


def place(file: Path, piece: str) -> tuple[float, float, float]:
    """The middle of a piece as the open spread shows it, mm."""
    read = spread.read(file)
    motion = read.solve([math.pi])
    body, part = read.linkage.place(next(f for f in _facets(read) if f.startswith(f"{piece}.")))
    middle = part.placement.apply([part.facet.polygon.centroid.coords[0]])[0]
    x, y, z = motion.rotations[0, body] @ [*middle, 0.0] + motion.translations[0, body]
    return float(x), float(y), float(z)


def _facets(read: spread.Spread) -> list[str]:
    return [part.id for body in read.linkage.bodies for part in body.parts]


@pytest.mark.parametrize(
    ("piece", "step", "moved"),
    [
        ("dot", {"right": 1}, (1, 0)),
        ("dot-mirrored", {"right": 1}, (1, 0)),
        ("dot", {"up": -1}, (0, -1)),
        ("leaf", {"right": 1, "up": 2}, (1, 2)),
        ("fold", {"up": 1}, (0, 1)),
    ],
)
def test_an_arrow_key_moves_a_piece_on_the_paper(
    tmp_path: Path, piece: str, step: dict[str, float], moved: tuple[float, float]
) -> None:
    """Judge: where the open spread has the piece afterwards."""
    file = tmp_path / "x.toml"
    file.write_text(REPEATED)
    desk, before = Desk(file), place(file, piece)
    for _ in range(2):
        desk.nudge(json.dumps({"made": "", "pieces": [piece], **step}).encode())
    after = place(file, piece)
    by = [b - a for a, b in zip(before, after, strict=True)]
    assert by == pytest.approx([2 * moved[0], 2 * moved[1], 0], abs=0.02)
    if piece.startswith("dot") and "right" in step:
        sign = "-" if piece == "dot-mirrored" else "+"
        assert f'x = "spot * 1 {sign} 2"' in file.read_text()
