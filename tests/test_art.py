"""Images and lettering: in their place to the pixel, the right way round on both sides."""

from __future__ import annotations

import os

import numpy as np
import pytest
from PIL import Image as Pillow
from shapely.geometry import box

from meshes import spread
from meshes.art import ArtError, Image, Lettering, lettering_size, picture_size, raster
from meshes.errors import DesignError
from meshes.pieces.artwork import FONT
from meshes.sheet import Placement
from preview.drawing.scene import build, printed
from tests.spreads import MEADOW

RED, BLUE, CLEAR = (255, 0, 0, 255), (0, 0, 255, 255), (0, 0, 0, 0)
FACET = box(-50, -40, 50, 40)


@pytest.fixture
def two_colours(tmp_path):
    """Left half red, right half blue, the top right quarter clear; 40 × 20 pixels."""
    image = Pillow.new("RGBA", (40, 20), RED)
    image.paste(BLUE, (20, 0, 40, 20))
    image.paste(CLEAR, (20, 0, 40, 10))
    image.save(tmp_path / "two.png")
    return tmp_path / "two.png"


def at(found, x, y):
    """The pixel of a raster at a point of the sheet, mm."""
    rows, columns = found.pixels.shape[:2]
    column = (x - found.corner[0]) / found.size[0] * columns
    row = (1 - (y - found.corner[1]) / found.size[1]) * rows
    return tuple(int(v) for v in found.pixels[int(row), int(column)])


def test_an_image_lies_where_it_was_put(two_colours):
    found = raster((Image(two_colours, 40, 20, Placement(shift=(5, 8))),), FACET, 1)
    assert found.corner == pytest.approx((-15, -2))
    assert found.size == pytest.approx((40, 20))
    assert at(found, -10, 10) == RED
    assert at(found, 20, 2) == BLUE
    assert at(found, 20, 14)[3] == 0


def test_an_image_that_is_painted_over_is_seen_as_it_is_now(two_colours):
    art = (Image(two_colours, 40, 20, Placement()),)
    before = printed(art, FACET, 1)
    assert at(raster(art, FACET, 1), -10, 0) == RED
    assert printed(art, FACET, 1) is before  # and made once while it stays
    time = two_colours.stat().st_mtime_ns + 1_000_000
    Pillow.new("RGBA", (40, 20), BLUE).save(two_colours)
    os.utime(two_colours, ns=(time, time))
    assert at(raster(art, FACET, 1), -10, 0) == BLUE
    assert at(printed(art, FACET, 1), -10, 0) == BLUE


def test_a_turned_image_turns_counter_clockwise(two_colours):
    quarter = Image(two_colours, 40, 20, Placement(np.pi / 2))
    found = raster((quarter,), FACET, 1)
    # The left half has come to the bottom, the clear corner from the top right to the top left.
    assert found.size == pytest.approx((20, 40))
    assert at(found, 5, -10) == RED
    assert at(found, 5, 10) == BLUE
    assert at(found, -5, 15)[3] == 0


def test_a_flipped_image_is_mirrored_left_for_right(two_colours):
    plain, flipped = (
        raster((Image(two_colours, 40, 20, Placement(), 1, flip),), FACET, 1)
        for flip in (False, True)
    )
    assert np.array_equal(flipped.pixels, plain.pixels[:, ::-1])


