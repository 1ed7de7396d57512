"""The page of the browser draws the same notebook as the pictures do."""

from __future__ import annotations

import json
import shutil
import subprocess

import numpy as np
import pytest
from scipy.spatial import cKDTree

from preview.drawing.binding import band_boards, cloth_section, fold_solid
from preview.drawing.book import Book, block_faces, cover_faces, tilt_of
from tests.required import NODE_MODULES, need

SOURCE = NODE_MODULES.parent / "source" / "book.js"
NAMES = ("width", "height", "paper", "cover", "block", "board", "cloth", "groove", "overhang")
OPENINGS = [0.0, 3.0, 61.0, 140.0, 180.0]
# The page lies this far under its own plane there, and the pages under it a little deeper.
UNDER_MM = 0.08
STRIPS = 24


@pytest.mark.parametrize("binding", ["hard", "soft"])
def test_its_corners_are_those_of_the_pictures(binding):
    need(shutil.which("node"), "the program node")
    need((NODE_MODULES / "three").exists(), "three (npm ci in preview/viewer)")
    book = Book(width=105.0, height=148.0, block=6.0, binding=binding, band="#802020")
    data = {name: getattr(book, name) for name in (*NAMES, "ruling", "band")}
    script = (
        f"const {{ Book }} = await import({json.dumps(SOURCE.as_uri())});"
        f"const book = new Book({json.dumps(data)}, null);"
        "const corners = (mesh) => [...mesh.geometry.getAttribute('position').array];"
        f"console.log(JSON.stringify({json.dumps(OPENINGS)}.map((opening) => {{"
        " book.update(opening);"
        " return { lift: book.lift(opening), halves: book.halves.map((meshes) =>"
        " meshes.map(corners)), fold: corners(book.fold), spine: corners(book.spine) };"
        "})));"
    )
    words = ["node", "--no-warnings", "--input-type=module", "-e", script]
    run = subprocess.run(words, capture_output=True, text=True, timeout=60, check=True)
    for opening, seen in zip(OPENINGS, json.loads(run.stdout), strict=True):
        tilt = tilt_of(np.radians(opening))
        assert seen["lift"] == pytest.approx(book.lift(np.radians(opening)), abs=1e-9)
        for side, half in zip((-1, 1), seen["halves"], strict=True):
            alike(half[0], np.concatenate([*block_faces(book, side, tilt, -UNDER_MM).values()]))
            alike(half[1], np.concatenate([*cover_faces(book, side, tilt).values()]))
            band = [board.corners for board in band_boards(book, side, on_table=False)]
            alike(half[2], np.concatenate(band))
        alike(seen["fold"], np.concatenate(fold_solid(book, tilt, STRIPS)))
        rims = (-book.overhang, book.height + book.overhang)
        section = np.concatenate(cloth_section(book, tilt, STRIPS))
        spine = [[x, y, z] for x, z in section for y in rims]
        alike(seen["spine"], np.array(spine))


def alike(seen, drawn):
    """Every corner of one is one of the other; they have single precision there."""
    there = np.reshape(seen, (-1, 3))
    assert cKDTree(drawn).query(there)[0].max() < 2e-5
    assert cKDTree(there).query(drawn)[0].max() < 2e-5
