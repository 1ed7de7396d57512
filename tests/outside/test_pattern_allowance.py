"""What thick card takes, measured back from the files by readers that did not write them.

Widths of walls are distances between their folds. A wall of width w is w + t wide outside and w - t
inside, t its thickness, when it stands at right angles to its neighbours: the corner of the paper's
middle is t / 2 from both of its faces.
"""

from __future__ import annotations

import functools
import json
import tempfile
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import box

from meshes import spread
from meshes.allowance import allowed
from meshes.allowance.shut import CLOSING_DEG
from meshes.building.kept import LOOKED_AT_DEG
from meshes.errors import DesignError
from meshes.linkage import link
from meshes.motion.result import Motion
from meshes.sheet import Fold, Join, Placement, Sheet, cut
from preview.pattern.allowance import to_cut
from preview.pattern.layout import Options, lay_out
from preview.pattern.machine import Run, job_of
from preview.pattern.machine_files import dxf_of, pdf_of, svg_of
from preview.pattern.marks import Show
from preview.pattern.pdf import write_pattern
from preview.pattern.proof import prove_allowed, prove_templates
from preview.pattern.svg import page_svg
from preview.pattern.template import templates
from tests.pattern.measured import (
    folds_of_dxf,
    folds_of_pdf,
    folds_of_svg,
    rings_of_dxf,
    rings_of_pdf,
    rings_of_svg,
)
from tests.pattern.whole import alone

WITHIN_MM = 0.01  # what was asked for; PDF itself rounds to 0.0035 mm
PLAY_MM = 0.2  # stated in the README
FORMATS = ("svg", "pdf", "machine svg", "machine pdf", "machine dxf")
DISTANCE, HEIGHT, WIDTH = 25.0, 30.0, 60.0
LIDDED = """
title = "lid"
[spread]
page = "A5"
[papers.card]
caliper = {inner}
[papers.board]
caliper = {outer}
[pieces.tray]
kind = "box"
distance = 25
height = 30
width = 60
lid = "none"
tabs = "out"
[pieces.cover]
kind = "box"
paper = "board"
distance = 25
height = 30
width = 60
"""
CARRIER = """
title = "carrier"
[spread]
page = "A5"
[papers.card]
caliper = {caliper}
[pieces.hidden]
kind = "carrier"
distance = 50
flap = 30
width = 40
"""


def read(text):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "one.toml")
        path.write_text(text)
        return spread.read(path)


def with_sheet(found, sheet, joins):
    """The spread with a further sheet glued on."""
    sheets, glue = (*found.sheets, sheet), (*found.joins, *joins)
    return replace(found, sheets=sheets, joins=glue, linkage=link(sheets, glue))


@dataclass(frozen=True)
class Solved(spread.Spread):
    """A spread whose motion is known: that of the same sheets in other papers."""

    motion: Motion | None = None
    closing: Motion | None = None

    def solve(self, openings, driven=None, memory=None):
        assert self.motion is not None
        if np.array_equal(openings, np.radians(CLOSING_DEG)):
            return self.closing
        assert np.array_equal(openings, self.motion.openings)
        return self.motion


def on_papers(found, calipers):
    """The solved spread with pieces of other calipers; thickness does not change a motion."""
    sheets = tuple(
        replace(s, paper=replace(s.paper, caliper=calipers.get(s.piece, s.paper.caliper)))
        for s in found.sheets
    )
    linkage = link(sheets, found.joins)
    return replace(found, sheets=sheets, linkage=linkage)


def solved(found):
    """The spread with its motion."""
    motion = found.solve(np.radians(LOOKED_AT_DEG))
    closing = found.solve(np.radians(CLOSING_DEG))
    parts = (found.design, found.sheets, found.joins, found.linkage)
    return Solved(*parts, motion=motion, closing=closing)


@functools.cache
def ring(caliper):
    """A box with a band glued round all of its walls, closed by a tab on its outside."""
    return on_papers(banded(), {"box": caliper, "band": caliper})