def test_a_mirrored_copy_of_a_piece_has_its_pictures_mirrored(tmp_path, two_colours):
    design = tmp_path / "d.toml"
    design.write_text(
        """[pieces.p]
kind = "v-fold"
on = "gutter"
at = 60
page_angle = 48
panel_angle = 62
base = 20
outline = { shape = "petal", length = 74, width = 52 }
[pieces.dot]
kind = "flat"
on = "page.right"
x = 60
y = 150
outline = { shape = "rectangle", length = 30, width = 50 }
repeat = { both_pages = true }
images = [{ file = "two.png", x = 4, y = 2, turn = 20 }]
lettering = [{ text = "up", x = 9, y = -3 }]
"""
    )
    made = spread.read(design)
    one, two = (made.built[name].sheets[0].art for name in ("dot", "dot-mirrored"))
    assert [art.placement.shift[0] for art in two] == pytest.approx(
        [-art.placement.shift[0] for art in one]
    )
    assert [art.placement.angle for art in two] == pytest.approx(
        [-art.placement.angle for art in one]
    )
    assert (one[0].flip, two[0].flip) == (False, True)
    sheet = made.built["dot"].sheets[0].outline
    left = raster(one[:1], sheet, 1).pixels
    right = raster(two[:1], sheet, 1).pixels
    assert np.abs(left[:, ::-1].astype(int) - right.astype(int)).mean() < 1.0


def test_art_on_the_back_reads_the_right_way_round_from_behind(two_colours):
    behind = Image(two_colours, 40, 20, Placement(flipped=True), -1)
    assert raster((behind,), FACET, 1) is None
    found = raster((behind,), FACET, -1)
    # From behind, the sheet's x axis runs to the left: its red left half is on the sheet's right.
    assert at(found, 10, 0) == RED
    assert at(found, -10, -5) == BLUE


def test_art_ends_at_the_facet(two_colours):
    wide = Image(two_colours, 400, 200, Placement())
    found = raster((wide,), FACET, 1)
    assert found.corner == pytest.approx((-50, -40))
    assert found.size == pytest.approx((100, 80))


def test_later_art_lies_on_top(two_colours):
    first = Image(two_colours, 40, 20, Placement())
    second = Image(two_colours, 40, 20, Placement(np.pi))
    found = raster((first, second), FACET, 1)
    assert at(found, -15, 5) == BLUE  # the second one's bottom right
    assert at(found, 15, -5) == RED


def test_lettering_is_centred_and_as_large_as_asked_for():
    item = Lettering("June", 20.0, "#102030", FONT, Placement(shift=(4, 3)))
    found = raster((item,), FACET, 1)
    ink = found.pixels[..., 3] > 128
    rows, columns = np.nonzero(ink)
    middle = (
        found.corner[0] + found.size[0] * (columns.min() + columns.max() + 1) / 2 / ink.shape[1]
    )
    assert middle == pytest.approx(4, abs=1.0)
    width = (columns.max() - columns.min()) / ink.shape[1] * found.size[0]
    assert width == pytest.approx(lettering_size(item)[0], rel=0.12)
    height = (rows.max() - rows.min()) / ink.shape[0] * found.size[1]
    assert 0.6 * 20 < height < 1.0 * 20  # capital to baseline, no descender but the J's
    assert found.pixels[ink][:, :3].mean(axis=0) == pytest.approx((0x10, 0x20, 0x30), abs=2)


@pytest.mark.parametrize("turn", [0.0, 0.4, np.pi])
def test_a_part_of_a_long_line_is_that_part_of_the_whole(turn):
    """Judge: Pillow's own drawing of the whole line, of which facets show pieces."""
    item = Lettering("To Wavy AVATAR hills, Ty", 12.0, "#000000", FONT, Placement(turn))
    whole = raster((item,), box(-80, -80, 80, 80), 1)
    for along in (-50, -21, 10, 34):
        x, y = along * np.cos(turn), along * np.sin(turn)
        strip = raster((item,), box(x - 10, y - 6, x + 10, y + 6), 1)
        rows, columns = strip.pixels.shape[:2]
        right = round((strip.corner[0] - whole.corner[0]) * 8)
        above = whole.corner[1] + whole.size[1] - strip.corner[1] - strip.size[1]
        down = round(above * 8)
        there = whole.pixels[down : down + rows, right : right + columns, 3].astype(float)
        gap = np.abs(there - strip.pixels[..., 3])
        assert there.max() == 255
        # The two grids of pixels lie up to half a pixel apart.
        assert gap.mean() < 15


