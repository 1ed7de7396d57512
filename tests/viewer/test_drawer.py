"""What comes out of the drawer fits where it is laid: the check finds no problem with it."""

from __future__ import annotations

import itertools
import json
import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from meshes.check import case_of, report
from meshes.design.edit import AddPiece
from meshes.motion.memory import Memory
from preview.errors import UseError
from preview.viewer import drawer, room
from preview.viewer.desk import Desk
from preview.viewer.drawer import PATIENCE_S, Drawer, Dropped
from preview.viewer.miniatures import drawn, miniatures
from preview.viewer.room import Room, places
from preview.viewer.stock import stock

from .drops import dropped, problems

TENT = """
[pieces.tent]
kind = "tent"
at = 100
distance = 18
panel = 40
width = 44
"""
BLANK = 'title = "Mine"\n[spread]\npage = "%s"\n'


def drop(desk: Desk, kind: str, facet: str, x: float, y: float) -> str:
    asked = {"made": "", "kind": kind, "facet": facet, "place": [x, y]}
    return str(desk.drop(json.dumps(asked).encode())["name"])


@pytest.mark.parametrize(
    "kind", [one.name for one in stock().values() if one.group != "outlines"] + ["fern", "ring"]
)
def test_every_kind_fits_a_blank_notebook(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5")
    assert drop(Desk(file), kind, "page.right", 80, 100) == kind
    made = spread.read(file)
    assert list(made.design.pieces) == [kind]
    assert [f.text for f in report(case_of(made)).findings if f.severity == "problem"] == []


def test_paper_becomes_smaller_until_it_fits(tmp_path: Path) -> None:
    sizes = []
    for page in ("A5", "A8"):
        file = tmp_path / f"{page}.toml"
        file.write_text(BLANK % page)
        drop(Desk(file), "v-fold", "page.right", 20, 40)
        made = spread.read(file)
        assert [f for f in report(case_of(made)).findings if f.severity == "problem"] == []
        sizes.append(made.design.pieces["v-fold"].outline.length)
    assert sizes[1] < sizes[0]


@pytest.mark.night
def test_what_is_laid_on_paper_stands_on_its_nearest_crease(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A4")
    desk = Desk(file)
    assert drop(desk, "tent", "page.left", -60, 120) == "tent"
    assert drop(desk, "blossom", "tent.right", 20, 20) == "blossom"
    assert drop(desk, "flat", "tent.left", -28, 4) == "flat"
    assert drop(desk, "tent", "page.left", -60, 60) == "tent-2"
    pieces = spread.read(file).design.pieces
    assert pieces["tent"].on == "gutter"
    assert pieces["blossom"].on.startswith("tent.")
    assert pieces["flat"].on == "tent.left"


def test_where_there_is_no_room_it_says_so_and_writes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5")
    desk = Desk(file)
    with pytest.raises(UseError, match="no room"):
        drop(desk, "wheel", "page.right", 147, 209)
    with pytest.raises(UseError, match="no teapot in the drawer"):
        drop(desk, "teapot", "page.right", 50, 50)
    with pytest.raises(UseError, match="not there any more"):
        drop(desk, "flat", "rose.left", 0, 0)
    assert file.read_text() == BLANK % "A5"


def test_what_lies_on_the_page_is_no_hindrance_to_its_gutter(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5")
    desk = Desk(file)
    assert drop(desk, "cloud", "page.right", 74, 100) == "cloud"
    assert drop(desk, "tent", "cloud.art", 4, 4) == "tent"
    assert spread.read(file).design.pieces["tent"].on == "gutter"


def test_what_is_laid_on_the_back_of_paper_is_seen_there(tmp_path: Path) -> None:
    """The hand is behind the left half of a tent: what it lays is there, the right way round."""
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A4" + TENT)
    made = spread.read(file)
    body = next(b for b in made.linkage.bodies if any(p.id == "tent.left" for p in b.parts))
    part = next(p for p in body.parts if p.id == "tent.left")
    x, y = part.placement.apply([-20.0, 6.0])
    asked = {"made": "", "kind": "star", "piece": "tent", "body": body.name}
    for seen in (part.placement.up, -part.placement.up):
        where = {"local": [x, y, part.height], "seen": seen}
        Desk(file).drop(json.dumps(asked | where).encode())
    front, back = (spread.read(file).design.pieces[name] for name in ("star", "star-2"))
    assert (front.side, front.x, front.y) == ("front", -20, 6)
    # The reference says so: a place at x = -22 on the front is at x = 22 on the back.
    assert (back.side, back.x, back.y) == ("back", 20, 6)


def test_a_shipped_drawing_comes_with_its_file_and_never_over_hers(tmp_path: Path) -> None:
    file, drawing = tmp_path / "mine.toml", tmp_path / "drawings" / "boat.svg"
    file.write_text(BLANK % "A4")
    drawing.parent.mkdir()
    drawing.write_text("<svg/>")
    desk = Desk(file)
    asked = {"made": "", "kind": "boat", "facet": "page.right", "place": [5, 120]}
    assert json.dumps(desk.fits(json.dumps(asked).encode())["table"])
    assert [path.name for path in drawing.parent.iterdir()] == ["boat.svg"]  # only tried
    assert drop(desk, "boat", "page.right", 5, 120) == "boat"
    assert drawing.read_text() == "<svg/>"
    assert spread.read(file).design.pieces["boat"].file == "drawings/boat-2.svg"


@pytest.mark.night
def test_a_neighbour_in_the_way_is_not_passed_through(tmp_path: Path) -> None:
    """Nor is anything else in random designs, of which this is one and `bench_drawer` has more."""
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5" + TENT)
    found = dropped(file, ["v-fold", "stair", "heart"], np.random.default_rng(7))
    assert [(drop.kind, drop.new) for drop in found if drop.new] == []
    desk = Desk(file)
    at_its_foot = {"made": "", "kind": "box", "facet": "page.right", "place": [9, 96]}
    box = desk.fits(json.dumps(at_its_foot).encode())["table"]
    assert box["distance"] < 18  # it stands below the tent's panels, and not through them


FLOWER = """
[pieces.flower]
kind = "blossom"
at = 100
length = 44
sectors = 6
angle = 52
"""


def test_what_would_break_the_piece_that_it_is_laid_on_is_refused_or_smaller(
    tmp_path: Path,
) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5" + FLOWER)
    found = dropped(file, ["drop"], np.random.default_rng(4))
    assert [(drop.kind, drop.new) for drop in found if drop.new] == []


@pytest.mark.night
def test_a_flower_on_a_flower_is_soon_refused(tmp_path: Path, monkeypatch) -> None:
    """Free paper is led past free paper for a while only: a hand is waiting."""
    trials: list[Memory] = []

    def patient(*given: Any) -> Memory:
        trials.append(Memory(*given))
        return trials[-1]

    monkeypatch.setattr(room, "Memory", patient)
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5" + FLOWER)
    with pytest.raises(UseError, match=r"finds no room here: flower\."):
        drop(Desk(file), "blossom", "page.right", 2, 100)
    # The solver's own patience lets it try some fifty times as many.
    assert 0 < sum(memory.rests for memory in trials) < 400


def test_places_light_up_that_can_move_and_are_large_enough(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5" + TENT)
    made = spread.read(file)
    creases = {place.on: place for place in places(made, "crease")}
    assert set(creases) == {"gutter", "tent.ridge", "tent.left-base", "tent.right-base"}
    assert creases["gutter"].line == ((0, 0), (0, 210))
    facets = [place.on for place in places(made, "facet")]
    # Tabs of 8 mm are no place for a picture.
    assert facets == ["page.left", "page.right", "tent.left", "tent.right"]
    assert [place.on for place in places(made, "gutter")] == ["gutter"]


def test_the_pictures_are_those_of_this_version() -> None:
    shown = {one["kind"]: one for one in miniatures()}
    assert list(shown) == list(stock())
    for one in drawn(["tent", "heart", "stair", "boat"]):
        known = shown[one["kind"]]
        assert {**one, "faces": 0} == {**known, "faces": 0}
        for now, then in zip(one.get("faces", []), known.get("faces", []), strict=True):
            assert [len(face) for face in now] == [len(face) for face in then]
            assert np.concatenate(now) == pytest.approx(np.concatenate(then), abs=0.2)


def test_a_picture_opens_as_the_piece_does() -> None:
    """A tent's ridge is seen where the law of cosines puts it over its two feet."""
    (tent,) = drawn(["tent"])
    assert len(tent["faces"]) == len(tent["shades"]) == len(tent["order"]) == 16
    flat, faces = tent["faces"][-1], len(tent["order"][0])
    assert sorted(tent["order"][-1]) == list(range(faces)) == list(range(len(flat)))
    # The pages are drawn first, and taller than wide while they are nearly shut.
    assert all(set(order[:2]) == {0, 1} for order in tent["order"])
    for shut, opened in ((0, False), (-1, True)):
        page = np.reshape(tent["faces"][shut][1], (-1, 2))
        width, height = np.ptp(page, axis=0)
        assert (width > height) == opened


def test_a_hand_waits_for_a_stated_time_only(tmp_path: Path) -> None:
    """The clock goes on by 50 ms whenever it is looked at, however quick the computer is."""
    looks = itertools.count()
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5" + FLOWER)
    made = spread.read(file)
    waiting = Drawer(clock=lambda: 0.05 * next(looks))
    asked = Dropped(made="", kind="layered-blossom", on="flower.fold-1")
    with pytest.raises(UseError, match=r"takes longer than 5 s to find out; try another place"):
        waiting.added(file.read_text(), made, asked)
    spent = next(looks)
    assert PATIENCE_S / 0.05 <= spent < 1.05 * PATIENCE_S / 0.05
    # It is not tried again while the design stays as it is.
    with pytest.raises(UseError, match="takes longer"):
        waiting.added(file.read_text(), made, asked)
    assert next(looks) == spent + 1


def test_what_fits_is_laid_when_the_time_for_a_larger_one_is_over(tmp_path: Path) -> None:
    """After the first size that fits, the clock stands at the end of all patience."""
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A8")
    asked = Dropped(made="", kind="v-fold", facet="page.right", place=(20, 40))
    largest, hurried = (laid_with(file, asked, seconds) for seconds in (0.0, 1e6))
    assert problems(spread.read(file, text=hurried.apply(file.read_text()))) == {}
    assert hurried.table["outline"]["length"] < largest.table["outline"]["length"]


def laid_with(file: Path, asked: Dropped, seconds: float) -> AddPiece:
    """What is laid where each size that fits takes so long."""
    now = [0.0]

    class Hurried(Room):
        def trouble(self, name: str, table: Any) -> str:
            reason = super().trouble(name, table)
            now[0] += 0.0 if reason else seconds
            return reason

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(drawer, "Room", Hurried)
        waiting = Drawer(clock=lambda: now[0])
        return waiting.added(file.read_text(), spread.read(file, blank=True), asked)


def test_what_is_being_tried_can_be_taken_back(tmp_path: Path) -> None:
    """Others may ask meanwhile, and the file stays as it is."""
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5" + FLOWER)
    text, desk = file.read_text(), Desk(file)
    begun, said = threading.Event(), []

    def heeds() -> float:
        begun.set()
        return 0.0

    desk._drawer = Drawer(clock=heeds)
    asked = {"made": "", "kind": "layered-blossom", "on": "flower.fold-1"}

    def lay() -> None:
        try:
            desk.drop(json.dumps(asked).encode())
        except UseError as error:
            said.append(str(error))

    trying = threading.Thread(target=lay)
    trying.start()
    assert begun.wait(20)
    assert desk.news()["undo"] == ""
    desk.leave_off(b'{"page": "mine"}')
    trying.join(20)
    assert said == ["it went back into the drawer"]
    assert file.read_text() == text
    # What is laid down after that is tried.
    assert drop(desk, "flat", "page.left", -60, 60) == "flat"