@functools.cache
def banded():
    text = LIDDED.format(inner=0.3, outer=0.3).partition("[pieces.cover]")[0]
    found = read(text.replace("tray", "box"))
    (net,) = (s for s in found.sheets if s.piece == "box")
    row = ["foot-end-left", "foot-end-right", "right", "head-end-right", "head-end-left", "left"]
    edges = [0.0, *(net.facet(name).polygon.bounds[2] for name in row)]
    folds = [Fold(f"fold-{k}", (x, 0.0), (x, 12.0), 1) for k, x in enumerate(edges[1:], 1)]
    middles = [(a + b) / 2 for a, b in pairwise(edges)]
    labels = {name: (x, 6.0) for name, x in zip(row, middles, strict=True)}
    labels["tab"] = (edges[-1] + 4.0, 6.0)
    facets, crossings = cut(box(0, 0, edges[-1] + 8.0, 12.0), folds, labels)
    band = Sheet("band", "band", net.paper, "#ffffff", "#ffffff", facets, crossings)
    joins = [Join(f"band.{name}", f"box.{name}", Placement(shift=(0.0, 8.0))) for name in row]
    joins.append(Join("band.tab", "band.foot-end-left", Placement(shift=(-edges[-1], 0.0))))
    return solved(with_sheet(found, band, joins))


@functools.cache
def lidded(inner, outer, foot_end="out", head_end="out"):
    """A tray and its cover, with end walls that fold either way."""
    return on_papers(covered(foot_end, head_end), {"tray": inner, "cover": outer})


@functools.cache
def covered(foot_end, head_end):
    ends = f'height = 30\nfoot_end = "{foot_end}"\nhead_end = "{head_end}"'
    text = LIDDED.format(inner=0.3, outer=0.3)
    return solved(read(text.replace("height = 30", ends)))


@functools.cache
def pattern_of(make, *calipers):
    """A page for each sheet of a spread, with its allowance."""
    change = to_cut(make(*calipers), True)
    made = templates(change.sheets, change.joins, None, change.drives)
    plain = replace(Options(), show=Show(names=False))
    return alone([t for t in made if not t.is_page], plain)


def files(pattern, form):
    """Piece to its fold lines and cut rings in a format, mm."""
    jobs = [job_of("t", page, Run(hole=0.0)) for page in pattern.pages]
    if form == "svg":
        texts = [page_svg(pattern, page) for page in pattern.pages]
        folds, rings = map(folds_of_svg, texts), map(rings_of_svg, texts)
    elif form == "pdf":
        data = write_pattern(pattern)
        rings = [found for found in rings_of_pdf(data) if found]
        folds = folds_of_pdf(data)[-len(rings) :]
    elif form == "machine svg":
        texts = [svg_of(job) for job in jobs]
        folds, rings = map(folds_of_svg, texts), map(rings_of_svg, texts)
    elif form == "machine pdf":
        datas = [pdf_of(job) for job in jobs]
        folds, rings = (folds_of_pdf(d)[0] for d in datas), (rings_of_pdf(d)[0] for d in datas)
    else:
        texts = [dxf_of(job) for job in jobs]
        folds, rings = map(folds_of_dxf, texts), map(rings_of_dxf, texts)
    names = [template.sheet.piece for template in pattern.templates]
    return {n: (f, r) for n, f, r in zip(names, folds, rings, strict=True)}


