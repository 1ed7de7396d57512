"""Animated glTF against its specification, Khronos's validator, and a closed form of the motion.

Sources:

* glTF 2.0 specification, Khronos Group, commit 77b44be of KhronosGroup/glTF (sections named below).
* glTF validator 2.0.0-dev.3.10, Khronos Group, from npm (pinned in preview/viewer/package.json).
* The pose of a symmetric V-fold by spherical trigonometry: see `gltf_example`.
"""

from __future__ import annotations

import json
import shutil
import struct
import subprocess
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import trimesh
from PIL import Image as Pillow
from scipy.spatial.transform import Rotation, Slerp

from meshes import designs, spread
from meshes.art import Image
from meshes.gltf import glb as glb_bytes
from meshes.gltf import linear, write_glb
from meshes.motion.keys import choose_keys
from meshes.sheet import Placement
from preview.drawing.book import Book
from preview.drawing.bound import companions
from preview.drawing.scene import book_of
from tests.designs import by_day
from tests.outside.gltf_example import FOOT_Y, RIDGE, VFold
from tests.required import NODE_MODULES, need

TOOL = NODE_MODULES.parent / "validate.mjs"
STAGES = np.radians(np.arange(181.0))


class Glb:
    """A GLB file taken apart by the rules of section 4 of the specification."""

    def __init__(self, data: bytes) -> None:
        magic, version, total = struct.unpack_from("<4sII", data)
        assert (magic, version, total) == (b"glTF", 2, len(data))
        length, kind = struct.unpack_from("<I4s", data, 12)
        assert kind == b"JSON"
        self.json = json.loads(data[20 : 20 + length])
        size, kind = struct.unpack_from("<I4s", data, 20 + length)
        assert kind == b"BIN\0"
        self.start, self.data = 28 + length, data
        assert self.start + size == len(data)

    def array(self, accessor: int) -> np.ndarray:
        """The numbers of an accessor, one row each."""
        entry = self.json["accessors"][accessor]
        view = self.json["bufferViews"][entry["bufferView"]]
        kind = {5126: "<f4", 5125: "<u4"}[entry["componentType"]]
        width = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}[entry["type"]]
        begin = self.start + view["byteOffset"] + entry.get("byteOffset", 0)
        flat = np.frombuffer(self.data, kind, entry["count"] * width, begin)
        return flat.reshape(-1, width) if width > 1 else flat

    def patched(self) -> bytes:
        """The file with the JSON as it stands now."""
        text = json.dumps(self.json).encode()
        text += b" " * (-len(text) % 4)
        rest = self.data[self.start - 8 :]
        head = struct.pack("<4sIII4s", b"glTF", 2, 20 + len(text) + len(rest), len(text), b"JSON")
        return head + text + rest

    def channels(self, clip: int = 0) -> dict[str, dict[str, tuple[np.ndarray, np.ndarray]]]:
        """Node name to path to times and values."""
        animation = self.json["animations"][clip]
        found: dict[str, dict[str, tuple[np.ndarray, np.ndarray]]] = {}
        for channel in animation["channels"]:
            sampler = animation["samplers"][channel["sampler"]]
            assert sampler["interpolation"] == "LINEAR"
            name = self.json["nodes"][channel["target"]["node"]]["name"]
            pair = self.array(sampler["input"]), self.array(sampler["output"])
            found.setdefault(name, {})[channel["target"]["path"]] = pair
        return found


@pytest.fixture(scope="module")
def example() -> VFold:
    return VFold()


