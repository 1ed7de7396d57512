"""Copies of a piece: along, around, mirrored, and what stands on them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from meshes import spread
from meshes.errors import DesignError
from meshes.spread import Spread

Read = Callable[[str], Spread]

DOT = """
[pieces.dot]
kind = "flat"
on = "page.right"
x = 60
y = 100
outline = { shape = "petal", length = 12, width = 6 }
anchor = "base"
"""
FERN = """
[pieces.fern]
kind = "v-fold"
at = 30
page_angle = 45
panel_angle = 60
base = 20
outline = { shape = "leaf", length = 40, width = 20 }
"""


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def from_text(text: str) -> Spread:
        file = tmp_path / "design.toml"
        file.write_text(text, encoding="utf-8")
        return spread.read(file)

    return from_text


def base(found: Spread, name: str) -> np.ndarray:
    """Where the base of a petal lies on its page, mm."""
    _, part = found.linkage.place(f"{name}.art")
    return part.placement.apply(np.zeros(2))


def test_copies_along_a_line_grow_by_steps(read: Read) -> None:
    found = read(FERN + 'repeat = { count = 3, add = { at = 50, "outline.length" = "1 cm" } }\n')
    assert list(found.design.pieces) == ["fern-1", "fern-2", "fern-3"]
    heights = [sheet.facet("left").polygon.bounds[3] for sheet in found.sheets[1:]]
    assert heights == pytest.approx([40, 50, 60])
    assert [piece.at for piece in found.design.pieces.values()] == [30, 80, 130]  # type: ignore[attr-defined]


def test_copies_around_a_point_lie_on_a_circle_and_point_outwards(read: Read) -> None:
    found = read(DOT + "repeat = { count = 6, around = 10 }\n")
    places = np.array([base(found, f"dot-{k}") for k in range(1, 7)])
    assert np.hypot(*(places - (60, 100)).T) == pytest.approx(np.full(6, 10))
    for k, place in enumerate(places):
        _, part = found.linkage.place(f"dot-{k + 1}.art")
        outward = part.placement.apply(np.array([0.0, 12.0])) - place
        assert outward / 12 == pytest.approx((place - (60, 100)) / 10, abs=1e-9)


def test_copies_on_part_of_a_circle_reach_both_its_ends(read: Read) -> None:
    found = read(DOT + "repeat = { count = 3, around = 10, first = -90, arc = 180 }\n")
    places = [base(found, f"dot-{k}") - (60, 100) for k in (1, 2, 3)]
    assert places == pytest.approx(np.array([(10, 0), (0, 10), (-10, 0)]), abs=1e-9)


def test_a_mirrored_copy_lies_on_the_other_page(read: Read) -> None:
    found = read(DOT + "turn = 30\nrepeat = { both_pages = true }\n")
    right, left = (found.linkage.place(f"{name}.art") for name in ("dot", "dot-mirrored"))
    assert (left[0], right[0]) == (0, 1)
    a, b = (part.polygon for _, part in (right, left))
    mirrored = np.array(a.exterior.coords) * (-1, 1)
    assert b.symmetric_difference(type(a)(mirrored)).area < 1e-9


@pytest.mark.parametrize("page", ["left", "right"])
def test_a_mirrored_carrier_with_its_guest_moves_as_a_mirror_image(read: Read, page: str) -> None:
    found = read(
        f'[pieces.strip]\nkind = "carrier"\nlies = "{page}"\nat = 100\ndistance = 50\nflap = 25\n'
        "width = 30\nrepeat = { both_pages = true }\n"
        '[pieces.leaf]\nkind = "v-fold"\non = "strip.crease"\nat = 15\npage_angle = [40, 55]\n'
        'panel_angle = [65, 50]\nbase = [8, 10]\noutline = { shape = "leaf", length = 20, '
        "width = 12 }\nrepeat = { both_pages = true }\n"
    )
    motion = found.solve(np.radians([40.0, 110.0]))
    angle = {h.name: motion.angles[:, k] for k, h in enumerate(found.linkage.hinges)}
    assert angle["leaf.left-base"] == pytest.approx(angle["leaf-mirrored.right-base"], abs=1e-8)
    assert angle["leaf.ridge"] == pytest.approx(angle["leaf-mirrored.ridge"], abs=1e-8)


def test_a_mirrored_copy_on_half_of_a_piece_lies_on_its_other_half(read: Read) -> None:
    found = read(
        FERN
        + DOT.replace('"page.right"', '"fern.left"').replace(
            "x = 60\ny = 100\n", "x = -5\ny = 30\n"
        )
        + "repeat = { both_pages = true }\n"
    )
    hosts = {join.facet: join.host for join in found.joins if join.facet.startswith("dot")}
    assert hosts == {"dot.art": "fern.left", "dot-mirrored.art": "fern.right"}
    assert base(found, "dot-mirrored") == pytest.approx((5, 30))


def test_a_star_stands_for_the_number_of_the_copy(read: Read) -> None:
    found = read(
        FERN
        + "repeat = { count = 3, add = { at = 50 } }\n"
        + DOT.replace('"page.right"', '"fern-*.left"').replace("x = 60\ny = 100\n", "")
        + "repeat = { count = 3 }\n"
    )
    hosts = [join.host for join in found.joins if join.facet.startswith("dot")]
    assert hosts == ["fern-1.left", "fern-2.left", "fern-3.left"]


@pytest.mark.parametrize(
    ("repeat", "words"),
    [
        ("{ count = 1 }", ("repeat.count", "2 to 200")),
        ("{ count = 1000 }", ("repeat.count", "200")),
        ("{ count = 3, add = { att = 4 } }", ("repeat.add.att", "at")),
        ("{ cuont = 3, both_pages = true }", ("repeat.cuont", "count")),
        ("{ count = 3, around = 9 }", ("repeat.around", "x and y")),
        ("7", ("repeat", "table")),
    ],
)
def test_a_wrong_repeat_gives_one_line(read: Read, repeat: str, words: tuple[str, ...]) -> None:
    guest = FERN.replace("pieces.fern", "pieces.moss").replace("at = 30", 'on = "fern-2.ridge"')
    with pytest.raises(DesignError) as caught:
        read(FERN + f"repeat = {repeat}\n" + guest)
    (line,) = str(caught.value).splitlines()
    for word in ("fern", *words):
        assert word in line


def test_a_copy_may_not_take_the_name_of_a_piece(read: Read) -> None:
    with pytest.raises(DesignError, match="second piece fern-2"):
        read(FERN + "repeat = { count = 2 }\n" + FERN.replace("fern", "fern-2"))