def upright(folds, longest):
    """Where upright folds of a length stand, mm, from left to right."""
    lines = [np.asarray(line) for line in folds if len(line) >= 2]
    at = [
        line[:, 0].mean()
        for line in lines
        if np.ptp(line[:, 0]) < 0.01 and abs(np.ptp(line[:, 1]) - longest) < 1.5
    ]
    return np.unique(np.round(at, 4))


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize(("inner", "outer"), [(0.3, 0.3), (1.0, 1.0), (0.3, 1.0)])
def test_a_box_goes_into_its_cover(inner, outer, form):
    found = files(pattern_of(lidded, inner, outer), form)
    # From the foot's middle crease: foot-end-right, right, head-end-right, -left, left.
    tray = np.diff(upright(found["tray"][0], HEIGHT))
    cover = np.diff(upright(found["cover"][0], HEIGHT))
    assert len(tray) == len(cover) == 5
    # The cover's flap lies inside one of its end walls, its lid's tab inside a side wall; the
    # smallest room is there, and opposite walls stay equal.
    for sides in (1, slice(2, 4)):
        inside = cover[sides].sum() - outer
        outside = tray[sides].sum() + inner
        assert inside - outside == pytest.approx(2 * (PLAY_MM + outer), abs=WITHIN_MM)
    around_inside = 2 * (cover[1] + cover[2:4].sum()) - 4 * outer
    around_outside = 2 * (tray[1] + tray[2:4].sum()) + 4 * inner
    assert around_inside - around_outside == pytest.approx(8 * (PLAY_MM + outer), abs=4 * WITHIN_MM)
    # Opposite walls: the one beside the flap is shorter by the flap that lies inside.
    assert tray[1] - tray[4] == pytest.approx(inner, abs=WITHIN_MM)
    assert cover[1] - cover[4] == pytest.approx(outer, abs=WITHIN_MM)
    assert tray[2] == pytest.approx(tray[3], abs=WITHIN_MM)
    # Its walls end under the lid.
    high = np.ptp(np.vstack(found["tray"][1])[:, 1]) - 8.0
    assert high == pytest.approx(HEIGHT - outer / 2 - PLAY_MM, abs=WITHIN_MM)


def test_end_walls_that_fold_in_are_as_narrow_as_those_that_fold_out():
    """Once their creases' valleys were taken for the inside of the box, and they grew."""
    widths = [
        [
            np.ptp(sheet.facet(name).polygon.exterior.xy[0])
            for sheet in allowed(lidded(0.3, 0.3, end, "out")).sheets
            if sheet.piece == "tray"
            for name in ("foot-end-left", "foot-end-right", "right", "left")
        ]
        for end in ("in", "out")
    ]
    assert widths[0] == pytest.approx(widths[1], abs=1e-9)


@pytest.mark.parametrize("caliper", [0.3, 0.7952358672815267])
def test_a_box_with_a_lid_goes_under_a_lid(caliper):
    """Edges that a motion puts in one line up to rounding once made its outline cross itself."""
    text = LIDDED.format(inner=caliper, outer=caliper).replace('lid = "none"', 'lid = "in"')
    found = read(text.replace("distance = 25", "distance = 23.172504031270954"))
    change = allowed(found)
    assert [c.kept for c in change.changes] == ["", ""]
    prove_allowed(found.sheets, change)
    wall = next(s for s in change.sheets if s.piece == "tray").facet("right").polygon
    lowered = caliper + PLAY_MM + caliper  # both halves, play, and the cover's tab
    assert np.ptp(wall.exterior.xy[1]) == pytest.approx(HEIGHT - lowered, abs=1e-5)


