"""The pattern's SVG, read back as drawn sheets, moves exactly as the pieces it was made from."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely
from scipy.spatial import KDTree

from meshes import spread
from meshes.sheet import Join, Placement
from preview.pattern.layout import Options, lay_out
from preview.pattern.stock import stock
from preview.pattern.svg import page_svg
from preview.pattern.template import templates

HEAD = 'title = "t"\n[spread]\npage = "A5"\n'
FAN = 'outline = { shape = "leaf", length = 50, width = 30 }\n'
PIECES = {
    "v-fold": f"at = 90\npage_angle = 48\npanel_angle = 62\nbase = 20\n{FAN}",
    "tent": "at = 60\ndistance = 30\npanel = 42\nwidth = 36\n",
    "box": "at = 90\ndistance = 20\nheight = 30\nwidth = 40\n",
    "strap": "at = 90\ndistance = 30\npanels = [20, 20, 20, 20]\nwidth = 30\n",
    "carrier": "at = 90\ndistance = 30\nflap = 30\nwidth = 40\n",
    "stair": "at = 90\nreach = 40\nlength = 60\n"
    "treads = [{ at = 15, length = 20, distance = [15, 25] }]\n",
    "mouth": "at = 90\nreach = 50\nlength = 80\ncut = 30\nupper = 10\n",
    "platform": "at = 90\ndistance = 40\nheight = 42\nwidth = 50\n"
    'outline = { shape = "ellipse", length = 80, width = 130 }\n',
    "pivot": f"at = 90\npage_angle = 45\npanel_angle = 60\nbase = 20\narm = 50\n{FAN}",
    "zigzag": f"at = 90\npage_angle = 45\npanel_angle = 60\nbase = 20\n{FAN}",
    "blossom": "at = 100\n",
}
OPENINGS = np.radians([0.0, 20.0, 75.0, 120.0, 180.0])


FLAT = 'on = "page.right"\nx = 70\ny = 100\nturn = 20\n'
ON_FACETS = {
    "flat": f"{FLAT}{FAN}",
    "arm": f"{FLAT}length = 50\n",
    "wheel": f"{FLAT}radius = 30\nsweep = 200\n"
    'overlay = { shape = "rectangle", length = 56, width = 80 }\n'
    'window = { shape = "ellipse", length = 14, y = 8 }\n',
    "slide": f"{FLAT}length = 90\ntravel = 25\n",
    "flyleaf": 'width = 120\nheight = 160\nlies = "{}"\n',
}
# Layers of a flower: their sheets keep to the printed side of each other.
FLOWERS = {
    "glued": '[[pieces.one.layers]]\nname = "outer"\n'
    '[[pieces.one.layers]]\nname = "inner"\nlength = 26\nangle = 42\n',
    "on legs": '[[pieces.one.layers]]\nname = "outer"\n'
    '[[pieces.one.layers]]\nname = "inner"\nlength = 26\nangle = 42\n'
    'stand = "legs"\nlegs = { lowest_angle = 55 }\n',
}


def corners(found, motion, stage):
    """World positions of the corners of all facets, shape (n, 3), mm."""
    rows = []
    for k, body in enumerate(found.linkage.bodies):
        for part in [part for part in body.parts if part.sheet.piece != "page"]:
            # Cutting leaves corners where a fold meets an edge 2e-6 mm apart; here they are one.
            outline = shapely.set_precision(part.facet.polygon, 1e-5).exterior
            flat = part.placement.apply(outline.coords)
            level = np.column_stack([flat, np.zeros(len(flat))])
            turn, shift = motion.rotations[stage, k], motion.translations[stage, k]
            rows.append(level @ turn.T + shift)
    return np.concatenate(rows)


def written(text, folder, more=""):
    """A design with the pieces, and one that reads their printed pattern.

    What a hand moves is laid where the pattern draws it; pin, track or spine are added to its
    sheet, as a person adds them to a drawing.
    """
    (folder / "made.toml").write_text(HEAD + text)
    made = spread.read(folder / "made.toml")
    drives = made.linkage.drives
    joins = [*made.joins, *(laid(drive) for drive in drives)]
    pattern = lay_out("t", templates(made.sheets, joins, drives=drives), Options(stock=stock("A3")))
    (folder / "printed").mkdir()
    for k, page in enumerate(pattern.pages):
        svg = page_svg(pattern, page)
        for drive in drives:
            svg = marked(svg, drive, made.linkage.place(drive.join.facet)[1].sheet)
        (folder / "printed" / f"{k}.svg").write_text(svg)
    (folder / "read.toml").write_text(
        HEAD + f'[pieces.copy]\nkind = "drawn"\nfile = "printed"\nat = 0\n{more}'
    )
    return made, spread.read(folder / "read.toml")


def laid(drive):
    """Where it lies until it is moved, as if it were glued; a leaf on one of the pages."""
    if drive.kind == "flyleaf" and drive.rest == 0:
        return Join(drive.join.facet, "page.left", Placement(flipped=True))
    return drive.join


def marked(svg, drive, sheet):
    """The page with the line that says how a sheet is moved by hand."""
    x, y = drive.axis
    inside = sheet.facets[0].polygon.centroid
    way = f"{inside.x} {inside.y} l {x * drive.reach} {y * drive.reach}"
    bounds = sheet.outline.bounds
    mark = {
        "turn": f'<circle class="pin" data-turn-deg="{np.degrees(drive.reach)}" cx="{x}" cy="{y}" '
        'r="1"/>',
        "slide": f'<path class="track" d="M {way}"/>',
        "flyleaf": f'<path class="spine" d="M 0 {bounds[1]} V {bounds[3]}"/>',
    }[drive.kind]
    head = rf'(<g class="sheet"[^>]*data-sheet="{sheet.name}"[^>]*>)'
    return re.sub(head, lambda found: found[1] + mark, svg)


def check_same_motion(made, copied, shares=(None,)):
    for share in shares:
        driven = [{d.name: share for d in f.linkage.drives} for f in (made, copied)]
        first = made.solve(OPENINGS, None if share is None else driven[0])
        second = copied.solve(OPENINGS, None if share is None else driven[1])
        assert first.solved.all()
        assert second.solved.all()
        for stage, opening in enumerate(OPENINGS):
            # Folds are singular at both ends of the motion: an error of the last digit grows to its
            # square root there.
            tolerance = 1e-6 if 0 < opening < np.pi else 1e-5
            a, b = corners(made, first, stage), corners(copied, second, stage)
            assert KDTree(a).query(b)[0].max() < tolerance
            assert KDTree(b).query(a)[0].max() < tolerance


@pytest.mark.parametrize("kind", PIECES)
def test_a_printed_piece_moves_as_the_piece(kind, tmp_path):
    text = f'[pieces.one]\nkind = "{kind}"\non = "gutter"\n{PIECES[kind]}'
    check_same_motion(*written(text, tmp_path))


@pytest.mark.parametrize("kind", ["flat", "arm"])
def test_a_printed_piece_on_a_facet_lies_as_the_piece(kind, tmp_path):
    check_same_motion(*written(f'[pieces.one]\nkind = "{kind}"\n{ON_FACETS[kind]}', tmp_path))


@pytest.mark.parametrize("kind", ["wheel", "slide"])
def test_a_printed_piece_is_moved_by_hand_as_the_piece(kind, tmp_path):
    made, copied = written(f'[pieces.one]\nkind = "{kind}"\n{ON_FACETS[kind]}', tmp_path)
    check_same_motion(made, copied, (None, 0.3, 1.0))


@pytest.mark.parametrize("lies", ["right", "left"])
def test_a_printed_page_leaf_turns_as_the_leaf(lies, tmp_path):
    text = f'[pieces.one]\nkind = "flyleaf"\n{ON_FACETS["flyleaf"].format(lies)}'
    moss = '[pieces.moss]\nkind = "flat"\non = "NAME.sheet"\nside = "back"\nx = -50\ny = 90\n' + FAN
    stand = '[pieces.fan]\nkind = "v-fold"\non = "NAME.before"\n' + PIECES["v-fold"]
    made, copied = written(text, tmp_path)
    for found, name in ((made, "one"), (copied, "copy")):
        file = tmp_path / found.design.file.rpartition("/")[2]
        file.write_text(file.read_text() + (moss + stand).replace("NAME", name))
    read = [spread.read(tmp_path / name) for name in ("made.toml", "read.toml")]
    check_same_motion(*read, (None, 0.0, 0.4, 1.0))


@pytest.mark.parametrize("flower", FLOWERS)
def test_a_printed_flower_of_layers_rests_as_the_flower(flower, tmp_path):
    """Free paper rests against the layer below, which the design tells a drawing."""
    text = f'[pieces.one]\nkind = "blossom"\non = "gutter"\nat = 100\n{FLOWERS[flower]}'
    made, copied = written(text, tmp_path, 'above = { inner = "outer" }\n')
    (one,), (other,) = made.linkage.obstacles, copied.linkage.obstacles
    assert len(one.facets) == len(other.facets)
    assert len(one.planes) == len(other.planes)
    check_same_motion(made, copied)


def test_a_printed_stack_moves_as_the_stack(tmp_path):
    text = (
        f'[pieces.arch]\nkind = "tent"\non = "gutter"\n{PIECES["tent"]}'
        '[pieces.bud]\nkind = "v-fold"\non = "arch.ridge"\nat = 18\npage_angle = 50\n'
        'panel_angle = 60\nbase = 12\noutline = { shape = "leaf", length = 30, width = 20 }\n'
        '[pieces.moss]\nkind = "flat"\non = "page.right"\nx = 90\ny = 150\n'
        'outline = { shape = "ellipse", length = 30, width = 50 }\n'
    )
    check_same_motion(*written(text, tmp_path))
