"""The clips of a glTF file, played by three.js, against the solver and the notebook's closed forms.

three.js r187 (pinned in preview/viewer/package.json) reads the file, plays each clip and tells
where nodes and corners are; trimesh looks at the boxes of the notebook. Neither knows foldstage.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from meshes import spread
from meshes.spread import Spread
from preview.drawing.book import CORNER_MM, COVERS, SLOPE_MM, Book
from preview.drawing.scene import book_of
from tests.outside.test_gltf_format import validated
from tests.required import NODE_MODULES, need

PLAYER = NODE_MODULES.parent / "play.mjs"
DESIGN = """
[spread]
page = "A6"
block = 9

[pieces.year]
kind = "flyleaf"
"""
PIECE = """
[pieces.{name}]
kind = "v-fold"
on = "{on}"
at = 60
page_angle = 45
panel_angle = 60
base = 20
outline = {{ shape = "leaf", length = 30, width = 20 }}
"""
# A clip of 180° takes four seconds.
OPENINGS_DEG = (0.0, 3.0, 47.3, 90.0, 133.7, 180.0)
SHARES = (0.0, 0.13, 0.5, 0.71, 1.0)


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file that the command writes."""
    import io

    from preview.cli import main
    from preview.cli.terminal import Terminal

    folder = tmp_path_factory.mktemp("played")
    text = DESIGN + "".join(
        PIECE.format(name=name, on=on)
        for name, on in (("may", "year.before"), ("oak", "year.behind"))
    )
    (folder / "year.toml").write_text(text)
    err = io.StringIO()
    terminal = Terminal(io.StringIO(), err, folder, live=False)
    code = main(["mesh", "year.toml", "--format", "glb", "-o", "year.glb"], terminal)
    assert code == 0, err.getvalue()
    return folder / "year.glb"


@pytest.fixture(scope="module")
def made(file: Path) -> Spread:
    return spread.read(file.with_suffix(".toml"))


@pytest.fixture(scope="module")
def book(made: Spread) -> Book:
    return book_of(made)


