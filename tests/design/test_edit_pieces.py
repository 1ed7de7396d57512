"""Whole pieces added, taken away, doubled, mirrored and renamed, judged by reading the design."""

from __future__ import annotations

import random
import tomllib

import numpy as np
import pytest

from meshes import designs
from meshes.design.edit import (
    AddPiece,
    Double,
    EditError,
    GiveHost,
    Mirror,
    NameValue,
    Rename,
    TakeAway,
    a_free_name,
    standing_on,
)
from meshes.design.edit.names import renamed
from meshes.spread import read

TEXT = """\
# A scene.
title = "Scene"

[pieces.tree]
kind = "v-fold"
at = 90
page_angle = 40
panel_angle = 70
base = 40
# How tall it is.
outline = { shape = "rectangle", length = 60, width = 30 }

# The dots.

# The first of them.
[pieces.dot]
kind = "flat"
on = "tree.left"
outline = { shape = "ellipse", length = 8 }

[pieces.rock]
kind = "flat"
on = "page.right"
x = 70
y = 50
turn = 12.5
outline.shape = "ellipse"
outline.length = 20
repeat = { count = 2, add = { y = 40 } }

[pieces.moss]
kind = "flat"
on = "rock-2.art"
outline = { shape = "ellipse", length = 8 }

[shots.close]
piece = "tree"

# The end.
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "scene.toml"
    path.write_text(TEXT)
    return path


def pieces(file, text):
    """The pieces as the program reads them, which must be without a mistake."""
    return read(file, text=text).design.pieces


def test_it_tells_what_stands_on_a_piece():
    assert standing_on(TEXT, ["rock"]) == ("rock", "moss")
    assert standing_on(TEXT, ["dot"]) == ("dot",)


def test_a_piece_goes_only_with_all_that_stands_on_it(file):
    with pytest.raises(EditError, match="dot would have nothing to stand on"):
        TakeAway(pieces=["tree"]).apply(TEXT)
    new = TakeAway(pieces=["dot", "tree"]).apply(TEXT)
    assert set(pieces(file, new)) == {"rock-1", "rock-2", "moss"}
    assert tomllib.loads(new)["shots"] == {"close": {}}
    assert "# The dots.\n\n[pieces.rock]\n" in new
    assert "# The first" not in new
    assert new.endswith("\n# The end.\n")


def test_a_new_piece_comes_after_the_last(file):
    table = {"kind": "flat", "on": "page.left", "outline": {"shape": "ellipse", "length": 9}}
    new = AddPiece(name="pond", table=table).apply(TEXT)
    assert list(pieces(file, new))[-1] == "pond"
    block = '[pieces.pond]\nkind = "flat"\non = "page.left"\noutline = { shape = "ellipse", '
    assert new == TEXT.replace("[shots", f"{block}length = 9 }}\n\n[shots")
    assert TakeAway(pieces=["pond"]).apply(new) == TEXT
    for name in ("tree", "page", "1st", "a.b", ""):
        with pytest.raises((EditError, ValueError)):
            AddPiece(name=name, table=table).apply(TEXT)


def test_a_name_for_a_copy_is_free():
    pieces = tomllib.loads(TEXT)["pieces"]
    assert a_free_name("tree", pieces) == "tree-2"
    assert a_free_name("tree", pieces, ["tree-2"]) == "tree-3"
    assert a_free_name("rock", pieces) == "rock-copy-2"  # rock-2 is a copy of rock


def test_a_copy_has_its_riders_and_its_comments(file):
    new = Double(names={"tree": "oak", "dot": "knot"}).apply(TEXT)
    found = pieces(file, new)
    assert found["knot"].on == "oak.left"
    assert found["oak"] == found["tree"]
    assert new.count("# How tall it is.") == 2
    assert new.count("# The first of them.") == 1
    assert TakeAway(pieces=["oak", "knot"]).apply(new) == TEXT


def test_a_name_is_changed_wherever_it_stands(file):
    new = Rename(piece="rock", name="stone").apply(Rename(piece="tree", name="oak").apply(TEXT))
    assert set(pieces(file, new)) == {"oak", "dot", "stone-1", "stone-2", "moss"}
    back = Rename(piece="oak", name="tree").apply(Rename(piece="stone", name="rock").apply(new))
    assert back == TEXT
    with pytest.raises(EditError, match="already"):
        Rename(piece="rock", name="tree").apply(TEXT)
    with pytest.raises(EditError, match="try: tree"):
        Rename(piece="treee", name="oak").apply(TEXT)


def test_a_mirrored_copy_lies_where_its_image_is(file):
    """Judge: every corner on paper, reflected in the gutter by hand."""
    new = Mirror(names={"rock": "pebble", "moss": "fern"}).apply(TEXT)
    spread = read(file, text=new)
    motion = spread.solve([3.14159])

    def corners(piece):
        parts = [p for b in spread.linkage.bodies for p in b.parts if p.id.startswith(f"{piece}.")]
        points = parts[0].placement.apply(list(parts[0].facet.polygon.exterior.coords))
        return sorted((round(float(x), 2), round(float(y), 2)) for x, y in points)

    assert motion.solved.all()
    for one, two in (("rock-1", "pebble-1"), ("rock-2", "pebble-2"), ("moss", "fern")):
        flipped = sorted((-x + 0.0, y) for x, y in corners(one))
        assert np.allclose(corners(two), flipped, atol=0.02)
    assert "x = -70\n" in new


def test_what_stands_in_the_middle_has_no_mirror_image():
    with pytest.raises(EditError, match="onto itself"):
        Mirror(names={"tree": "oak"}).apply(TEXT)


def test_a_rider_alone_is_mirrored_on_its_host(file):
    new = Mirror(names={"dot": "knot"}).apply(TEXT)
    assert pieces(file, new)["knot"].on == "tree.right"


def test_a_piece_moves_to_another_host(file):
    new = GiveHost(piece="rock", on="page.left", place={"x": -50, "y": 30}).apply(TEXT)
    assert pieces(file, new)["rock-1"].on == "page.left"
    new = GiveHost(piece="moss", on="tree.right").apply(TEXT)
    assert pieces(file, new)["moss"].on == "tree.right"


def test_a_number_gets_a_name():
    new = NameValue(path="pieces.tree.at", name="spot").apply(TEXT)
    assert '[values]\nspot = 90\n\n[pieces.tree]\nkind = "v-fold"\nat = "spot"\n' in new


@pytest.mark.parametrize("name", ["winter-market", "night-train"])
def test_every_piece_of_a_design_can_go_and_be_renamed(name):
    """With other names it reads as the same design; nothing of what has gone is left over."""
    path = designs.path(name)
    text, before = path.read_text("utf-8"), read(path)
    tables = tomllib.loads(text)["pieces"]
    new = renamed(text, {piece: f"z{piece}" for piece in tables})
    after = read(path, text=new)
    assert [f"z{one}" for one in before.design.pieces] == list(after.design.pieces)
    assert [len(s.facets) for s in before.sheets] == [len(s.facets) for s in after.sheets]
    some = random.Random(name).sample(sorted(tables), 3)
    for piece in some:
        going = list(standing_on(text, [piece]))
        rest = TakeAway(pieces=going).apply(text)
        assert tomllib.loads(rest)["pieces"] == {k: v for k, v in tables.items() if k not in going}