@pytest.fixture(scope="module")
def glb_path(example: VFold, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("glb") / "fan.glb"
    write_glb(path, example, example.solve(STAGES))
    return path


@pytest.fixture(scope="module")
def glb(glb_path: Path) -> Glb:
    return Glb(glb_path.read_bytes())


def validated(path: Path) -> dict[str, Any]:
    need(shutil.which("node"), "the program node")
    need((NODE_MODULES / "gltf-validator").exists(), "gltf-validator (npm ci in preview/viewer)")
    run = subprocess.run(
        ["node", str(TOOL), str(path)], capture_output=True, text=True, check=True, timeout=60
    )
    return json.loads(run.stdout)


def test_the_validator_finds_no_error_and_no_warning(glb_path: Path) -> None:
    issues = validated(glb_path)
    assert (issues["numErrors"], issues["numWarnings"], issues["messages"]) == (0, 0, [])


@pytest.mark.parametrize("name", by_day(["night-train", "two-seasons"], ["night-train"]))
def test_the_validator_finds_no_fault_in_shipped_designs(name: str, tmp_path: Path) -> None:
    """Film, lettering, a wheel, a slide, a flyleaf, and the notebook.

    At two openings: what is drawn does not depend on how many there are.
    """
    shipped = spread.read(designs.path(name))
    motion = shipped.solve(np.radians([170.0, 180.0]))
    path = tmp_path / f"{name}.glb"
    keys = choose_keys(shipped.linkage.bodies, motion, None)
    path.write_bytes(glb_bytes(shipped.linkage, keys, companions=companions(book_of(shipped))))
    issues = validated(path)
    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0)
    # A remark that an image is no power of two wide is no fault: section 3.8 allows any size.
    assert {message["code"] for message in issues["messages"]} <= {"IMAGE_NPOT_DIMENSIONS"}


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        ("bounds", "ACCESSOR_MAX_MISMATCH"),
        ("twice", "ANIMATION_DUPLICATE_TARGETS"),
        ("quaternion", "ROTATION_NON_UNIT"),
    ],
)
def test_the_validator_sees_planted_faults(
    glb_path: Path, tmp_path: Path, fault: str, code: str
) -> None:
    broken = Glb(glb_path.read_bytes())
    if fault == "bounds":
        broken.json["accessors"][0]["max"][0] += 0.001
    elif fault == "twice":
        channels = broken.json["animations"][0]["channels"]
        channels[0]["target"]["path"] = channels[1]["target"]["path"] = "translation"
        channels[0]["sampler"] = channels[1]["sampler"]
    else:
        broken.json["nodes"][1]["rotation"] = [0.1, 0.2, 0.3, 0.4]
    path = tmp_path / "broken.glb"
    path.write_bytes(broken.patched())
    issues = validated(path)
    assert issues["numErrors"] > 0
    assert code in {message["code"] for message in issues["messages"]}


def seen(glb: Glb, name: str, point: np.ndarray, opening: float) -> np.ndarray:
    """Where a point of a body is in glTF's scene at an opening, as section 3.11 interpolates."""
    return at_second(glb.channels()[name], point, opening / np.pi * 4)


def at_second(
    channels: dict[str, tuple[np.ndarray, np.ndarray]], point: np.ndarray, second: float
) -> np.ndarray:
    """Where a point of a body is at a second of a clip."""
    turns, shifts = (channels[path] for path in ("rotation", "translation"))
    turn = Slerp(turns[0], Rotation.from_quat(turns[1]))(second)
    shift = [np.interp(second, shifts[0], shifts[1][:, k]) for k in range(3)]
    local = np.array([point[0], point[2], -point[1]]) / 1000
    return turn.apply(local) + shift


def test_no_point_strays_more_than_a_twentieth_of_a_millimetre(example: VFold, glb: Glb) -> None:
    """The tip of the ridge and the corners of the pages, between the keys as on them."""
    for opening in np.radians(np.arange(0.25, 180, 3.7)):
        elevation = example.ridge(np.array([opening]))[0]
        tip = np.array([0, FOOT_Y + RIDGE * np.cos(elevation), RIDGE * np.sin(elevation)])
        for name in ("fan.left", "fan.right"):
            place = seen(glb, name, np.array([0.0, RIDGE, 0.0]), opening)
            assert 1000 * np.linalg.norm(place - [tip[0] / 1e3, tip[2] / 1e3, -tip[1] / 1e3]) < 0.05
        tilt = (np.pi - opening) / 2
        corner = np.array([105 * np.cos(tilt), 105 * np.sin(tilt), -148]) / 1000
        place = seen(glb, "page.right", np.array([105.0, 148.0, 0.0]), opening)
        assert 1000 * np.linalg.norm(place - corner) < 0.05


