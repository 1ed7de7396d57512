"""The ground goes and the drawing stays; judge: the shapes before light fell on them."""

from __future__ import annotations

import io
import tomllib

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter

from meshes.art import ArtError
from meshes.traced import from_image
from preview.cli import main
from preview.cli.terminal import Terminal
from preview.pictures import cut_out

ROWS, COLUMNS, FINER = 360, 480, 4
INK, PAINT = (50, 60, 130), (220, 120, 60)


def corners(seed):
    """A star-shaped outline, not a regular one, well inside the picture."""
    chance = np.random.default_rng(seed)
    count = int(chance.integers(5, 12))
    turn = 2 * np.pi * (np.arange(count) + chance.uniform(-0.3, 0.3, count)) / count
    far = chance.uniform(0.5, 1, count) * 140
    return np.column_stack((COLUMNS / 2 + far * np.cos(turn), ROWS / 2 + far * np.sin(turn)))


def drawn(points, fill="white", width=5):
    """The drawing on white, and its true region, both (rows, columns)."""
    big = [tuple(map(float, point * FINER)) for point in (*points, points[0], points[1])]
    size = (COLUMNS * FINER, ROWS * FINER)
    picture, region = Image.new("RGB", size, "white"), Image.new("L", size, 0)
    for image, inside, line in ((picture, fill, INK), (region, 255, 255)):
        pen = ImageDraw.Draw(image)
        pen.polygon(big, fill=inside)
        pen.line(big, fill=line, width=width * FINER, joint="curve")
    small = picture.resize((COLUMNS, ROWS), Image.Resampling.BOX)
    truth = np.asarray(region.resize((COLUMNS, ROWS), Image.Resampling.BOX)) > 127
    return np.asarray(small.filter(ImageFilter.GaussianBlur(0.7)), float) / 255, truth


def lit(picture, seed):
    """The same on cream paper with grain, under a lamp at one side and a soft shadow."""
    chance = np.random.default_rng(seed)
    y, x = np.mgrid[-1 : 1 : ROWS * 1j, -1 : 1 : COLUMNS * 1j]
    slope, bend, at, up = chance.uniform((-0.2, -0.15, -1, -1), (0.2, 0, 1, 1))
    shadow = 0.2 / (1 + np.exp(-6 * (x - at + 0.4 * (y - up))))
    light = 0.8 + slope * x + bend * (x * x + y * y) - shadow
    grain = chance.normal(0, 0.006, picture.shape)
    return np.clip(picture * [1, 0.97, 0.9] * light[..., None] + grain, 0, 1).astype(np.float32)


def covered(found):
    return found.pixels[2:-2, 2:-2, 3] > 127