@pytest.mark.parametrize("caliper", [0.3, 1.0])
def test_feet_land_nearer_by_what_walls_were_moved_in(caliper):
    found = lidded(caliper, caliper)
    change = allowed(found)
    far = caliper + PLAY_MM + caliper
    moved = [
        (after, before)
        for after, before in zip(change.joins, found.joins, strict=True)
        if before.facet in ("tray.left-tab", "tray.right-tab")
    ]
    for after, before in moved:
        sheet = next(s for s in found.sheets if s.piece == "tray")
        new = next(s for s in change.sheets if s.piece == "tray")
        name = before.facet.partition(".")[2]
        # The tabs lie outside, so the foot is their edge nearest to the gutter.
        was = np.abs(before.placement.polygon(sheet.facet(name).polygon).exterior.xy[0]).min()
        now = np.abs(after.placement.polygon(new.facet(name).polygon).exterior.xy[0]).min()
        assert was - now == pytest.approx(far, abs=1e-6)


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("caliper", [0.3, 1.0])
def test_a_ring_goes_round_a_box(caliper, form):
    found = files(pattern_of(ring, caliper), form)
    band = np.diff(upright(found["band"][0], 12.0))
    (outline,) = found["band"][1]
    left, right = outline[:, 0].min(), outline[:, 0].max()
    # Panels between right-angled corners: inside as wide as the box is outside.
    assert band[1] - caliper == pytest.approx(WIDTH + caliper, abs=WITHIN_MM)
    # The end walls' creases shut over their layer when the spread closes: Steiner's half circle.
    ends = 2 * DISTANCE + caliper - -caliper + np.pi * caliper
    assert band[2:4].sum() == pytest.approx(ends, abs=WITHIN_MM)
    # The last panel ends under nothing: its tab lies on the first one, one thickness farther out.
    assert band[4] - caliper == pytest.approx(WIDTH + 2 * caliper, abs=WITHIN_MM)
    assert upright(found["band"][0], 12.0)[0] - left == pytest.approx(
        DISTANCE + caliper + np.pi / 2 * caliper, abs=WITHIN_MM
    )
    assert right - upright(found["band"][0], 12.0)[-1] == pytest.approx(
        8.0 + caliper, abs=WITHIN_MM
    )
    # The box itself only makes room for its own flap.
    walls = np.diff(upright(found["box"][0], HEIGHT))
    assert walls[[1, 4]] == pytest.approx([WIDTH, WIDTH - caliper], abs=WITHIN_MM)


@pytest.mark.parametrize("caliper", [0.3, 1.0])
def test_a_fold_that_shuts_over_layers_is_wider_by_the_half_circle(caliper):
    """A carrier with its flap has nothing inside; a cover glued over its ridge goes round it."""
    found = read(CARRIER.format(caliper=caliper))
    assert allowed(found).changes == ()
    (strip,) = found.sheets[1:]
    facets, crossings = cut(
        box(-20, -15, 20, 15), [Fold("bend", (0, -15), (0, 15), 1)], {"a": (-5, 0), "b": (5, 0)}
    )
    cover = Sheet("cover", "cover", strip.paper, "#ffffff", "#ffffff", facets, crossings)
    (ridge,) = (c for c in strip.crossings if c.fold.name == "ridge")
    shift = Placement(shift=(ridge.fold.start[0], 0.0))
    joins = [
        Join("cover.a", f"hidden.{ridge.left}", shift),
        Join("cover.b", f"hidden.{ridge.right}", shift),
    ]
    if ridge.fold.start[1] > ridge.fold.end[1]:
        joins = [replace(j, host=o.host) for j, o in zip(joins, joins[::-1], strict=True)]
    whole = with_sheet(found, cover, joins)
    (outline,) = files(pattern_of(lambda: whole), "svg")["cover"][1]
    assert np.ptp(outline[:, 0]) == pytest.approx(40.0 + np.pi * caliper, abs=WITHIN_MM)
    assert np.ptp(outline[:, 1]) == pytest.approx(30.0, abs=WITHIN_MM)


def test_a_loop_climbs_over_what_slides_under_it():
    text = (
        '[pieces.pull]\nkind = "slide"\non = "page.right"\nlength = 80\ntravel = 15\nwidth = 18\n'
    )
    head = CARRIER.format(caliper=1.0).partition("[pieces")[0]
    found = files(pattern_of(read, head + text), "svg")
    loops = [np.ptp(r[0][:, 1]) for n, (_, r) in found.items() if len(r) == 1]
    # Pythagoras: up by the strip and the air over it within the room on either side of it.
    climbed = 2 * (np.hypot(0.4, 1.0 + 0.1) - 0.4)
    assert min(loops) == pytest.approx(18 + 2 * (0.6 + 8.0) + climbed, abs=WITHIN_MM)