def test_axes_are_those_of_gltf(glb: Glb) -> None:
    """A 90° turn about the gutter (our +y) is (0, 0, -0.707107, 0.707107) with y up.

    By hand from (x, y, z) mm -> (x, z, -y) / 1000: section 3.4 has +Y up, metres and right-handed
    axes. The right page is turned by -90° at opening 0, so there it is the inverse.
    """
    turns = glb.channels()["page.right"]["rotation"][1]
    assert np.abs(turns[0] * np.sign(turns[0][3])) == pytest.approx(
        [0, 0, 0.707107, 0.707107], abs=1e-6
    )
    assert turns[0][2] * np.sign(turns[0][3]) > 0
    assert np.abs(turns[-1]) == pytest.approx([0, 0, 0, 1], abs=1e-6)


@pytest.mark.parametrize("block", [0.0, 0.05, 0.2, 30.0])
def test_pages_of_any_thickness_are_closed_solids_or_none(block: float) -> None:
    """The volume of a closed mesh (trimesh, by the divergence theorem) is that of a prism over a
    trapezium for the pages, since a leaf at a depth d comes out by d times a quarter turn, and that
    of a board without two corners of (1 - pi / 4) r² for the cover, and a slope beside it."""
    book = Book(100.0, 150.0, block=block)
    found = {one.name: one.triangles for one in companions(book)}
    assert ("notebook.left-pages" in found) == ("notebook.fold" in found) == (block > 0.1)
    for name, triangles in found.items():
        if name.endswith(("pages", "cover")):
            mesh = trimesh.Trimesh(**trimesh.triangles.to_kwargs(triangles))
            mesh.merge_vertices()
            leaves = (100 + np.pi / 2 * (block + 0.1) / 2) * 150 * (block - 0.1)
            board = book.board * (99.5 * 157 - 2 * (1 - np.pi / 4) * 4.5**2)
            board += (book.board - book.cloth) * 2.2 / 2 * 157
            assert mesh.is_watertight
            volume = leaves if name.endswith("pages") else board
            assert mesh.volume == pytest.approx(volume, rel=1e-4)


def test_half_way_between_two_turns_is_slerp() -> None:
    """Half-way between 0° and 90° about y is (0, 0.382683, 0, 0.923880): sin and cos of 22.5°."""
    from meshes.motion.keys import Keys

    turns = np.array([[[0, 0, 0, 1]], [[0, np.sqrt(0.5), 0, np.sqrt(0.5)]]])
    keys = Keys(np.array([0.0, 1.0]), turns, np.zeros((2, 1, 3)), np.zeros((2, 0)))
    rotations, _ = keys.at(np.array([0.5]))
    half = Rotation.from_matrix(rotations[0, 0]).as_quat()
    assert half == pytest.approx([0, 0.382683, 0, 0.923880], abs=1e-6)


def test_keys_start_at_zero_and_rise(glb: Glb) -> None:
    """Section 3.11: times are seconds, not negative, strictly increasing; with stored bounds."""
    inputs = {s["input"] for s in glb.json["animations"][0]["samplers"]}
    (clock,) = inputs
    times = glb.array(clock)
    assert times[0] == 0
    assert (np.diff(times) > 0).all()
    assert glb.json["accessors"][clock]["min"] == [0.0]
    assert glb.json["accessors"][clock]["max"] == [float(times[-1])]