@pytest.fixture(scope="module")
def played(file: Path) -> dict[str, Any]:
    """For each clip its nodes at the seconds of `OPENINGS_DEG` and then of `SHARES`."""
    need(shutil.which("node"), "the program node")
    need((NODE_MODULES / "three").exists(), "three (npm ci in preview/viewer)")
    seconds = [str(deg / 45) for deg in OPENINGS_DEG] + [str(4 * share) for share in SHARES]
    run = subprocess.run(
        ["node", str(PLAYER), str(file), *seconds],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    return json.loads(run.stdout)


def place(node: dict[str, Any], point: np.ndarray) -> np.ndarray:
    """Where a point of a node is, in mm with z up."""
    x, y, z = np.asarray(point, float) / 1000
    there = np.reshape(node["matrix"], (4, 4)).T @ [x, z, -y, 1]
    return z_up(there[:3])


def z_up(points: Any) -> np.ndarray:
    x, y, z = np.moveaxis(1000 * np.asarray(points), -1, 0)
    return np.stack([x, -z, y], axis=-1)


def on_page(opening: float, side: int, point: tuple[float, float, float]) -> np.ndarray:
    """A point of a half of the notebook: each page stands at half the opening from the plane x = 0.

    By plane trigonometry: from the gutter the right page points along (sin h, cos h) in x and z,
    h = opening / 2, and away from its printed face along (cos h, -sin h).
    """
    x, y, z = point
    half = opening / 2
    along, down = np.array([np.sin(half), np.cos(half)]), np.array([np.cos(half), -np.sin(half)])
    across, up = x * along - z * down
    return np.array([side * across, y, up])


def test_the_file_of_the_command_is_sound(file: Path) -> None:
    issues = validated(file)
    assert (issues["numErrors"], issues["numWarnings"], issues["messages"]) == (0, 0, [])


def crept(opening: float, depth: float) -> float:
    """How far a sheet that keeps its length has come out at the fore-edge, mm.

    By the length of an arc, radius times angle: shut, each half of it goes a quarter round the
    gutter, and open by an angle it goes half of that angle less.
    """
    return depth * opening / 2


@pytest.mark.parametrize("k", range(len(OPENINGS_DEG)), ids=[f"{d:g}°" for d in OPENINGS_DEG])
def test_pages_and_cover_turn_with_the_opening(played: dict[str, Any], book: Book, k: int) -> None:
    nodes, opening = played["opening"][k], np.radians(OPENINGS_DEG[k])
    hinge = COVERS["hard"].groove + crept(opening, book.block + book.cloth / 2)
    for side, which in ((-1, "left"), (1, "right")):
        for part, corner in (
            ("pages", (book.width + crept(opening, book.block), book.height, -book.block)),
            ("cover", (hinge, -book.overhang, -book.depth)),
        ):
            expected = on_page(opening, side, corner)
            seen = z_up(nodes[f"notebook.{which}-{part}"]["corners"])
            assert np.linalg.norm(seen - expected, axis=1).min() < 0.05, (which, part)


@pytest.mark.parametrize("k", range(len(OPENINGS_DEG)), ids=[f"{d:g}°" for d in OPENINGS_DEG])
def test_spine_and_folded_pages_fill_the_gap_between_the_halves(
    played: dict[str, Any], book: Book, k: int
) -> None:
    """They go round the gutter on circles, from the plane of one half to that of the other."""
    opening = np.radians(OPENINGS_DEG[k])
    nodes, covered = played["opening"][k], book.block + book.cloth
    ends = (0.0, book.height)
    rims = (-book.overhang, book.height + book.overhang)
    hinge = COVERS["hard"].groove + crept(opening, book.block + book.cloth / 2)
    for name, heights, places in (
        ("fold", ends, ((0.0, 0.0), (0.0, -book.block))),
        ("spine", rims, ((hinge, -book.block), (hinge, -covered), (0.0, -covered))),
    ):
        corners = z_up(nodes[f"notebook.{name}"]["corners"])
        for side in (-1, 1):
            for y in heights:
                for x, z in places:
                    edge = on_page(opening, side, (x, y, z))
                    assert np.linalg.norm(corners - edge, axis=1).min() < 0.02, (name, side, y, z)
        away = np.hypot(corners[:, 0], corners[:, 2])
        aside = np.arctan2(np.abs(corners[:, 0]), -corners[:, 2])
        bent = aside < (np.pi - opening) / 2 + 1e-3
        known = (0.0, book.block, covered)
        assert np.abs(away[bent, None] - known).min(axis=1).max() < 0.02, name


def test_every_body_moves_as_the_solver_says(played: dict[str, Any], made: Spread) -> None:
    """In both clips, the flyleaf among them, within the 0.05 mm that are promised."""
    shares = np.array(SHARES)
    count = len(OPENINGS_DEG)
    solved = {
        "opening": made.solve(np.radians(OPENINGS_DEG)),
        "year by hand": made.solve(np.full(len(shares), np.pi), {"year": shares}),
    }
    stages = {"opening": played["opening"][:count], "year by hand": played["year by hand"][count:]}
    for clip, motion in solved.items():
        for k, nodes in enumerate(stages[clip]):
            for b, body in enumerate(made.linkage.bodies):
                for corner in np.asarray(body.parts[0].polygon.exterior.coords)[::2]:
                    point = np.array([*corner[:2], 0.0])
                    expected = motion.rotations[k, b] @ point + motion.translations[k, b]
                    assert np.linalg.norm(place(nodes[body.name], point) - expected) < 0.05


def test_the_flyleaf_s_edge_goes_along_a_half_circle(played: dict[str, Any], book: Book) -> None:
    """From page to page about the gutter; where paper lies between two leaves, a degree is left."""
    edges = [
        place(nodes["year.sheet"], np.array([book.width, 40.0, 0.0]))
        for nodes in played["year by hand"][len(OPENINGS_DEG) :]
    ]
    for share, (x, y, z) in zip(SHARES, edges, strict=True):
        assert np.hypot(x, z) == pytest.approx(book.width, abs=0.05)
        assert y == pytest.approx(40, abs=0.05)
        assert np.degrees(np.arctan2(z, -x)) == pytest.approx(180 * share, abs=1.05)


def test_it_rests_open_with_the_leaf_where_it_lies(played: dict[str, Any], book: Book) -> None:
    rest = played["rest"]
    last = played["opening"][len(OPENINGS_DEG) - 1]
    for name in ("page.left", "page.right", "year.sheet", "may.left", "notebook.right-cover"):
        assert np.allclose(rest[name]["matrix"], last[name]["matrix"], atol=1e-6)
    assert place(rest["notebook.left-cover"], np.array([-50, 0, -book.depth])) == pytest.approx(
        [-50, 0, -book.depth], abs=1e-3
    )
    spine = z_up(rest["notebook.spine"]["corners"])[:, 2]
    assert spine.min() == pytest.approx(-book.block - book.cloth, abs=1e-3)
    assert spine.max() == pytest.approx(-book.block, abs=1e-3)


def test_the_notebook_is_one_piece_of_closed_solids(file: Path, book: Book) -> None:
    """trimesh: watertight, and as much paper and board as the design has.

    The pages lean out at the fore-edge, so that they are a prism over a trapezium; the boards are
    rounded at two corners, each of which lacks (1 - pi / 4) r² of its square.
    """
    scene = trimesh.load(file)
    assert isinstance(scene, trimesh.Scene)
    inside = set(scene.graph.transforms.children["notebook"])
    halves = {
        f"notebook.{which}-{part}" for which in ("left", "right") for part in ("pages", "cover")
    }
    assert inside == halves | {"notebook.fold", "notebook.spine"}
    whole = book.width + book.overhang - COVERS["hard"].groove
    board = whole * (book.height + 2 * book.overhang) - 2 * (1 - np.pi / 4) * CORNER_MM**2
    # The cloth slopes up to the board: a triangle along its edge.
    slope = SLOPE_MM * (book.board - book.cloth) / 2 * (book.height + 2 * book.overhang)
    for name in halves:
        mesh = scene.geometry[name].copy()
        mesh.merge_vertices()
        assert mesh.is_watertight
        # The page itself is 0.1 mm.
        middle = book.width + crept(np.pi, (book.block + 0.1) / 2)
        pages = middle * book.height * (book.block - 0.1)
        expected = board * book.board + slope if name.endswith("cover") else pages
        assert mesh.volume * 1e9 == pytest.approx(expected, rel=6e-4)