@pytest.mark.parametrize("seed", range(6))
def test_random_papers_fit_and_nothing_is_lost(seed):
    random = np.random.default_rng(seed)
    ends = random.choice(["in", "out"], 2).tolist()
    inner, outer, bands = random.uniform(0.05, 1.5, 3).tolist()
    found = on_papers(covered(*ends), {"tray": inner, "cover": outer})
    for one in (found, on_papers(banded(), {"box": bands, "band": bands})):
        change = allowed(one)
        assert {c.kept for c in change.changes} == {""}
        prove_allowed(one.sheets, change)
        prove_templates(templates(change.sheets, change.joins))
        for before, after in zip(one.sheets, change.sheets, strict=True):
            assert [c.fold.name for c in after.crossings] == [c.fold.name for c in before.crossings]
            for old, new in zip(before.crossings, after.crossings, strict=True):
                assert (new.left, new.right) == (old.left, old.right)
    change = allowed(found)
    tray, cover = (
        next(s for s in change.sheets if s.piece == piece) for piece in ("tray", "cover")
    )
    for name in ("right", "left"):
        wide = [np.ptp(s.facet(name).polygon.exterior.xy[0]) for s in (cover, tray)]
        room = wide[0] - outer - (wide[1] + inner)
        flaps = (outer - inner) if name == "left" else 0.0
        assert room == pytest.approx(2 * (PLAY_MM + outer) - flaps, abs=1e-6)


def test_what_would_leave_too_little_is_left_and_said():
    change = allowed(lidded(2.0, 2.0, "in", "in"))
    said = {c.piece: c.kept for c in change.changes}
    assert said == {"tray": "too little of flap would be left", "cover": ""}


def test_without_an_allowance_all_is_as_designed():
    found = lidded(1.0, 1.0)
    plain = to_cut(found, False)
    assert plain.sheets is found.sheets
    assert plain.joins is found.joins
    assert plain.changes == ()


def test_paper_that_lies_nobody_knows_where_has_none():
    found = lidded(1.0, 1.0)
    lost = replace(found.motion, solved=np.zeros_like(found.motion.solved))
    stuck = replace(found, motion=lost)
    assert allowed(stuck).sheets is found.sheets


def test_paper_that_is_as_designed_needs_none():
    head = CARRIER.format(caliper=1.0).partition("[pieces")[0]
    tent = '[pieces.one]\nkind = "tent"\ndistance = 20\npanel = 30\nwidth = 40\n'
    found = read(head + tent)
    assert allowed(found).sheets is found.sheets


def test_lost_paper_is_not_taken_for_an_allowance():
    found = lidded(0.3, 0.3)
    change = allowed(found)
    prove_allowed(found.sheets, change)
    number = next(k for k, s in enumerate(change.sheets) if s.piece == "tray")
    tray = change.sheets[number]
    wall = tray.facet("right").polygon
    low, bottom, right, top = wall.bounds
    for hole in (
        box(low + 20, bottom + 10, low + 21, bottom + 11),
        box(low, bottom, right, top - 5),
    ):
        short = wall.difference(hole) if hole.area < 2 else wall.intersection(hole)
        facets = tuple(replace(f, polygon=short) if f.name == "right" else f for f in tray.facets)
        sheets = list(change.sheets)
        sheets[number] = replace(tray, facets=facets)
        with pytest.raises(DesignError, match="tray: its allowance for thick paper"):
            prove_allowed(found.sheets, replace(change, sheets=tuple(sheets)))
    with pytest.raises(DesignError, match="not the one stated"):
        prove_allowed(found.sheets, replace(change, changes=()))


def test_the_command_states_what_it_changed(call, tmp_path):
    (tmp_path / "lid.toml").write_text(LIDDED.format(inner=0.3, outer=1.0))
    run = call("pattern", "lid.toml", "-o", "a.pdf", "--json")
    rows = {row["piece"]: row for row in json.loads(run.out)["allowances"]}
    assert rows["tray"]["reason"] == "inside"
    assert rows["tray"]["facets_mm"]["right"] == pytest.approx(-2 * (0.65 + PLAY_MM + 1.0))
    assert rows["cover"]["facets_mm"] == {"left": -1.0, "lid-left": -1.0}
    off = call("pattern", "lid.toml", "-o", "b.pdf", "--json", "--no-allowance")
    assert json.loads(off.out)["allowances"] == []
    # Byte for byte what is laid out of the sheets as designed.
    found = spread.read(tmp_path / "lid.toml")
    plain = lay_out("lid", templates(found.sheets, found.joins), Options())
    assert (tmp_path / "b.pdf").read_bytes() == write_pattern(plain)
    assert (tmp_path / "a.pdf").read_bytes() != write_pattern(plain)


