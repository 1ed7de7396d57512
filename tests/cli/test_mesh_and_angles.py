"""``foldstage mesh`` and ``foldstage angles``: files and figures that agree with each other."""

from __future__ import annotations

import gc

import numpy as np
import pytest
import trimesh

from meshes import export
from preview.cli import ExitCode
from preview.parallel import COLLECT_AFTER


def facets_of(mesh, colour):
    """Area-weighted normals of the flat parts of one colour, told apart by direction."""
    faces = np.flatnonzero((mesh.visual.face_colors[:, :3] == colour).all(axis=1))
    groups = []
    for face in faces[np.argsort(-mesh.area_faces[faces])]:
        for group in groups:
            if mesh.face_normals[group[0]] @ mesh.face_normals[face] > 1 - 1e-8:
                group.append(face)
                break
        else:
            groups.append([face])
    return [
        np.average(mesh.face_normals[g], axis=0, weights=mesh.area_faces[g])
        for g in groups
        if mesh.area_faces[g].sum() > 100
    ]


@pytest.mark.parametrize("opening", [45, 90, 150])
def test_the_ridge_measured_on_the_exported_mesh_is_the_listed_one(call, leaf, tmp_path, opening):
    outcome = call("mesh", "fresh.toml", "--opening", opening, "--piece", "leaf", "-o", "out")
    assert outcome.code == ExitCode.DONE, outcome.err
    (file,) = (tmp_path / "out").iterdir()
    mesh = trimesh.load(file, process=False)
    printed = facets_of(mesh, (0x3F, 0x7A, 0x5A))
    panels = sorted(printed, key=lambda normal: normal[0])  # the left one looks left
    angle = np.degrees(np.arccos(panels[0] @ panels[-1]))
    listed = call("angles", "fresh.toml", "--opening", opening, "--json").json
    ridge = next(fold for fold in listed["folds"] if fold["fold"] == "leaf.ridge")
    assert angle == pytest.approx(ridge["angles_deg"][0], abs=0.01)


def test_every_piece_gets_a_closed_mesh_at_every_opening(call, leaf, tmp_path):
    outcome = call("mesh", "fresh.toml", "--opening", "60", "--opening", "180", "--format", "stl")
    files = sorted((tmp_path / "renders" / "fresh-meshes").iterdir())
    assert outcome.out == f"renders/fresh-meshes: {len(files)} meshes\n"
    names = {file.stem.rpartition("-")[0] for file in files}
    assert names == {"page", "leaf", "meadow"}
    assert len(files) == 2 * len(names)
    for file in files:
        mesh = trimesh.load(file)
        assert mesh.is_volume, file.name
        assert mesh.euler_number == 2, file.name


def test_what_is_written_makes_room_for_the_next(call, leaf, monkeypatch):
    """Meshes waited for a collection that hardly ever came: it took twice the memory."""
    alive, write = [], export.write
    before = gc.get_threshold()

    def counted(mesh, path):
        alive.append(sum(isinstance(one, trimesh.Trimesh) for one in gc.get_objects()))
        write(mesh, path)

    monkeypatch.setattr(export, "write", counted)
    gc.collect()
    try:
        gc.set_threshold(COLLECT_AFTER)
        openings = [word for deg in range(10, 180, 10) for word in ("--opening", deg)]
        assert call("mesh", "fresh.toml", *openings).code == 0
    finally:
        gc.set_threshold(*before)
    assert len(alive) == 3 * 17
    # As many as one opening takes, its facets and folds included.
    assert max(alive) <= 2 * max(alive[:3])


def test_the_table_and_the_json_tell_the_same(call, leaf):
    table = call("angles", "fresh.toml", "--opening", "90", "--opening", "30")
    data = call("angles", "fresh.toml", "--opening", "30", "--opening", "90", "--json").json
    assert data["openings_deg"] == [30, 90]
    head, *rows = table.out.splitlines()
    assert head.split() == ["fold", "30.0", "90.0"]
    for row, fold in zip(rows, data["folds"], strict=True):
        name, *cells = row.split()
        assert name == fold["fold"]
        assert [float(cell) for cell in cells] == pytest.approx(fold["angles_deg"], abs=0.006)
        assert all(angle >= 0 for angle in fold["angles_deg"]) == (fold["direction"] == "mountain")
    assert "mountain positive" in table.err


FLOWER = """
[pieces.flower]
kind = "blossom"
sectors = 6
angle = 46
"""


def test_a_piece_of_several_glued_sheets_is_one_closed_mesh(call, tmp_path):
    (tmp_path / "flower.toml").write_text(FLOWER, encoding="utf-8")
    outcome = call("mesh", "flower.toml", "--piece", "flower", "--opening", "60", "--format", "stl")
    assert outcome.code == ExitCode.DONE, outcome.err
    mesh = trimesh.load(tmp_path / "renders" / "flower-meshes" / "flower-060.stl")
    assert mesh.is_volume
    assert mesh.body_count == 1
