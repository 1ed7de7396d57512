"""A scan of a drawing becomes a piece: its edge is where the drawing ends, its picture meets it."""

from __future__ import annotations

import base64
import io
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw

from meshes import spread
from meshes.art import raster
from meshes.check import case_of, report
from preview.errors import UseError
from preview.viewer.desk import Desk

from .test_access import violations
from .test_prints import followed, place
from .tugging import Fingers, served

BLANK = 'title = "Mine"\n[spread]\npage = "A5"\n'


def scan(paper: int = 240, size: tuple[int, int] = (620, 500)) -> bytes:
    """A bird of brown wash on paper that is darker to one side, as a lamp leaves it; 4 × drawn."""
    wide, tall = size
    image = Image.new("L", (4 * wide, 4 * tall), 255)
    draw = ImageDraw.Draw(image)

    def at(*points: float) -> list[float]:
        return [4 * one * (wide if k % 2 == 0 else tall) / 100 for k, one in enumerate(points)]

    draw.ellipse(at(20, 38, 70, 78), fill=0)
    draw.ellipse(at(60, 22, 82, 50), fill=0)
    draw.polygon(at(80, 33, 92, 37, 80, 42), fill=0)
    draw.polygon(at(24, 50, 8, 44, 12, 64, 30, 62), fill=0)
    drawn = np.asarray(image.resize(size, Image.Resampling.LANCZOS)) / 255
    light = paper / 255 * np.linspace(1, 0.85, wide)[None, :, None]
    ink = np.array([0.55, 0.35, 0.22])
    pixels = light * (drawn[..., None] + (1 - drawn[..., None]) * ink)
    data = io.BytesIO()
    Image.fromarray(np.rint(pixels * 255).astype(np.uint8)).save(data, "PNG")
    return data.getvalue()


@pytest.fixture
def blank(tmp_path: Path) -> Path:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK)
    return file


def asked(desk: Desk, address: str, **question: Any) -> Any:
    return desk.answers()[address].of(json.dumps(question).encode())


def brought(desk: Desk, data: bytes) -> str:
    return str(desk.answers()["/picture"].of(data)["picture"])


def test_the_edge_that_is_shown_is_where_the_drawing_ends(blank: Path) -> None:
    """Judged by the picture's own brightness: dark within the edge, light without."""
    desk, data = Desk(blank), scan()
    picture = brought(desk, data)
    found = asked(desk, "/picture/edge", picture=picture, border=0, height=60)
    look = np.asarray(Image.open(io.BytesIO(data)).convert("L")).astype(float)
    (ring,) = found["rings"]
    assert found["parts"] == 1
    shape = shapely.Polygon(ring)
    ys, xs = np.mgrid[0 : look.shape[0] : 3, 0 : look.shape[1] : 3]
    inside = shapely.contains_xy(shape.buffer(-2), xs + 0.5, ys + 0.5)
    outside = ~shapely.contains_xy(shape.buffer(2), xs + 0.5, ys + 0.5)
    assert look[ys[inside], xs[inside]].max() < 150 < look[ys[outside], xs[outside]].min()
    # A border of 3 mm on a piece 60 mm high is 3 mm wide all round.
    wide = asked(desk, "/picture/edge", picture=picture, border=3, height=60)
    outer = shapely.Polygon(wide["rings"][0])
    low, high = outer.bounds[1], outer.bounds[3]
    away = shapely.distance(shape, shapely.points(outer.exterior.coords)) * 60 / (high - low)
    assert (away.min(), away.max()) == pytest.approx((3, 3), abs=0.15)


