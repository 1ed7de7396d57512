"""The pattern's SVG, read back as drawn sheets, moves exactly as the pieces it was made from."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import KDTree

from meshes import spread
from preview.pattern.layout import Options, lay_out
from preview.pattern.svg import page_svg
from preview.pattern.template import templates

HEAD = 'title = "t"\n[spread]\npage = "A5"\n'
PIECES = {
    "v-fold": 'kind = "v-fold"\non = "gutter"\nat = 90\npage_angle = 48\npanel_angle = 62\n'
    "foot = 20\n"
    'outline = { shape = "petal", length = 70, width = 50 }\n',
    "tent": 'kind = "tent"\non = "gutter"\nat = 60\ndistance = 30\npanel = 42\nwidth = 36\n',
}
OPENINGS = np.radians([0.0, 20.0, 75.0, 120.0, 180.0])


def corners(found, motion, stage):
    """World positions of all corners of all pieces, shape (n, 3), mm."""
    rows = []
    for k, body in enumerate(found.linkage.bodies):
        for part in body.parts:
            if part.sheet.piece != "page":
                flat = np.asarray(part.polygon.exterior.coords)
                rows.append(
                    flat @ motion.rotations[stage, k, :, :2].T + motion.translations[stage, k]
                )
    return np.vstack(rows)


def written(text, folder):
    """A design with the pieces, and one that reads their printed pattern."""
    (folder / "made.toml").write_text(HEAD + text)
    made = spread.read(folder / "made.toml")
    pattern = lay_out("t", templates(made.sheets, made.joins), Options())
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
    for stage in range(len(OPENINGS)):
        a, b = corners(made, first, stage), corners(copied, second, stage)
        assert KDTree(a).query(b)[0].max() < 1e-6
        assert KDTree(b).query(a)[0].max() < 1e-6


@pytest.mark.parametrize("kind", ["v-fold", "tent"])
def test_a_printed_piece_moves_as_the_piece(kind, tmp_path):
    check_same_motion(*written(f"[pieces.one]\n{PIECES[kind]}", tmp_path))


def test_a_printed_stack_moves_as_the_stack(tmp_path):
    text = (
        f"[pieces.arch]\n{PIECES['tent']}"
        '[pieces.bud]\nkind = "v-fold"\non = "arch.ridge"\nat = 18\npage_angle = 50\n'
        'panel_angle = 60\nfoot = 12\noutline = { shape = "leaf", length = 30, width = 20 }\n'
        '[pieces.moss]\nkind = "flat"\non = "page.right"\nx = 90\ny = 150\n'
        'outline = { shape = "ellipse", length = 30, width = 50 }\n'
    )
    check_same_motion(*written(text, tmp_path))