SLITS = """
[pieces.rose]
kind = "blossom"
[[pieces.rose.layers]]
name = "bed"
stand = "flat"
sectors = 8
length = 40
[[pieces.rose.layers]]
name = "cone"
length = 32
"""


@pytest.mark.parametrize(("caliper", "wide"), [(0.3, 1.0), (1.0, 1.0 * 2**0.5 + 1.0 + PLAY_MM)])
def test_a_slit_is_as_wide_as_what_passes_it_askew(caliper, wide):
    """At 45° a foot of thickness t passes a sheet of thickness s in t / sin 45° + s / tan 45°."""
    head = CARRIER.format(caliper=caliper).partition("[pieces")[0]
    found = read(head + SLITS)
    pattern = pattern_of(lambda: found)
    prove_allowed(found.sheets, allowed(found))
    slits = [
        np.ptp(np.array(ring)[:, 0])
        for page in pattern.pages
        for ring in sorted(rings_of_svg(page_svg(pattern, page)), key=np.ptp)[:-1]
    ]
    assert len(slits) == 2
    assert slits == pytest.approx([wide, wide], abs=WITHIN_MM)


@pytest.mark.parametrize("gap", [0.1, 0.4])
def test_room_that_the_design_leaves_counts(gap):
    """A tray designed with some room to its cover is cut as small as one designed without."""
    text = LIDDED.format(inner=0.5, outer=0.5).partition("[pieces.cover]")
    smaller = text[0].replace("distance = 25", f"distance = {25 - gap}")
    smaller = smaller.replace("width = 60", f"width = {60 - 2 * gap}")
    found = {
        piece: allowed(read("".join(["", tray, *text[1:]])))
        for piece, tray in (("tight", text[0]), ("roomy", smaller))
    }
    widths = {
        name: [
            np.ptp(sheet.facet(wall).polygon.exterior.xy[0])
            for sheet in change.sheets
            if sheet.piece == "tray"
            for wall in ("right", "foot-end-right", "left", "head-end-left")
        ]
        for name, change in found.items()
    }
    assert widths["roomy"] == pytest.approx(widths["tight"], abs=1e-6)


def test_a_tray_with_enough_room_is_cut_as_designed():
    text = LIDDED.format(inner=0.3, outer=0.3).partition("[pieces.cover]")
    smaller = text[0].replace("distance = 25", "distance = 23").replace("width = 60", "width = 56")
    change = allowed(read("".join([smaller, *text[1:]])))
    assert {c.piece: c.why for c in change.changes} == {"tray": "closed", "cover": "closed"}


@pytest.mark.parametrize("caliper", [0.3, 1.0])
def test_a_lining_goes_into_a_box(caliper):
    """Glued inside all walls: outside as wide as the box is inside, where no flap lies between."""
    band = ring(caliper)
    joins = tuple(
        replace(join, side=-1)
        if join.facet.startswith("band.") and "tab" not in join.facet
        else join
        for join in band.joins
        if join.facet != "band.tab"
    )
    found = spread.Spread(band.design, band.sheets, joins, link(band.sheets, joins))
    folds = files(pattern_of(lambda: found), "svg")["band"][0]
    walls = np.diff(upright(folds, 12.0))
    assert walls[1] + caliper == pytest.approx(WIDTH - caliper, abs=WITHIN_MM)
    assert walls[2:4].sum() + caliper == pytest.approx(2 * DISTANCE - caliper, abs=WITHIN_MM)
