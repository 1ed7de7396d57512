"""Broken design files: each mistake gives one clear line, and all of a file come at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from meshes import spread
from meshes.errors import DesignError

V = """
[pieces.fern]
kind = "v-fold"
at = 60
page_angle = 45
panel_angle = 60
base = 20
ridge = 50
"""


def changed(old: str, new: str) -> str:
    assert old in V
    return V.replace(old, new)


# name: (text of the file, words that the one line must hold)
BROKEN: dict[str, tuple[str, tuple[str, ...]]] = {
    "empty": ("", ("empty", "foldstage new")),
    "only a comment": ("# nothing here\n", ("empty",)),
    "no TOML": ("title = Fern bank\n", ("TOML", "line 1")),
    "open string": ('title = "Fern\n' + V, ("TOML", "line 1")),
    "key twice": (changed("at = 60", "at = 60\nat = 70"), ("TOML", "overwrite")),
    "table twice": (V + V, ("TOML", "pieces")),
    "no pieces": ('title = "Bare"\n', ("no pieces", "[pieces.NAME]")),
    "pieces no table": ("pieces = 3\n[spread]\n", ("pieces", "table")),
    "piece no table": ("[pieces]\nfern = 3\n", ("fern", "table", "3")),
    "unknown top key": ("tittle = 'x'\n" + V, ("tittle", "title")),
    "title no text": ("title = 7\n" + V, ("title", "text", "7")),
    "unknown unit": ('units = "furlong"\n' + V, ("units", "furlong", "mm, cm, in")),
    "unit no text": ("units = 25.4\n" + V, ("units", "25.4")),
    "unknown page": ('[spread]\npage = "A55"\n' + V, ("spread.page", "A55", "A5")),
    "page and width": ('[spread]\npage = "A5"\nwidth = 100\n' + V, ("spread.page", "width")),
    "width alone": ("[spread]\nwidth = 100\n" + V, ("spread.height", "missing")),
    "no orientation": (
        '[spread]\npage = "A5"\norientation = "tilted"\n' + V,
        ("spread.orientation", "portrait, landscape"),
    ),
    "margin too wide": ("[spread]\nmargin = 90\n" + V, ("spread.margin", "90 mm")),
    "no ruling": ('[spread]\nruling = "dot"\n' + V, ("spread.ruling", "dots")),
    "colour name": ('[spread]\npaper = "teal"\n' + V, ("spread.paper", "teal", "#rrggbb")),
    "unknown spread key": ("[spread]\nmargn = 3\n" + V, ("spread.margn", "margin")),
    "paper no table": ("[papers]\nred = '#ff0000'\n" + V, ("papers.red", "table")),
    "paper too thick": ("[papers.board]\ncaliper = 40\n" + V, ("papers.board.caliper", "5 mm")),
    "unknown paper key": ("[papers.rose]\ncolour = 1\n" + V, ("papers.rose.colour",)),
    "unknown paper": (V + 'paper = "crad"\n', ("fern", "paper", "crad", "card")),
    "no kind": ("[pieces.fern]\nat = 60\n", ("fern", "kind", "missing", "v-fold")),
    "unknown kind": (changed("v-fold", "vfold"), ("fern", "kind", "vfold", "v-fold")),
    "kind no text": (changed('"v-fold"', "4"), ("fern", "kind", "4")),
    "another word for a key": (V + 'colour = "#336633"\n', ("fern", "colour", "try: front")),
    "unknown key": (
        changed("panel_angle", "pannel_angle"),
        ("fern", "pannel_angle", "panel_angle"),
    ),
    "missing key": (changed("base = 20\n", ""), ("fern", "base", "missing", "mm")),
    "text for a length": (changed("base = 20", 'base = "long"'), ("fern", "base", "long")),
    "unknown length unit": (
        changed("base = 20", 'base = "2 ells"'),
        ("base", "ells", "mm, cm, in"),
    ),
    "truth for a length": (changed("base = 20", "base = true"), ("base", "length", "True")),
    "table for a length": (changed("base = 20", "base = {a = 1}"), ("base", "length")),
    "three for a pair": (changed("base = 20", "base = [1, 2, 3]"), ("base", "3 numbers")),
    "nan": (changed("base = 20", "base = nan"), ("base", "finite", "nan")),
    "infinite": (changed("base = 20", "base = inf"), ("base", "finite", "inf")),
    "huge number": (changed("base = 20", "base = 1" + "0" * 400), ("base",)),
    "negative": (changed("base = 20", "base = -20"), ("base", "-20", "0.1 to 2000 mm")),
    "zero": (changed("base = 20", "base = 0"), ("base", "0.1 to 2000 mm")),
    "absurd": (changed("base = 20", "base = 1e9"), ("base", "0.1 to 2000 mm")),
    "angle too large": (changed("panel_angle = 60", "panel_angle = 200"), ("panel_angle", "179°")),
    "angle in mm": (changed("panel_angle = 60", 'panel_angle = "60 mm"'), ("panel_angle", "deg")),
    "division by zero": (changed("base = 20", 'base = "20 / 0"'), ("base", "divides by zero")),
    "open bracket": (changed("base = 20", 'base = "(20"'), ("base", "bracket")),
    "code for a length": (
        changed("base = 20", "base = \"__import__('os').getcwd()\""),
        ("base", "__import__"),
    ),
    "bracket bomb": (changed("base = 20", f'base = "{"(" * 60}1{")" * 60}"'), ("base", "bracket")),
    "unknown value": (
        "[values]\nheight = 20\n" + changed("base = 20", 'base = "2 * hight"'),
        ("base", "hight", "height"),
    ),
    "circular values": ('[values]\na = "b"\nb = "a + 1"\n' + V, ("values", "circle", "a, b")),
    "value no number": ("[values]\na = [1]\n" + V, ("values.a", "number")),
    "value named as unit": ("[values]\nmm = 1\n" + V, ("values.mm", "unit")),
    "beyond the gutter": (changed("at = 60", "at = 260"), ("fern", "at", "260", "0 to 210 mm")),
    "not a V": (changed("page_angle = 45", "page_angle = 95"), ("page_angle", "190°", "down")),
    "no outline": (changed("ridge = 50\n", ""), ("fern", "outline", "ridge")),
    "unknown shape": (V + 'outline = {shape = "laef", length = 9}\n', ("outline", "laef", "leaf")),
    "no shape": (V + "outline = {length = 9}\n", ("outline", "shape")),
    "outline no table": (V + "outline = 9\n", ("outline", "9")),
    "unknown shape key": (
        V + 'outline = {shape = "leaf", length = 30, width = 9, pointy = 1}\n',
        ("outline.pointy", "point"),
    ),
    "missing shape key": (V + 'outline = {shape = "leaf", length = 30}\n', ("outline.width",)),
    "self-crossing outline": (
        V + 'outline = {shape = "polygon", corners = [[0, 0], [9, 9], [9, 0], [0, 9]]}\n',
        ("fern", "outline", "crosses itself"),
    ),
    "two points": (
        V + 'outline = {shape = "polygon", corners = [[0, 0], [9, 9]]}\n',
        ("outline.corners", "at least 3"),
    ),
    "infinite point": (
        V + 'outline = {shape = "polygon", corners = [[0, 0], [9, inf], [9, 0]]}\n',
        ("outline.corners.2", "finite"),
    ),
    "flat line": (
        V + 'outline = {shape = "polygon", corners = [[0, 0], [9, 9], [18, 18]]}\n',
        ("fern", "outline"),
    ),
    "hole cuts the sheet apart": (
        V + 'holes = [{shape = "rectangle", length = 2, width = 200, y = 20}]\n',
        ("fern", "holes.1", "apart"),
    ),
    "base wider than leaf": (
        V + 'outline = {shape = "leaf", length = 30, width = 9, base = 12}\n',
        ("outline", "base is wider"),
    ),
    "unknown host": (V + 'on = "fren2.ridge"\n', ("fern", "on", "fren2.ridge")),
    "unknown crease": (
        V + '[pieces.leaf]\nkind = "v-fold"\non = "fern.rigde"\npage_angle = 45\n'
        "panel_angle = 60\nbase = 5\nridge = 9\n",
        ("leaf", "on", "fern.rigde", "fern.ridge"),
    ),
    "facet for a crease": (V + 'on = "page.left"\n', ("fern", "on", "page.left", "crease")),
    "crease for a facet": (
        '[pieces.sun]\nkind = "flat"\non = "gutter"\noutline = {shape = "ellipse", length = 9}\n',
        ("sun", "on", "facet", "page.left"),
    ),
    "on itself": (V + 'on = "fern.ridge"\n', ("fern", "on", "circle")),
    "circular on": (
        V + 'on = "leaf.ridge"\n' + V.replace("fern", "leaf") + 'on = "fern.ridge"\n',
        ("on", "circle", "fern on leaf on fern"),
    ),
    "reserved name": (V.replace("pieces.fern", "pieces.page"), ("page", "name")),
    "name with a dot": (V.replace("pieces.fern", "pieces.'a.b'"), ("a.b", "name")),
    "unknown fold": (V + "folds.rigde.rest = 10\n", ("fern", "folds.rigde", "ridge")),
    "unknown fold key": (
        V + "folds.ridge.spring = 10\n",
        (
            "fern",
            "folds.ridge.spring",
        ),
    ),
    "colour number": (V + "front = 7\n", ("fern", "front", "7")),
    "no side": (V + 'side = "top"\n', ("fern", "side", "front, back")),
    "strap cannot fold flat": (
        '[pieces.band]\nkind = "strap"\ndistance = 25\npanels = [30, 24, 30]\nwidth = 9\n',
        ("band", "panels", "24 mm missing"),
    ),
    "strap short of a direction": (
        '[pieces.band]\nkind = "strap"\ndistance = 25\npanels = [30, 10, 40]\nwidth = 9\n'
        'directions = ["valley"]\n',
        ("band", "directions", "2 for 3 panels"),
    ),
    "box in two parts": (
        '[pieces.house]\nkind = "box"\ndistance = 9\nheight = 9\nwidth = 9\nlid = "none"\n'
        'foot_end = "none"\nhead_end = "none"\n',
        ("house", "lid", "unconnected"),
    ),
    "platform in two parts": (
        '[pieces.deck]\nkind = "platform"\ndistance = 15\nheight = 22\nwidth = 9\n'
        'foot_end = "none"\nhead_end = "none"\n'
        'outline = {shape = "ellipse", length = 60, y = -30}\n',
        ("deck", "head_end", "unconnected"),
    ),
    "platform too low": (
        '[pieces.deck]\nkind = "platform"\ndistance = 15\nheight = 12\nwidth = 9\n'
        'outline = {shape = "ellipse", length = 60, y = -30}\n',
        ("deck", "height", "at least 16 mm"),
    ),
    "hole in no wall": (
        '[pieces.house]\nkind = "box"\ndistance = 9\nheight = 9\nwidth = 9\n'
        'holes.lift = [{shape = "ellipse", length = 3}]\n',
        ("house", "holes.lift", "left"),
    ),
    "arm too short": (
        '[pieces.wand]\nkind = "arm"\non = "page.left"\nlength = 4\n',
        ("wand", "length", "more than 5 mm"),
    ),
    "a number for a list": (
        '[pieces.band]\nkind = "strap"\ndistance = 25\npanels = 30\nwidth = 9\n',
        ("band", "panels", "should be a list", "list, each 0.1 to 2000 mm"),
    ),
    "tent cannot fold flat": (
        '[pieces.roof]\nkind = "tent"\ndistance = [10, 60]\npanel = 40\nwidth = 9\n',
        ("roof", "panel", "folds flat"),
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_each_mistake_gives_one_clear_line(name: str, tmp_path: Path) -> None:
    text, words = BROKEN[name]
    file = tmp_path / "broken.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        spread.read(file)
    lines = str(caught.value).splitlines()
    assert len(lines) == 1, lines
    assert lines[0].startswith(str(file))
    for word in words:
        assert word in lines[0].removeprefix(str(file)), lines[0]
    assert len(lines[0]) < 500 + len(str(file))
    assert sorted(tmp_path.iterdir()) == [file]


def only_line(path: Path) -> str:
    with pytest.raises(DesignError) as caught:
        spread.read(path)
    (line,) = str(caught.value).splitlines()
    return line


def test_a_folder_is_no_design(tmp_path: Path) -> None:
    assert "folder" in only_line(tmp_path)


def test_a_missing_file_names_the_nearest_one(tmp_path: Path) -> None:
    (tmp_path / "meadow.toml").write_text(V)
    assert "meadow.toml" in only_line(tmp_path / "medow.toml")


def test_a_binary_file_is_no_design(tmp_path: Path) -> None:
    file = tmp_path / "photo.toml"
    file.write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR")
    assert "binary" in only_line(file)


def test_text_that_is_not_utf8_says_so(tmp_path: Path) -> None:
    file = tmp_path / "latin.toml"
    file.write_bytes('title = "Gr\u00fcn"'.encode("latin-1"))
    assert "UTF-8" in only_line(file)


def test_a_file_too_large_is_not_parsed(tmp_path: Path) -> None:
    file = tmp_path / "large.toml"
    file.write_bytes(b"#" * 3_000_000)
    assert "larger than 2 MB" in only_line(file)


def test_deep_nesting_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "deep.toml"
    file.write_text("a = " + "[" * 900 + "]" * 900)
    assert "nested" in only_line(file)


def test_all_mistakes_come_at_once_and_dependents_are_not_blamed(tmp_path: Path) -> None:
    file = tmp_path / "many.toml"
    file.write_text(
        "[spread]\nmargn = 3\n"
        + changed("base = 20", "base = -1")
        + V.replace("pieces.fern", "pieces.leaf").replace("at = 60", 'on = "fern.ridge"')
        + V.replace("pieces.fern", "pieces.bush").replace("at = 60", "at = 600")
        + V.replace("pieces.fern", "pieces.moss")
        + 'paper = "crad"\n'
    )
    with pytest.raises(DesignError) as caught:
        spread.read(file)
    assert [(m.piece, m.key) for m in caught.value.mistakes] == [
        ("", "spread.margn"),
        ("fern", "base"),
        ("moss", "paper"),
        ("bush", "at"),
    ]


def test_there_are_at_least_forty_broken_designs() -> None:
    assert len(BROKEN) >= 40


STANDS = """
[pieces.tuft]
kind = "{kind}"
on = "{on}"
paper = "crad"
"""


@pytest.mark.parametrize(
    ("kind", "on", "said"),
    [
        ("flat", "fren.left", ("does not exist", "fern")),
        ("flat", "fern.lift", ("is not a facet", "fern.left")),
        ("tent", "fern.left", ("is not a crease, but a facet", "fern.ridge")),
        ("tent", "gutter.x", ("is not a crease", "gutter")),
    ],
)
def test_a_wrong_host_is_told_beside_the_other_mistakes_of_a_piece(tmp_path, kind, on, said):
    file = tmp_path / "design.toml"
    keys = (
        'outline = { shape = "ellipse", length = 9 }\n'
        if kind == "flat"
        else ("distance = 9\npanel = 20\nwidth = 10\n")
    )
    file.write_text(V + STANDS.format(kind=kind, on=on) + keys)
    with pytest.raises(DesignError) as caught:
        spread.read(file)
    first, second = str(caught.value).splitlines()
    assert "tuft: paper: there is no such paper" in first
    assert "tuft: on: " in second
    assert all(word in second for word in said)


def test_a_host_that_is_broken_itself_is_not_blamed_on_what_stands_on_it(tmp_path):
    file = tmp_path / "design.toml"
    wrong = changed("base = 20", "base = -1")
    keys = 'outline = { shape = "ellipse", length = 9 }\n'
    file.write_text(wrong + STANDS.format(kind="flat", on="fern.lift") + keys)
    with pytest.raises(DesignError) as caught:
        spread.read(file)
    assert [line.split(": ")[1:3] for line in str(caught.value).splitlines()] == [
        ["fern", "base"],
        ["tuft", "paper"],
    ]
