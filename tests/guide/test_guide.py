"""The guide: words in plain order, letters as on the pattern, pictures of what is there, files."""

from __future__ import annotations

import base64
import io
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import numpy as np
import pikepdf
import pytest

from meshes import designs, spread
from meshes.building import order
from preview.guide import html, pdf
from preview.guide.flat import GLUE, beside
from preview.guide.letters import LetterSpot, lettered
from preview.guide.moves import moved_apart, turned_over
from preview.guide.pictures import pictures
from preview.guide.plan import compose, minutes
from preview.guide.scenes import step_scene
from preview.guide.studio import LOOSE_DEG, OPEN_DEG, GuideStudio, Shown, StepTask
from preview.guide.words import _several, words
from preview.pattern.layout import Options, lay_out
from preview.pattern.stock import stock
from preview.pattern.template import templates
from preview.roles import listed, plain, role
from tests.designs import by_day

DESIGN = """
title = "Arch & bud"
[spread]
page = "A5"
[papers.leaf]
grammage = 160
front = "#6fa36a"
[pieces.arch]
kind = "tent"
on = "gutter"
at = 60
distance = 30
panel = 42
width = 36
paper = "leaf"
[pieces.bud]
kind = "v-fold"
on = "arch.ridge"
at = 18
page_angle = 50
panel_angle = 60
base = 12
outline = { shape = "leaf", length = 30, width = 20 }
[pieces.moss-patch]
kind = "flat"
on = "page.right"
x = 90
y = 150
outline = { shape = "ellipse", length = 30, width = 50 }
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    file = tmp_path_factory.mktemp("guide") / "garden.toml"
    file.write_text(DESIGN)
    found = spread.read(file)
    steps = order(
        found.sheets, found.joins, found.linkage, found.solve(np.radians([0, 60, 120, 180.0]))
    )
    return found, steps


@pytest.fixture(scope="module")
def studio(made):
    found, _ = made
    return GuideStudio.of(found, (64, 48))


@pytest.fixture(scope="module")
def guide(made):
    found, steps = made
    pattern = lay_out(found.design.title, templates(found.sheets, found.joins), Options())
    grey = np.full((48, 64, 3), 128, np.uint8)
    return compose(found, pattern, steps, grey, [grey + k for k in range(len(steps))])


def test_titles_read_as_instructions(guide):
    assert [step.words.title for step in guide.steps] == [
        "Make the bud",
        "Make the arch",
        "Glue the bud to the arch",
        "Fold the arch shut on the bud",
        "Glue the arch to the left page",
        "Close the notebook on the arch",
        "Glue the moss patch to the right page",
    ]


def test_letters_and_numbers_are_those_of_the_pattern(made, guide):
    found, steps = made
    letters = {
        a.letter: a.facet
        for t in templates(found.sheets, found.joins)
        for a in t.glue
        if not a.lands
    }
    for step, told in zip(steps, guide.steps, strict=True):
        for join in step.joins:
            name = next(k for k, facet in letters.items() if facet == found.joins[join].facet)
            assert re.search(rf"\b{name}\b", " ".join(told.words.sentences))
    numbers = {t.sheet.piece: t.number for t in templates(found.sheets, found.joins)}
    (bud,) = [s for s in guide.steps if s.words.title == "Make the bud"]
    assert f"number {numbers['bud']} from card" in bud.words.sentences[0]


def test_glue_goes_on_the_face_that_touches(guide):
    told = {step.words.title: " ".join(step.words.sentences) for step in guide.steps}
    assert "on the printed side of the left tab" in told["Glue the arch to the left page"]
    assert (
        "Put glue on the back and lay it on its letter, C"
        in told["Glue the moss patch to the right page"]
    )


def test_a_side_that_is_pressed_later_is_left_loose(guide):
    loose = [s.words.title for s in guide.steps if "loose" in " ".join(s.words.sentences)]
    assert loose == ["Glue the bud to the arch", "Glue the arch to the left page"]


def test_pictures_show_exactly_the_paper_that_is_there(made, studio):
    found, steps = made
    standing = frozenset([0])
    for step in steps:
        scene, _, _ = step_scene(studio, step, standing)
        names = {s.name for s in scene.surfaces if not s.name.startswith("book.")}
        there = step.present | (standing if step.on_page else frozenset())
        wanted = {
            f"{found.sheets[k].piece}.{f.name}" for k in there for f in found.sheets[k].facets
        }
        assert names == wanted
        if step.on_page:
            standing |= step.present
    assert standing == frozenset(range(len(found.sheets)))


def test_a_first_side_lies_folded_flat_on_its_page(made, studio):
    _, steps = made
    (step,) = [s for s in steps if s.action == "glue" and s.piece == "arch"]
    scene, _, _ = step_scene(studio, step, frozenset([0]))
    new = np.concatenate([s.corners for s in scene.surfaces if s.name.startswith("arch.")])
    page = next(s for s in studio.scene(OPEN_DEG).surfaces if s.name == "page.left")
    heights = (new - page.translation) @ page.normal
    assert heights.min() > -0.2
    assert heights.max() < 8.0
    assert new[:, 0].max() < 0


def test_loose_paper_stands_on_the_table(made, studio):
    _, steps = made
    for step in steps:
        if not step.on_page:
            scene, _, _ = step_scene(studio, step, frozenset([0]))
            assert scene.points[:, 2].min() == pytest.approx(scene.table, abs=0.5)


def test_pictures_are_drawn_cover_first(made, studio):
    _, steps = made
    drawn = list(pictures(studio, steps[:2], jobs=1))
    # The cover is as wide as two steps.
    assert [picture.shape for picture in drawn] == [(96, 128, 3), *[(48, 64, 3)] * 2]
    assert len({picture.tobytes() for picture in drawn}) == 3


def test_letters_are_drawn_where_the_glue_is():
    from preview.shot.camera import frame

    corners = np.array([[x, y, 0.0] for x in (-50, 50) for y in (-50, 50)])
    camera = frame(corners, -np.pi / 2, np.radians(80), 4 / 3)
    blank = np.full((240, 320, 3), 255, np.uint8)
    spot = np.array([20.0, 0, 0])
    picture = lettered(Shown(blank, camera), [LetterSpot(text, spot, corners) for text in "AB"])
    dark = np.argwhere(picture[..., 0] < 60)
    ((x, y),) = camera.project(np.array([[20.0, 0, 0]]), (320, 240))
    assert abs(dark[:, 0].mean() - y) < 3
    assert dark[:, 1].min() < x < dark[:, 1].max()
    # Two letters on one spot stand side by side.
    assert np.ptp(dark[:, 1]) > 1.8 * np.ptp(dark[:, 0])
    assert (blank == 255).all()


def test_time_grows_with_the_work(made):
    found, steps = made
    pattern = lay_out("x", templates(found.sheets, found.joins), Options())
    assert minutes(pattern, steps) % 10 == 0
    assert minutes(pattern, steps * 4) > minutes(pattern, steps)


def test_the_pdf_is_whole_embeds_its_fonts_and_never_changes(guide):
    data = pdf.write_guide(guide, stock("A4"))
    assert pdf.write_guide(guide, stock("A4")) == data
    with pikepdf.open(io.BytesIO(data)) as document:
        assert document.check_pdf_syntax() == []
        assert len(document.pages) == 1 + 2
        for page in document.pages:
            for font in page.resources.get("/Font", {}).values():
                assert "/FontFile2" in font.DescendantFonts[0].FontDescriptor


def test_the_pdf_tells_every_step(guide):
    import pdfplumber

    with pdfplumber.open(io.BytesIO(pdf.write_guide(guide, stock("Letter")))) as document:
        text = " ".join(page.extract_text() for page in document.pages)
        pictures = sum(len(page.images) for page in document.pages)
    for step in guide.steps:
        assert step.words.title in text
    assert pictures == len(guide.steps) + 1
    assert "away from your fingers" in text
    assert "leaf: 160 g/m², 1 sheet of A4" in text


def test_headings_stay_in_their_column(guide):
    """Measured by another library: no letter lies in the margin or between the columns."""
    import pdfplumber

    # Short words fill every line to its end.
    title = "Glue it to a to b or as we do " * 3
    steps = tuple(replace(step, words=replace(step.words, title=title)) for step in guide.steps)
    data = pdf.write_guide(replace(guide, steps=steps), stock("A4"))
    point, seen = 25.4 / 72, 0
    with pdfplumber.open(io.BytesIO(data)) as document:
        for page in document.pages[1:]:
            for letter in page.chars:
                if letter["text"].strip() and letter["top"] * point < 297 - 17:
                    seen += 1
                    left, right = letter["x0"] * point, letter["x1"] * point
                    # Two columns of 82.5 mm, 11 mm between them, inside margins of 17 mm.
                    assert any(
                        a - 0.3 < left < right < a + 82.5 + 0.3 for a in (17.0, 17.0 + 93.5)
                    ), (letter["text"], left, right)
    assert seen > 40 * len(steps)


class Page(HTMLParser):
    def __init__(self):
        super().__init__()
        self.pictures, self.links, self.open = [], [], []

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        if tag == "img":
            self.pictures.append(found)
        if tag in ("link", "script", "iframe"):
            self.links.append(tag)
        if tag not in ("img", "meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_the_html_needs_nothing_else_and_describes_its_pictures(guide):
    text = html.write_guide(guide)
    page = Page()
    page.feed(text)
    assert page.open == []
    assert page.links == []
    assert "http" not in text
    assert "<h1>Arch &amp; bud</h1>" in text
    assert len(page.pictures) == len(guide.steps) + 1
    for picture in page.pictures:
        assert picture["alt"]
        data = base64.b64decode(picture["src"].partition("base64,")[2])
        assert data[:3] == b"\xff\xd8\xff"


def test_lists_and_names_read_naturally():
    assert listed([]) == ""
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert plain("left-tab_1") == "left tab 1"


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        (["moss"], "moss"),
        (["moss", "fern"], "moss and fern"),
        (["dot-1", "dot-2", "dot-3"], "3 dots"),
        (["poppy-1", "poppy-2", "poppy-3"], "3 poppies"),
        (["box-1", "box-2", "box-3"], "3 boxes"),
        (["buoy-1", "buoy-2", "buoy-3"], "3 buoys"),
        (["oak-leaf-left-1", "oak-leaf-left-2", "oak-leaf-left-3"], "3 left oak leaves"),
        (["sheep-1", "sheep-2", "sheep-3"], "3 sheep"),
        (["stripe-left-1", "stripe-left-2", "stripe-left-3"], "3 left stripes"),
        (["heart-1", "heart-1-mirrored", "heart-2"], "3 hearts"),
        (["a-1", "b-1", "c-1", "d-1", "e-1"], "5 flat pieces"),
    ],
)
def test_several_pieces_are_told_as_a_person_would(pieces, said):
    assert _several(pieces) == said


def test_words_of_a_ring_and_of_a_slit(made):
    from meshes.building import Step

    found, _ = made
    bud = next(k for k, sheet in enumerate(found.sheets) if sheet.piece == "bud")
    close = words(
        Step("close", "bud", (bud,), (0,), "", frozenset([bud]), False),
        found.sheets,
        found.joins,
        {},
    )
    assert close.title == "Close the bud"
    thread = words(
        Step("thread", "bud", (bud,), (), "arch", frozenset([bud]), False),
        found.sheets,
        found.joins,
        {},
    )
    assert thread.title == "Pass the bud through the arch"
    assert "before its end is glued" in thread.sentences[0]


def test_what_is_glued_is_held_off_its_coloured_place(made, studio):
    found, steps = made
    (step,) = [s for s in steps if s.action == "glue" and s.piece == "bud"]
    bud = frozenset(k for k, sheet in enumerate(found.sheets) if sheet.piece == "bud")
    scene, _, _ = step_scene(studio, step, frozenset([0]))
    apart, ways = moved_apart(studio, scene, StepTask(step, frozenset([0]), bud))
    places = {s.name for s in apart.surfaces} - {s.name for s in scene.surfaces}
    assert places == {f"{found.joins[j].host}.place" for j in step.joins}
    before, after = (
        np.concatenate([s.corners for s in one.surfaces if s.name.startswith("bud.")])
        for one in (scene, apart)
    )
    gaps = np.linalg.norm(after - before, axis=1)
    assert gaps.min() > 20
    (way,) = ways
    # The arrow goes from the part to its place, against the way it was lifted.
    assert (way[-1] - way[0]) @ (after - before)[0] < 0


def test_paper_is_turned_over_where_its_underside_gets_the_glue(studio):
    scene = studio.scene(LOOSE_DEG)
    down, turn, _ = turned_over(scene, np.array([0.0, 0.0, -1.0]))
    assert np.linalg.det(turn) == pytest.approx(1.0)
    assert min(s.corners[:, 2].min() for s in down.surfaces) == pytest.approx(0.3)
    up, kept, _ = turned_over(scene, np.array([0.0, 0.0, 1.0]))
    assert (kept == np.eye(3)).all()
    for one, two in zip(up.surfaces, down.surfaces, strict=True):
        assert two.normal[2] == pytest.approx(-one.normal[2])


def test_parts_lie_flat_beside_the_picture_with_their_glue(made, studio):
    found, steps = made
    (step,) = [s for s in steps if s.action == "glue" and s.piece == "arch"]
    drawn = beside(found.sheets, studio.areas, step, (140, 300)).astype(int)
    glue = np.abs(drawn - GLUE).max(axis=2) < 12
    (join,) = step.joins
    facet = next(
        f
        for sheet in found.sheets
        for f in sheet.facets
        if f"{sheet.piece}.{f.name}" == found.joins[join].facet
    )
    sheet = found.sheets[step.sheets[0]]
    paper = np.abs(drawn - [111, 163, 106]).max(axis=2) < 12
    share = facet.polygon.area / sheet.outline.area
    assert glue.sum() / (glue | paper).sum() == pytest.approx(share, abs=0.06)


@pytest.mark.parametrize(
    "name", by_day(["campfire-night", "fox-in-the-grass"], ["fox-in-the-grass"])
)
def test_no_step_looks_like_the_one_before(name):
    """Seen by a person at a glance: a letter alone changes less than 1.2 % of a picture."""
    found = spread.read(designs.path(name))
    openings = np.radians([0.0, 45.0, 90.0, 135.0, 180.0])
    steps = order(found.sheets, found.joins, found.linkage, found.solve(openings))[:20]
    studio = GuideStudio.of(found, (240, 180), quality="draft")
    drawn = [picture.astype(int) for picture in pictures(studio, steps, jobs=1)][1:]
    for one, two in pairwise(drawn):
        assert (np.abs(one - two).max(axis=2) > 24).mean() > 0.012


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("outer-leg-left-lower-tab", "lower tab of the left leg of the outer layer"),
        ("leg-right", "right leg"),
        ("leg-right-upper", "upper fold of the right leg"),
        ("leg-left-upper-tab-right", "right half of the upper tab of the left leg"),
        ("base-petal-3", "petal 3 of the base layer"),
        ("tread-2-left-base", "left base of tread 2"),
        ("foot-end-left", "left half of the end wall towards the foot"),
        ("head-end-right-edge", "right edge of the end wall towards the head"),
        ("foot-end", "fold of the end wall towards the foot"),
        ("platform-tab", "tab of the platform"),
        ("upper-left-base", "left base of the upper lip"),
        ("left-tab", "left tab"),
        ("logs-right", "right half of the logs"),
        ("leg-right-left", "left half of the right leg"),
        ("strut-2-right", "strut 2 on the right"),
        ("tread-1-left", "left half of tread 1"),
    ],
)
def test_parts_are_told_by_their_roles(name, said):
    assert role(name) == said


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("tower-left-2", "left tower 2"),
        ("fields-mirrored", "mirrored fields"),
        ("heart-2-mirrored", "mirrored heart 2"),
        ("foam-2-left", "left foam 2"),
        ("kite-right-stripe", "right kite stripe"),
        ("child-1-left-hand", "child 1 left hand"),
        ("left-over", "left over"),
        ("moon", "moon"),
    ],
)
def test_a_piece_is_called_as_one_says_it(name, said):
    assert plain(name) == said


def test_parts_of_a_large_piece_are_glued_first(made):
    found, steps = made
    small = Options(stock=stock("95x75"), furnished=False, pages=False, split=True)
    pattern = lay_out("x", templates(found.sheets, found.joins), small)
    grey = np.full((48, 64, 3), 128, np.uint8)
    told = compose(found, pattern, steps, grey, [grey] * len(steps))
    arch = next(step.words for step in told.steps if step.words.title == "Make the arch")
    assert arch.sentences[1].startswith("Number 1 comes in 2 parts: glue them together first")
    letters = {a.letter for t in templates(found.sheets, found.joins) for a in t.glue}
    (said,) = re.findall(r"(\w+) on \1\.", arch.sentences[1])
    assert said not in letters
