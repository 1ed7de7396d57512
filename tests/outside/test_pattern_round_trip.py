"""The pattern's SVG, read back as drawn sheets, moves exactly as the pieces it was made from."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import KDTree

from meshes import spread
from preview.pattern.layout import Options, lay_out
from preview.pattern.stock import stock
from preview.pattern.svg import page_svg
from preview.pattern.template import templates

HEAD = 'title = "t"\n[spread]\npage = "A5"\n'
FAN = 'outline = { shape = "leaf", length = 50, width = 30 }\n'
PIECES = {
    "v-fold": f"at = 90\npage_angle = 48\npanel_angle = 62\nfoot = 20\n{FAN}",
    "tent": "at = 60\ndistance = 30\npanel = 42\nwidth = 36\n",
    "box": "at = 90\ndistance = 20\nheight = 30\nwidth = 40\n",
    "strap": "at = 90\ndistance = 30\npanels = [20, 20, 20, 20]\nwidth = 30\n",
    "carrier": "at = 90\ndistance = 30\nflap = 30\nwidth = 40\n",
    "stair": "at = 90\nreach = 40\nlength = 60\n"
    "steps = [{ start = 15, length = 20, distance = [15, 25] }]\n",
    "mouth": "at = 90\nreach = 50\nlength = 80\ncut = 30\nupper = 10\n",
    "platform": "at = 90\ndistance = 40\nheight = 42\nwidth = 50\n"
    'outline = { shape = "ellipse", length = 80, width = 130 }\n',
    "pivot": f"at = 90\npage_angle = 45\npanel_angle = 60\nfoot = 20\narm = 50\n{FAN}",
    "zigzag": f"at = 90\npage_angle = 45\npanel_angle = 60\nfoot = 20\n{FAN}",
    "blossom": "at = 100\n",
}
OPENINGS = np.radians([0.0, 20.0, 75.0, 120.0, 180.0])


def creases(found, motion, stage):
    """World positions of the ends of all folds, shape (n, 3), mm."""
    rows = []
    for hinge in found.linkage.hinges:
        body, start = hinge.bodies[0], hinge.origins[0]
        for point in (start, start + hinge.length * hinge.frames[0][:, 0]):
            rows.append(motion.rotations[stage, body] @ point + motion.translations[stage, body])
    return np.array(rows)


def written(text, folder):
    """A design with the pieces, and one that reads their printed pattern."""
    (folder / "made.toml").write_text(HEAD + text)
    made = spread.read(folder / "made.toml")
    pattern = lay_out("t", templates(made.sheets, made.joins), Options(stock=stock("A3")))
    (folder / "printed").mkdir()
    for k, page in enumerate(pattern.pages):
        (folder / "printed" / f"{k}.svg").write_text(page_svg(pattern, page))
    (folder / "read.toml").write_text(
        HEAD + '[pieces.copy]\nkind = "drawn"\nfile = "printed"\nat = 0\n'
    )
    return made, spread.read(folder / "read.toml")


def check_same_motion(made, copied):
    first, second = made.solve(OPENINGS), copied.solve(OPENINGS)
    assert first.solved.all()
    assert second.solved.all()
    for stage, opening in enumerate(OPENINGS):
        # Folds are singular at both ends of the motion: an error of the last digit grows to its
        # square root there.
        tolerance = 1e-6 if 0 < opening < np.pi else 1e-5
        a, b = creases(made, first, stage), creases(copied, second, stage)
        assert KDTree(a).query(b)[0].max() < tolerance
        assert KDTree(b).query(a)[0].max() < tolerance


@pytest.mark.parametrize("kind", PIECES)
def test_a_printed_piece_moves_as_the_piece(kind, tmp_path):
    text = f'[pieces.one]\nkind = "{kind}"\non = "gutter"\n{PIECES[kind]}'
    check_same_motion(*written(text, tmp_path))


def test_a_printed_stack_moves_as_the_stack(tmp_path):
    text = (
        f'[pieces.arch]\nkind = "tent"\non = "gutter"\n{PIECES["tent"]}'
        '[pieces.bud]\nkind = "v-fold"\non = "arch.ridge"\nat = 18\npage_angle = 50\n'
        'panel_angle = 60\nfoot = 12\noutline = { shape = "leaf", length = 30, width = 20 }\n'
        '[pieces.moss]\nkind = "flat"\non = "page.right"\nx = 90\ny = 150\n'
        'outline = { shape = "ellipse", length = 30, width = 50 }\n'
    )
    check_same_motion(*written(text, tmp_path))