@pytest.mark.parametrize("way", ["flat", "stand"])
def test_a_cut_out_is_laid_or_stood_and_its_picture_meets_its_edge(blank: Path, way: str) -> None:
    desk = Desk(blank)
    picture = brought(desk, scan())
    where: Any = {"piece": "page", "body": "page.right", "local": [60, 90, 0]}
    cut = {"picture": picture, "made": "", "name": "My bird.jpg", "border": 2, "height": 50}
    answer = asked(desk, "/picture/cut", way=way, **cut, **where)
    assert (answer["piece"], answer["file"]) == ("my-bird", "My-bird-cut-out.png")
    made = spread.read(blank)
    piece = made.design.pieces["my-bird"]
    assert (piece.kind, piece.on) == (
        ("flat", "page.right") if way == "flat" else ("v-fold", "gutter")
    )
    assert [f.text for f in report(case_of(made)).findings if f.severity == "problem"] == []
    # What is drawn lies 2 mm within the paper: the ink grown by that is the outline again.
    (sheet,) = made.built["my-bird"].sheets
    found = raster(sheet.art, sheet.outline, 1, 10.0)
    assert found is not None
    rows, columns = found.pixels.shape[:2]
    ys, xs = np.mgrid[0:rows, 0:columns]
    x = found.corner[0] + (xs + 0.5) / columns * found.size[0]
    y = found.corner[1] + (1 - (ys + 0.5) / rows) * found.size[1]
    ink = found.pixels[..., 3] > 127
    away = shapely.distance(sheet.outline.exterior, shapely.points(x[ink], y[ink]))
    if way == "flat":
        assert away.min() == pytest.approx(2, abs=0.25)
        assert sheet.outline.bounds[3] - sheet.outline.bounds[1] == pytest.approx(50, abs=0.1)
    else:  # its feet are cut along the glue creases
        assert np.percentile(away[y[ink] > 25], 1) > 1.7
    desk.undo(b"{}")
    assert blank.read_text() == BLANK
    desk.close()
    assert [p.name for p in blank.parent.iterdir()] == ["mine.toml"]


def test_what_cannot_be_cut_says_why_and_leaves_no_file(blank: Path) -> None:
    desk = Desk(blank)
    data = io.BytesIO()
    Image.new("RGB", (300, 200), "white").save(data, "PNG")
    empty, bird = brought(desk, data.getvalue()), brought(desk, scan())
    with pytest.raises(UseError, match="nothing in it differs"):
        asked(desk, "/picture/edge", picture=empty)
    with pytest.raises(UseError, match="leaves nothing of 16 mm"):
        asked(desk, "/picture/edge", picture=bird, border=8, height=16)
    with pytest.raises(UseError, match="not at hand any more"):
        asked(desk, "/picture/edge", picture="another")
    where: Any = {"piece": "page", "body": "page.right", "local": [147, 209, 0]}
    with pytest.raises(UseError, match="no room"):
        asked(desk, "/picture/cut", picture=bird, made="", way="flat", height=300, **where)
    with pytest.raises(UseError, match="no request"):
        asked(desk, "/picture/cut", picture=bird, made="", way="fly", on="gutter")
    assert [p.name for p in blank.parent.iterdir()] == ["mine.toml"]
    assert blank.read_text() == BLANK


def test_a_scan_is_drawn_from_the_light_table_onto_the_gutter(open_page: Any, blank: Path) -> None:
    with served(blank) as server:
        page = open_page(f"{server.address}#opening=140&draft=0.25", width=1200, height=800)
        with page.expect_file_chooser() as choosing:
            page.click("#drawing-open")
        file = {"name": "bird.png", "mimeType": "image/png", "buffer": scan()}
        choosing.value.set_files(file)
        edge = "() => document.querySelector('#light-table path').getAttribute('d')"
        before = page.wait_for_function(edge).json_value()
        assert violations(page) == []
        page.focus("#light-border")
        page.keyboard.press("ArrowRight")
        page.wait_for_function(
            "(before) => document.querySelector('#light-table path').getAttribute('d') !== before",
            arg=before,
        )
        page.click("text=Cut out, stand up")
        box = page.locator("#light-table .look").bounding_box()
        start = np.array([box["x"] + box["width"] / 2, box["y"] + box["height"] / 2])
        fingers = Fingers(page)
        fingers.drag(start, np.array(place(page, "page.right", 5, 80)))
        assert "finds" in page.get_attribute("#ghost", "class")
        followed(page, fingers.release)
        page.wait_for_selector("#light-table", state="hidden")
        piece = tomllib.loads(blank.read_text())["pieces"]["bird"]
        assert (piece["kind"], piece["on"]) == ("v-fold", "gutter")
        assert piece["at"] == pytest.approx(80, abs=6)
        assert "bird" in page.evaluate("foldstage.seen()")
        saved = base64.b64encode((blank.parent / "bird-cut-out.png").read_bytes())
        assert saved