def test_accents_alone_have_no_width_and_leave_the_rest():
    items = [Lettering(t, 20.0, "#000000", FONT, Placement()) for t in ("\u0301", "a")]
    assert raster(tuple(items), FACET, 1).pixels[..., 3].any()


def test_a_photograph_that_lies_on_its_side_is_set_upright(tmp_path):
    image = Pillow.new("RGB", (40, 20), (255, 0, 0))
    exif = image.getexif()
    exif[0x0112] = 6  # EXIF 2.32, Orientation: the first row is the right side
    image.save(tmp_path / "side.jpg", exif=exif)
    assert picture_size(tmp_path / "side.jpg") == (20, 40)


def test_the_scene_shows_the_art_of_its_sheets(tmp_path, two_colours):
    path = tmp_path / "a.toml"
    path.write_text(MEADOW + '[[pieces.meadow-left.images]]\nfile = "two.png"\nwidth = 30\n')
    made = spread.read(path)
    scene = build(made, made.solve(np.radians([120.0])), 0)
    printed = [s.name for s in scene.surfaces if s.front_picture is not None]
    assert [name.partition(".")[0] for name in printed] == ["meadow-left"]
    assert all(surface.back_picture is None for surface in scene.surfaces)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[[pieces.tulip.images]]\nfile = 'none.png'\n", "images.1.file: there is no such file"),
        ("[[pieces.tulip.images]]\nfile = '../two.png'\n", "outside the design's folder"),
        ("[[pieces.tulip.images]]\nfile = '/etc/hostname'\n", "outside the design's folder"),
        ("[[pieces.tulip.images]]\nfile = 'a.toml'\n", "is not an image that can be read"),
        ("[[pieces.tulip.images]]\nfile = 'wide.png'\n", "has 20000 × 4 pixels"),
        ("[[pieces.tulip.images]]\nfile = 'two.png'\nfacet = 'wing'\n", "no such facet"),
        ("[[pieces.tulip.images]]\nfile = 'two.png'\nwidth = -3\n", "images.1.width"),
        ("[[pieces.tulip.images]]\nwidth = 3\n", "images.1.file"),
        ("[[pieces.tulip.lettering]]\ntext = ''\n", "lettering.1.text"),
        ("[[pieces.tulip.lettering]]\ntext = 'a'\nfont = 'a.toml'\n", "is not a font"),
        ("[[pieces.tulip.lettering]]\ntext = 'a'\ncolour = 'red'\n", "lettering.1.colour"),
    ],
)
def test_art_that_cannot_be_used_is_one_clear_line(tmp_path, two_colours, text, line):
    folder = tmp_path / "inner"
    folder.mkdir()
    (folder / "two.png").write_bytes(two_colours.read_bytes())
    Pillow.new("L", (20_000, 4)).save(folder / "wide.png")
    (folder / "a.toml").write_text(MEADOW + text)
    with pytest.raises(DesignError) as caught:
        spread.read(folder / "a.toml")
    assert len(caught.value.mistakes) == 1
    assert line in str(caught.value)
    assert "tulip" in str(caught.value)


def test_an_image_bomb_is_not_decoded(tmp_path):
    """A PNG header that promises 30,000 × 30,000 pixels: PNG specification (W3C 2025), IHDR."""
    import struct
    import zlib

    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    header = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 6, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")
    (tmp_path / "bomb.png").write_bytes(data)
    with pytest.raises(ArtError, match="million"):
        picture_size(tmp_path / "bomb.png")


def test_an_image_cut_short_is_one_line_of_its_piece(tmp_path, two_colours):
    """A PNG keeps what says which way is up behind the picture, so all of it is read."""
    (tmp_path / "half.png").write_bytes(two_colours.read_bytes()[:50])
    with pytest.raises(ArtError, match="can't be decoded"):
        picture_size(tmp_path / "half.png")