def test_one_node_for_each_piece_with_its_bodies(example: VFold, glb: Glb) -> None:
    bodies = [body.name for body in example.linkage.bodies]
    nodes = glb.json["nodes"]
    assert [node["name"] for node in nodes] == ["spread", *bodies, "page", "fan"]
    assert [nodes[k]["name"] for k in nodes[0]["children"]] == ["page", "fan"]
    fan = next(node for node in nodes if node["name"] == "fan")
    assert all(nodes[k]["name"].startswith("fan.") for k in fan["children"])
    assert glb.json["nodes"][1]["extras"]["facets"] == ["page.left", "fan.tab-left"]
    assert set(glb.channels()) == set(bodies)


def test_it_stands_open_where_nothing_plays_it(example: VFold, glb_path: Path) -> None:
    """trimesh reads the nodes: fully open, both pages lie level (y up), within a caliper."""
    scene = trimesh.load(glb_path)
    pages = [n for n in scene.graph.nodes_geometry if n.startswith("page.")]
    assert pages
    for node in pages:
        turn, _ = scene.graph[node]
        assert np.allclose(turn[:3, :3] @ [0, 1, 0], [0, 1, 0], atol=1e-6)


@pytest.mark.parametrize(
    ("design", "part"), [("night-train", "departures"), ("fox-in-the-grass", "fox-strip")]
)
def test_what_a_hand_moves_has_a_clip_of_its_own(design: str, part: str, tmp_path: Path) -> None:
    """Between the keys as on them, the poses are those of the solver, within 0.05 mm."""
    found = spread.read(designs.path(design))
    motion = found.solve(np.radians(np.arange(0, 181, 1.0)))
    write_glb(tmp_path / "a.glb", found, motion)
    file = Glb((tmp_path / "a.glb").read_bytes())
    names = [clip["name"] for clip in file.json["animations"]]
    assert names == ["opening", *(f"{drive.name} by hand" for drive in found.linkage.drives)]
    number = names.index(f"{part} by hand")
    channels = file.channels(number)
    shares = np.linspace(0, 1, 12)
    solved = found.solve(np.full(12, np.pi), {part: shares})
    moved = 0.0
    for b, body in enumerate(found.linkage.bodies):
        for k, share in enumerate(shares):
            point = np.array([*body.parts[0].polygon.representative_point().coords[0], 0.0])
            there = solved.rotations[k, b] @ point + solved.translations[k, b]
            seen_there = at_second(channels[body.name], point, share * 4)
            expected = np.array([there[0], there[2], -there[1]]) / 1000
            assert 1000 * np.linalg.norm(seen_there - expected) < 0.05
            moved = max(moved, float(np.linalg.norm(there - solved.translations[0, b])))
    assert moved > 5


def test_colours_are_linear_and_on_their_own_sides(glb: Glb) -> None:
    """IEC 61966-2-1: #808080 is 0.2159 in linear light; #c8553d is 0.5776, 0.0908, 0.0467."""
    assert linear("#808080") == pytest.approx([0.2159] * 3, abs=5e-5)
    assert linear("#c8553d") == pytest.approx([0.5776, 0.0908, 0.0467], abs=5e-5)
    right = next(mesh for mesh in glb.json["meshes"] if mesh["name"] == "fan.right")
    sides = {}
    for primitive in right["primitives"]:
        material = glb.json["materials"][primitive["material"]]
        assert material["doubleSided"]
        assert material["pbrMetallicRoughness"]["metallicFactor"] == 0
        normals = glb.array(primitive["attributes"]["NORMAL"])
        if np.ptp(normals, axis=0).max() < 1e-6:
            sides[material["name"]] = normals[0].round(3).tolist()
    # The printed side looks along the body's +z, which is +y in glTF.
    assert sides == {"#c8553d": [0, 1, 0], "#f0d9b5": [0, -1, 0]}


