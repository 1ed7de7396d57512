"""Leaves, wheels and slides: moved by hand, each as its geometry says."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import spread
from meshes.drive import DriveError
from meshes.errors import DesignError

HEAD = 'title = "Driven"\n[spread]\nwidth = 148\nheight = 210\n'
V_FOLD = """
[pieces.{name}]
kind = "v-fold"
on = "{on}"
at = 90
page_angle = 45
panel_angle = 60
base = 30
ridge = 60
"""
WHEEL = """
[pieces.wheel]
kind = "wheel"
on = "page.right"
x = 80
y = 100
radius = 30
overlay = { shape = "ellipse", length = 56, width = 56 }
window = { shape = "ellipse", length = 10, width = 10 }
[pieces.dot]
kind = "flat"
on = "wheel.disc"
x = 20
y = 0
outline = { shape = "ellipse", length = 6, width = 6 }
"""
SLIDE = """
[pieces.slide]
kind = "slide"
on = "page.left"
x = -80
y = 60
length = 110
travel = 30
turn = 90
"""


@pytest.fixture
def read(tmp_path):
    def from_text(text):
        path = tmp_path / "driven.toml"
        path.write_text(HEAD + text)
        return spread.read(path)

    return from_text


def middle(made, motion, part_id):
    """The middle of a facet at each stage, mm."""
    body, part = made.linkage.place(part_id)
    flat = np.array([*part.polygon.centroid.coords[0], part.height])
    return motion.rotations[:, body] @ flat + motion.translations[:, body]


def test_a_leaf_turns_from_the_right_page_to_the_left_one(read):
    made = read("[pieces.leaf]\nkind = 'flyleaf'\n")
    turned = np.array([1.0, 0.5, 0.0])
    motion = made.solve(np.full(3, np.pi), {"leaf": turned})
    x, _, z = middle(made, motion, "leaf.sheet").T
    assert x == pytest.approx([74, 0, -74], abs=0.3)
    assert z[1] == pytest.approx(74)
    # Folded paper keeps it a degree off the pages: 74 sin 1°.
    assert z[[0, 2]] == pytest.approx(np.full(2, 74 * np.sin(np.radians(1))), abs=1e-9)


def test_while_nobody_turns_it_a_leaf_lies_on_its_page(read):
    made = read("[pieces.leaf]\nkind = 'flyleaf'\nlies = 'left'\n")
    motion = made.solve(np.radians([90.0]))
    page, leaf = (middle(made, motion, name)[0] for name in ("page.left", "leaf.sheet"))
    angle = np.arccos(page @ leaf / np.linalg.norm(page) / np.linalg.norm(leaf))
    # page.left and the leaf have their middles at the same height, so this is the angle at the
    # gutter seen a little aslant: less than a degree.
    assert np.degrees(angle) < 1.0


@pytest.mark.parametrize(("on", "share"), [("leaf.before", 1.0), ("leaf.behind", 0.0)])
def test_a_piece_between_a_leaf_and_a_page_moves_as_on_the_gutter(read, on, share):
    """With the leaf on the other page, its wedge is the whole opening less a degree."""
    leafed = read("[pieces.leaf]\nkind = 'flyleaf'\n" + V_FOLD.format(name="fern", on=on))
    plain = read(V_FOLD.format(name="fern", on="gutter"))
    openings = np.radians([40.0, 90.0, 150.0])
    found = leafed.solve(openings, {"leaf": share})
    wanted = plain.solve(openings - np.radians(1.0))
    names = [hinge.name for hinge in leafed.linkage.hinges]
    same = [names.index(hinge.name) for hinge in plain.linkage.hinges]
    assert found.angles[:, same] == pytest.approx(wanted.angles, abs=1e-9)
    assert found.gaps.max() < 1e-9


def test_two_wedges_open_and_close_against_each_other(read):
    made = read(
        "[pieces.leaf]\nkind = 'flyleaf'\n"
        + V_FOLD.format(name="one", on="leaf.before")
        + V_FOLD.format(name="two", on="leaf.behind")
    )
    share = np.linspace(0, 1, 21)
    motion = made.solve(np.full(21, np.pi), {"leaf": share})
    angles = {h.name: motion.angles[:, k] for k, h in enumerate(made.linkage.hinges)}
    one, two = angles["one.ridge"], angles["two.ridge"]
    # Mirror images: what one does while the leaf goes, the other does on its way back.
    assert one == pytest.approx(two[::-1], abs=1e-9)
    assert motion.solved.all()
    assert motion.gaps.max() < 1e-9


def test_tips_are_the_same_on_both_sides_of_the_glue(read):
    """Each glued tab stays on its leaf or page: its corners keep their distance to the gutter."""
    made = read("[pieces.leaf]\nkind = 'flyleaf'\n" + V_FOLD.format(name="fern", on="leaf.behind"))
    motion = made.solve(np.full(5, np.pi), {"leaf": np.linspace(0, 0.9, 5)})
    leaf_body, _ = made.linkage.place("leaf.sheet")
    tabs = [p.id for p in made.linkage.bodies[leaf_body].parts if p.id.startswith("fern.")]
    assert tabs
    for hinge in made.linkage.hinges:
        ends = [
            motion.rotations[:, b] @ o + motion.translations[:, b]
            for b, o in zip(hinge.bodies, hinge.origins, strict=True)
        ]
        assert ends[0] == pytest.approx(ends[1], abs=1e-9)


def test_leaves_keep_their_order(read):
    text = "[pieces.a]\nkind = 'flyleaf'\n[pieces.b]\nkind = 'flyleaf'\nafter = 'a'\n"
    made = read(text)
    made.solve(np.array([np.pi]), {"a": 0.2, "b": 0.7})
    with pytest.raises(DriveError, match="pass through each other; turn them in their order: a, b"):
        made.solve(np.array([np.pi]), {"a": 0.7, "b": 0.2})


def test_two_leaves_after_the_same_page_are_refused(read):
    with pytest.raises(DesignError, match="a, b should lie after the left page"):
        read("[pieces.a]\nkind = 'flyleaf'\n[pieces.b]\nkind = 'flyleaf'\n")


def test_a_wheel_turns_what_is_glued_on_it_about_its_middle(read):
    made = read(WHEEL)
    share = np.array([0.0, 0.25, 0.5])
    motion = made.solve(np.full(3, np.pi), {"wheel": share})
    hub, dot = middle(made, motion, "wheel.disc"), middle(made, motion, "dot.art")
    offset = dot - hub
    # A quarter and a half turn, counter-clockwise for the reader.
    assert offset[:, :2] == pytest.approx(np.array([[20, 0], [0, 20], [-20, 0]]), abs=0.05)
    assert hub[:, :2] == pytest.approx(np.tile([80, 100], (3, 1)), abs=0.05)
    assert (offset[:, 2] > 0).all()


@pytest.mark.parametrize(("text", "name", "part"), [
    (WHEEL, "wheel", "wheel.disc"),
    (SLIDE, "slide", "slide.strip"),
    (SLIDE.replace("turn = 90", "turn = 30"), "slide", "slide.strip"),
    ("[pieces.leaf]\nkind = 'flyleaf'\n", "leaf", "leaf.sheet"),
])  # fmt: skip
def test_printed_on_its_back_it_goes_the_same_way(read, text, name, part):
    """Turned over, a sheet is mirrored in its own frame; in space nothing changes but the print."""
    over = text.replace(f"[pieces.{name}]", f'[pieces.{name}]\nprinted = "back"')
    shares = np.array([0.0, 0.2, 0.5, 1.0])
    found = []
    for made in (read(text), read(over)):
        motion = made.solve(np.full(4, np.radians(100.0)), {name: shares})
        body, facet = made.linkage.place(part)
        corners = np.array(facet.polygon.exterior.coords)[:-1]
        flat = np.column_stack([corners, np.full(len(corners), facet.height)])
        moved = flat @ np.swapaxes(motion.rotations[:, body], 1, 2)
        printed_side = motion.rotations[:, body, :, 2] * facet.placement.up
        found.append((moved + motion.translations[:, None, body], printed_side))
    (plain, up), (turned, down) = found
    # The grips of a wheel are alike, so corners may come in another order.
    gaps = np.linalg.norm(plain[:, :, None] - turned[:, None], axis=3)
    assert gaps.min(axis=2).max() < 0.05
    assert up == pytest.approx(-down)
    turns = [np.linalg.norm(way[1:] - way[:1], axis=2).max(axis=1) for way in (plain, turned)]
    assert turns[0] == pytest.approx(turns[1], abs=0.05)


@pytest.mark.parametrize("on", ["leaf.before", "leaf.behind"])
def test_what_stands_on_a_leaf_printed_on_its_back_moves_as_on_any(read, on):
    leaf = "[pieces.leaf]\nkind = 'flyleaf'\n"
    angles, heights = [], []
    for text in (leaf, leaf + "printed = 'back'\n"):
        made = read(text + V_FOLD.format(name="fern", on=on))
        motion = made.solve(np.full(3, np.radians(150.0)), {"leaf": np.array([0.3, 0.5, 0.7])})
        hinges = [k for k, h in enumerate(made.linkage.hinges) if h.name.startswith("fern")]
        angles.append(motion.angles[:, hinges])
        assert motion.gaps.max() < 1e-9
        body, _ = made.linkage.place("leaf.sheet")
        heights.append({part.id: part.height for part in made.linkage.bodies[body].parts})
    assert angles[0] == pytest.approx(angles[1], abs=1e-9)
    assert np.abs(angles[0]).max() > 0.1
    # The tab lies on the same face of the leaf, as the right page has it.
    assert heights[0] == pytest.approx(heights[1])
    (tab,) = [height for name, height in heights[0].items() if name.startswith("fern")]
    assert (tab > 0) == (on == "leaf.before")


def test_a_wheel_rides_on_its_page(read):
    made = read(WHEEL)
    motion = made.solve(np.radians([60.0, 120.0]), {"wheel": 0.4})
    body, _ = made.linkage.place("wheel.disc")
    normals = motion.rotations[:, body, :, 2]
    assert normals == pytest.approx(motion.rotations[:, 1, :, 2], abs=1e-12)


def test_a_cover_lies_over_the_disc_and_under_nothing(read):
    made = read(WHEEL)
    motion = made.solve(np.array([np.pi]), {"wheel": 0.1})
    heights = {n: middle(made, motion, n)[0, 2] for n in ("wheel.disc", "wheel.overlay", "dot.art")}
    assert heights["wheel.disc"] < heights["dot.art"] < heights["wheel.overlay"]


def test_a_slide_travels_along_itself(read):
    made = read(SLIDE)
    motion = made.solve(np.full(3, np.pi), {"slide": np.array([0.0, 0.5, 1.0])})
    path = middle(made, motion, "slide.strip")
    # Turned by 90 degrees it runs up the page.
    assert np.diff(path, axis=0) == pytest.approx(np.tile([0, 15, 0], (2, 1)), abs=1e-9)


@pytest.mark.parametrize("loops", ["ends", "tab"])
def test_the_strip_lies_under_both_loops_however_far_it_is_pulled(read, loops):
    made = read(SLIDE.replace("turn = 90", f'turn = 0\nloops = "{loops}"'))
    _, strip = made.linkage.place("slide.strip")
    for number in (1, 2):
        _, loop = made.linkage.place(f"slide.loop-{number}")
        low, _, high, _ = loop.facet.polygon.bounds
        for pulled in (0.0, 30.0):
            left, _, right, _ = strip.facet.polygon.bounds
            # The straight part of the strip ends where its pull tab begins to round.
            assert left + pulled <= low + 1e-9
            assert high <= right - 9 + pulled + 1e-9


def test_loops_next_to_the_tab_leave_the_far_part_of_the_strip_free(read):
    """The strip is 110 mm long and 18 wide, pulled by 30: its art may reach to the first loop."""
    made = read(SLIDE.replace("turn = 90", 'turn = 0\nloops = "tab"'))
    bounds = [made.linkage.place(f"slide.loop-{k}")[1].facet.polygon.bounds for k in (1, 2)]
    apart = bounds[1][0] - bounds[0][0]
    assert apart >= 18
    assert bounds[0][0] == pytest.approx(55 - 18 - 10 - apart)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (SLIDE.replace("length = 110", "length = 60"), "length: is too short"),
        (WHEEL.replace("overlay =", "window_ ="), "window_"),
        ("[pieces.w]\nkind='wheel'\non='page.left'\nradius=20\n"
         "window={shape='ellipse',length=5,width=5}\n", "hole in an overlay that is not there"),
        ("[pieces.leaf]\nkind='flyleaf'\nheight=150\nfrom_foot=100\n", "beyond the head"),
        ("[pieces.leaf]\nkind = 'flyleaf'\nafter = 'none'\n", "does not exist"),
    ],
)  # fmt: skip
def test_parts_that_cannot_be_moved_are_one_clear_line(read, text, line):
    with pytest.raises(DesignError) as caught:
        read(text)
    assert line in str(caught.value)


def test_only_what_is_moved_by_hand_can_be_moved(read):
    made = read(SLIDE)
    with pytest.raises(DriveError, match="'wheel' is not moved by hand; pieces that are: slide"):
        made.solve(np.array([1.0]), {"wheel": 0.5})
    with pytest.raises(DriveError, match="from 0 to 1"):
        made.solve(np.array([1.0]), {"slide": 1.5})
