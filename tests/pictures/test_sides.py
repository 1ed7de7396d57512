"""The picture of left and right, front and back says what the design file's names mean."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from meshes import spread
from preview.gallery import FOLDER, ROOT
from preview.pictures import sides


@pytest.fixture(scope="module")
def specimen():
    read = spread.read(ROOT / FOLDER / "sides.toml")
    return read, read.solve(np.radians([sides.OPENING_DEG]))


def columns(specimen, look):
    """By name, how far right in the picture its line ends, pixels."""
    read, motion = specimen
    camera = sides.camera_of(read, motion, look)
    ends = [sides.world(read.linkage, motion, a.facet, np.array([a.point])) for a in look.labels]
    return {
        label.text: camera.project(end, sides.SIZE)[0, 0]
        for label, end in zip(look.labels, ends, strict=True)
    }


@pytest.mark.parametrize(("k", "way"), [(0, 1), (1, -1)])
def test_left_is_left_for_the_reader_and_right_from_behind(specimen, k, way):
    found = columns(specimen, sides.LOOKS[k])
    for piece in ("page", "tent", "bud", "fan"):
        assert way * (found[f"{piece}.right"] - found[f"{piece}.left"]) > 0, piece


def test_every_line_ends_on_the_facet_that_it_names(specimen):
    import shapely

    read, _ = specimen
    for look in sides.LOOKS:
        for label in look.labels:
            facet = read.linkage.place(label.facet)[1].facet
            assert facet.polygon.buffer(1e-6).covers(shapely.Point(label.point)), label.text
            assert label.text == label.facet or label.text in ("gutter", "fan.ridge", "tent.ridge")


def test_arrows_run_along_creases_the_way_a_piece_is_placed_on_them(specimen):
    from meshes.hosts import Hosts
    from meshes.sheet import Built

    read, _ = specimen
    hosts = Hosts(read.sheets[0])
    hosts.add(Built(read.sheets[1:], ()), over=False)
    for look in sides.LOOKS:
        for arrow in [a for a in look.arrows if not a.text]:
            name = {"page.left": "gutter", "tent.left": "tent.ridge", "fan.left": "fan.ridge"}
            left = hosts.crease(name[arrow.facet]).left
            assert left.facet == arrow.facet
            (x, y0), (_, y1) = left.placement.inverse().apply([arrow.start, arrow.end])
            assert abs(x) < 1e-9
            assert y1 > y0


def test_x_of_a_facet_runs_to_the_right_on_whichever_side_it_is_seen(specimen):
    read, motion = specimen
    for look in sides.LOOKS:
        camera = sides.camera_of(read, motion, look)
        for arrow in [a for a in look.arrows if a.text == "x"]:
            ends = sides.world(
                read.linkage, motion, arrow.facet, np.array([arrow.start, arrow.end])
            )
            assert all(a[0] < b[0] for a, b in pairwise(camera.project(ends, sides.SIZE)))


def test_a_piece_on_the_back_lies_at_the_mirrored_place(specimen):
    read, _ = specimen
    joins = {join.facet: join for join in read.joins}
    front, back = joins["star.art"], joins["star-behind.art"]
    assert (front.side, back.side) == (1, -1)
    assert front.placement.apply((0.0, 0.0)) == pytest.approx([22, 36])
    assert back.placement.apply((0.0, 0.0)) == pytest.approx([-22, 36])
