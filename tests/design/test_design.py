"""Reading sound design files: units, papers, values, overrides, hosts in any order."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from meshes import design, spread
from meshes.design import Design
from meshes.design.reference import reference_markdown
from meshes.design.sizes import PAGES
from meshes.errors import DesignError
from meshes.measure import Units, evaluate
from meshes.outline import Shape
from meshes.pieces import KINDS
from meshes.pieces.v_fold import VFold

Read = Callable[..., Design]

FERN = """
[pieces.fern]
kind = "v-fold"
at = 6
page_angle = 45
panel_angle = [60, 60]
base = "20 mm"
outline = { shape = "leaf", length = 5, width = 2.5 }
"""


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def from_text(text: str, overrides: dict[str, str | float] | None = None) -> Design:
        file = tmp_path / "design.toml"
        file.write_text(text, encoding="utf-8")
        return design.read(file, overrides)

    return from_text


def fern(found: Design) -> VFold:
    piece = found.pieces["fern"]
    assert isinstance(piece, VFold)
    return piece


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("cm", 10.0), ("in", 25.4)])
def test_bare_numbers_are_in_the_unit_of_the_file(read: Read, unit: str, factor: float) -> None:
    piece = fern(read(f'units = "{unit}"\n' + FERN))
    assert piece.at == pytest.approx(6 * factor)
    assert piece.outline is not None
    assert piece.outline.polygon().bounds[3] == pytest.approx(5 * factor)
    assert piece.base == pytest.approx((20, 20))


def test_angles_are_degrees_in_the_file_and_radians_inside(read: Read) -> None:
    assert fern(read(FERN)).page_angle == pytest.approx((math.pi / 4, math.pi / 4))


def test_a_title_and_the_order_of_the_pieces_are_kept(read: Read) -> None:
    found = read('title = "Fern bank"\n' + FERN.replace("fern", "moss") + FERN)
    assert found.title == "Fern bank"
    assert list(found.pieces) == ["moss", "fern"]


def test_without_a_title_the_file_gives_its_name(read: Read) -> None:
    assert read(FERN).title == "design"


# ISO 216 prints these; widths and heights in mm.
ISO_216 = {"A4": (210, 297), "A5": (148, 210), "A6": (105, 148), "B5": (176, 250), "B6": (125, 176)}


@pytest.mark.parametrize("page", ISO_216)
def test_iso_pages(read: Read, page: str) -> None:
    found = read(f'[spread]\npage = "{page}"\n' + FERN).spread
    assert (found.width, found.height) == ISO_216[page]


def test_all_iso_sizes_halve_the_one_before() -> None:
    for series in "ab":
        for k in range(10):
            large, small = PAGES[f"{series}{k}"], PAGES[f"{series}{k + 1}"]
            assert small == (large[1] // 2, large[0])


def test_us_letter_is_eight_and_a_half_by_eleven_inches(read: Read) -> None:
    # ANSI/ASME Y14.1, size A.
    found = read('[spread]\npage = "letter"\n' + FERN).spread
    assert (found.width, found.height) == pytest.approx((215.9, 279.4))


def test_a_page_on_its_side(read: Read) -> None:
    found = read('[spread]\npage = "A5"\norientation = "landscape"\n' + FERN).spread
    assert (found.width, found.height) == (210, 148)


def test_a_page_by_name_does_not_depend_on_the_unit(read: Read) -> None:
    assert read('units = "in"\n[spread]\npage = "A5"\n' + FERN).spread.width == 148


def test_a_page_by_width_and_height(read: Read) -> None:
    found = read('units = "cm"\n[spread]\nwidth = 12\nheight = 18\nmargin = 0.5\n' + FERN).spread
    assert (found.width, found.height, found.margin) == (120, 180, 5)


def test_caliper_follows_from_grammage_unless_given(read: Read) -> None:
    papers = read(
        "[papers.rose]\ngrammage = 160\n[papers.board]\ngrammage = 160\ncaliper = 0.3\n" + FERN
    ).papers
    assert papers["rose"].caliper == pytest.approx(0.184)
    assert papers["board"].caliper == 0.3


def test_a_ready_paper_may_be_changed_in_part(read: Read) -> None:
    film = read('[papers.clear-film]\nfront = "#ffeecc"\n' + FERN).papers["clear-film"]
    assert film.clear
    assert (film.front, film.caliper) == ("#ffeecc", 0.1)


def test_a_piece_has_the_colours_of_its_paper_unless_it_says_so(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text(FERN.replace("at = 6", 'at = 6\nfront = "#123456"\npaper = "kraft"'))
    sheet = spread.read(file).sheets[1]
    assert (sheet.front, sheet.back) == ("#123456", "#b98f62")


def test_values_have_names_and_build_on_each_other(read: Read) -> None:
    text = '[values]\nstep = "2 * base"\nbase = 7\n' + FERN.replace(
        "at = 6", 'at = "step + 1.5 cm"'
    ).replace("page_angle = 45", 'page_angle = "step * 3 + 2"')
    piece = fern(read(text))
    assert piece.at == pytest.approx(29)
    assert piece.page_angle[0] == pytest.approx(math.radians(44))


def test_the_command_line_may_set_values_and_keys(read: Read) -> None:
    text = "[values]\nstep = 4\n" + FERN.replace("at = 6", 'at = "step"')
    assert fern(read(text, {"step": "9"})).at == 9
    assert fern(read(text, {"pieces.fern.at": 12.5})).at == 12.5
    assert fern(read(text, {"pieces.fern.base": "[5, 6]"})).base == (5, 6)
    assert fern(read(text, {"pieces.fern.at": "1 cm"})).at == 10
    assert read(text, {"spread.page": "A4"}).spread.width == 210


def test_setting_what_is_not_there_names_the_nearest_value(read: Read) -> None:
    with pytest.raises(DesignError, match=r"setp.*try: step"):
        read("[values]\nstep = 4\n" + FERN, {"setp": 9})


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 + 2 * 3", 7),
        ("(1 + 2) * 3", 9),
        ("-4 / -2", 2),
        ("2 - - 1", 3),
        ("1 in", 25.4),
        ("1 cm + 2 mm", 12),
        ("10 - 2 - 3", 5),
        ("8 / 2 / 2", 2),
        ("1.5e1", 15),
        ("half * 2", 6),
        (".5", 0.5),
    ],
)
def test_arithmetic(text: str, value: float) -> None:
    assert evaluate(text, Units("mm", {"half": 3})) == pytest.approx(value)


@pytest.mark.parametrize(
    "text", ["", "  ", "1 +", "1 2", "()", "1 ** 2", "a", "1;2", "1e999", "𝟙+"]
)
def test_what_is_no_arithmetic_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"understood|early|name|finite|bracket"):
        evaluate(text, Units())


def test_hosts_may_stand_after_their_guests(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    guest = FERN.replace("pieces.fern", "pieces.leaf").replace(
        "at = 6", 'on = "fern.ridge"\nat = 2'
    )
    file.write_text(guest + FERN)
    built = spread.read(file)
    assert [sheet.piece for sheet in built.sheets] == ["page", "fern", "leaf"]
    assert list(built.design.pieces) == ["leaf", "fern"]


def test_reading_twice_gives_the_same_spread(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text(FERN)
    first, second = spread.read(file), spread.read(file)
    assert first.design == second.design
    assert first.sheets == second.sheets
    assert first.joins == second.joins


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"\xef\xbb\xbf" + FERN.encode())
    assert "fern" in design.read(file).pieces


def test_the_reference_names_every_kind_shape_and_key() -> None:
    text = reference_markdown()
    for name, kind in KINDS.items():
        assert f'`kind = "{name}"`' in text
        for key in kind.model_fields:
            assert f"`{key}`" in text or key == "kind"
    for shape in Shape.__subclasses__():
        assert f'`shape = "{shape.model_fields["shape"].default}"`' in text


def test_every_row_of_the_reference_says_something() -> None:
    for line in reference_markdown().splitlines():
        if line.startswith("| `"):
            cells = [cell.strip() for cell in line.strip("|").replace("\\|", "/").split(" | ")]
            assert len(cells) == 4, line
            assert all(cells), line