def cropped(truth):
    rows, columns = (np.flatnonzero(truth.any(axis=axis)) for axis in (1, 0))
    return truth[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def difference(found, truth):
    """Pixels that differ, as a share of the length of the true edge in pixels."""
    cover, true = covered(found), cropped(truth)
    best = np.inf
    for down in (-1, 0, 1, 2):
        for right in (-1, 0, 1, 2):
            room = np.zeros((true.shape[0] + 8, true.shape[1] + 8), bool)
            other = room.copy()
            room[3 : 3 + true.shape[0], 3 : 3 + true.shape[1]] = true
            ends = (3 - down + cover.shape[0], 3 - right + cover.shape[1])
            if ends[0] > other.shape[0] or ends[1] > other.shape[1]:
                continue
            other[3 - down : ends[0], 3 - right : ends[1]] = cover
            best = min(best, np.count_nonzero(room ^ other))
    edge = np.count_nonzero(true ^ np.pad(true, 1)[2:, 1:-1])
    return best / edge


@pytest.mark.parametrize("seed", range(4, 14))
def test_the_edge_is_that_of_what_was_drawn(seed):
    """Within two pixels all along, with white kept inside the line."""
    picture, truth = drawn(corners(seed))
    found = cut_out.cut_out(lit(picture, seed))
    assert found.parts == 1
    assert difference(found, truth) < 2


@pytest.mark.parametrize("seed", range(3))
def test_colours_are_those_of_the_paint_in_any_light(seed):
    picture, _ = drawn(corners(seed), fill=PAINT)
    found = cut_out.cut_out(lit(picture, seed))
    middle = found.pixels[found.pixels.shape[0] // 2, found.pixels.shape[1] // 2]
    assert np.abs(middle[:3].astype(int) - PAINT).max() < 24
    assert middle[3] == 255


def test_white_paper_alone_and_a_picture_without_ground_are_refused():
    white = lit(np.ones((ROWS, COLUMNS, 3)), 1)
    with pytest.raises(ArtError, match="nothing in it differs"):
        cut_out.cut_out(white)
    framed = white.copy()
    framed[:2], framed[-2:], framed[:, :2], framed[:, -2:] = 0, 0, 0, 0
    framed[150:200, 150:200] = 0.2
    assert cut_out.cut_out(framed).share < 0.1  # a dark rim is a table


def test_a_gap_in_the_line_opens_the_drawing_unless_it_is_to_be_closed():
    picture, truth = drawn(corners(4))
    row = ROWS // 2
    right = np.flatnonzero(truth[row])[-1]
    picture[row - 3 : row + 3, right - 12 : right + 6] = 1
    sheet = lit(picture, 4)
    whole = np.count_nonzero(truth)
    assert np.count_nonzero(covered(cut_out.cut_out(sheet))) < 0.5 * whole
    closed = np.count_nonzero(covered(cut_out.cut_out(sheet, gap=10)))
    assert 0.98 * whole < closed < 1.02 * whole


def test_the_table_beside_the_sheet_is_ground():
    picture, truth = drawn(corners(7), fill=PAINT)
    sheet = lit(picture, 7)
    table = np.full((ROWS + 120, COLUMNS + 160, 3), (0.3, 0.2, 0.12), np.float32)
    table[60:-60, 80:-80] = sheet
    found = cut_out.cut_out(table)
    assert found.parts == 1
    assert difference(found, truth) < 2


def test_a_drawing_becomes_an_outline(tmp_path):
    """From the file to the paper: its proportions are those of what was drawn."""
    points = np.array([(140, 60), (340, 60), (340, 300), (140, 300)], float)
    picture, truth = drawn(points, fill=PAINT)
    file = tmp_path / "scan.png"
    Image.fromarray(np.rint(lit(picture, 2) * 255).astype(np.uint8)).save(file)
    out, err = io.StringIO(), io.StringIO()
    assert main(["cut-out", "scan.png"], Terminal(out, err, tmp_path)) == 0
    assert out.getvalue().startswith("scan-cut-out.png (")
    line = err.getvalue().partition("next: ")[2]
    assert tomllib.loads(line)["outline"]["file"] == "scan-cut-out.png"
    rows, columns = cropped(truth).shape
    left, foot, right, top = from_image(tmp_path / "scan-cut-out.png", 60).bounds
    assert top - foot == pytest.approx(60)
    assert (right - left) / 60 == pytest.approx(columns / rows, rel=0.01)


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("none.png",), 2, "none.png"),
        (("text.png",), 1, "no PNG, JPEG or WebP"),
        (("scan.png", "-o", "scan.png"), 2, "would replace"),
        (("scan.png", "-o", "a.jpg"), 2, ".png"),
        (("scan.png",), 1, "nothing in it differs"),
        (("scan.png", "--contrast", "1"), 2, "--contrast"),
    ],
)
def test_what_cannot_be_cut_out_is_one_line(tmp_path, words, code, told):
    (tmp_path / "text.png").write_text("no picture")
    Image.new("RGB", (60, 40), "white").save(tmp_path / "scan.png")
    before = sorted(tmp_path.iterdir())
    out, err = io.StringIO(), io.StringIO()
    assert main(["cut-out", *words], Terminal(out, err, tmp_path)) == code
    assert told in err.getvalue()
    assert "Traceback" not in err.getvalue()
    assert sorted(tmp_path.iterdir()) == before


def wild(chance):
    """Noise, flat colours, ramps, checks, strips and frames of any size and kind."""
    rows, columns = (int(side) for side in chance.choice([1, 3, 24, 30, 60], 2))
    y, x = np.indices((rows, columns))
    grey = [
        chance.integers(0, 256, (rows, columns)),
        np.full((rows, columns), chance.integers(0, 256)),
        x * 255 // columns,
        (x + y) % 2 * 255,
        np.where(x == columns // 2, 0, 255),
        np.where((x > columns // 4) & (y > rows // 4), 250, 0),
    ][chance.integers(6)]
    image = Image.fromarray(grey.astype(np.uint8)).convert(str(chance.choice(["L", "1", "RGB"])))
    if chance.random() < 0.2:
        image = image.convert("RGBA")
        image.putalpha(Image.fromarray(chance.integers(0, 256, (rows, columns)).astype(np.uint8)))
    return image


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("seed", range(40))
def test_any_picture_is_cut_out_or_refused_in_one_line(tmp_path, seed):
    chance = np.random.default_rng(seed)
    wild(chance).save(tmp_path / "scan.png")
    words = ["--contrast", str(chance.integers(2, 91)), "--gap", str(chance.integers(0, 40))]
    out, err = io.StringIO(), io.StringIO()
    code = main(["cut-out", "scan.png", *words], Terminal(out, err, tmp_path))
    assert code in (0, 1)
    assert (tmp_path / "scan-cut-out.png").exists() == (code == 0)
    if code:
        assert err.getvalue().startswith("scan.png: it ") or "nothing in it" in err.getvalue()
        assert err.getvalue().count("\n") == 1