def test_another_reader_sees_the_same_closed_solids(example: VFold, glb_path: Path) -> None:
    """trimesh reads the file; its solids hold the volume of the paper (area times caliper)."""
    scene = trimesh.load(glb_path, process=True, merge_primitives=True)
    assert isinstance(scene, trimesh.Scene)
    for body in example.linkage.bodies:
        area = sum(part.polygon.area * part.sheet.paper.caliper for part in body.parts)
        names = [n for n in scene.geometry if n == body.name or n.startswith(body.name + "_")]
        volume = sum(float(scene.geometry[name].volume) for name in names)
        # The beads along the folds add a little.
        assert volume * 1e9 == pytest.approx(area, rel=0.02)


@pytest.mark.parametrize("side", [1, -1])
def test_images_lie_on_their_side_where_the_design_has_them(
    example: VFold, tmp_path: Path, side: int
) -> None:
    """Section 3.8 counts texture rows from the top; section 3.6 allows PNG in a buffer view."""
    file = tmp_path / "red.png"
    Pillow.new("RGBA", (64, 32), (255, 0, 0, 255)).save(file)
    art = Image(file, 8.0, 4.0, Placement(shift=(15.0, 30.0)), side)  # inside fan.right
    bodies = tuple(
        replace(
            body,
            parts=tuple(
                replace(part, sheet=replace(part.sheet, art=(art,)))
                if part.sheet.piece == "fan"
                else part
                for part in body.parts
            ),
        )
        for body in example.linkage.bodies
    )
    spread = SimpleNamespace(linkage=replace(example.linkage, bodies=bodies), solve=example.solve)
    path = tmp_path / "art.glb"
    write_glb(path, spread, example.solve(STAGES))
    issues = validated(path)
    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0)
    glb = Glb(path.read_bytes())
    printed = [
        (mesh["name"], primitive)
        for mesh in glb.json["meshes"]
        for primitive in mesh["primitives"]
        if "TEXCOORD_0" in primitive["attributes"]
    ]
    ((name, primitive),) = printed
    assert name == "fan.right"
    points = glb.array(primitive["attributes"]["POSITION"]) * 1000
    places = glb.array(primitive["attributes"]["TEXCOORD_0"])
    # glTF's x is ours and its -z our y: the image spans 11 to 19 and 28 to 32 mm, top row first.
    assert points[:, 0] == pytest.approx(11 + 8 * places[:, 0], abs=0.2)
    assert -points[:, 2] == pytest.approx(32 - 4 * places[:, 1], abs=0.2)
    assert (np.sign(points[:, 1]) == side).all()
    a, b, c = points[glb.array(primitive["indices"])[:3]]
    assert np.sign(np.cross(b - a, c - a)[1]) == side  # seen from its own side alone


def test_a_motion_that_jams_is_written_as_far_as_it_goes(example: VFold, tmp_path: Path) -> None:
    motion = example.solve(STAGES)
    solved = np.degrees(motion.openings) >= 40
    path = tmp_path / "jam.glb"
    write_glb(path, example, replace(motion, solved=solved))
    times = Glb(path.read_bytes()).channels()["page.left"]["rotation"][0]
    assert times[-1] == pytest.approx(4 * 140 / 180)
    with pytest.raises(ValueError, match="no motion"):
        write_glb(path, example, replace(motion, solved=np.zeros(181, bool)))


def test_coarse_samples_are_refined_and_fine_ones_thinned(example: VFold) -> None:
    bodies = example.linkage.bodies
    fine = choose_keys(bodies, example.solve(np.radians(np.arange(0, 180.01, 0.5))), example.solve)
    coarse = choose_keys(bodies, example.solve(np.radians(np.arange(0, 181, 15.0))), example.solve)
    assert len(fine.openings) < 120
    assert len(coarse.openings) > 30
    openings = np.radians(np.arange(0.1, 180, 1.3))
    exact = example.solve(openings)
    for keys in (fine, coarse):
        rotations, translations = keys.at(openings)
        far = np.array([50.0, 30.0, 0.0])
        off = (rotations - exact.rotations) @ far + translations - exact.translations
        assert np.linalg.norm(off, axis=-1).max() < 0.05
