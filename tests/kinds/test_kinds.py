"""The sheets of kinds of piece: what they say is tried, nothing is missing, nothing overlaps."""

from __future__ import annotations

import io
import re
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
import shapely
import tomlkit
from defusedxml import ElementTree
from PIL import Image

from meshes import check, designs, spread
from meshes.design import reference
from meshes.errors import DesignError
from meshes.pieces import KINDS
from meshes.pieces.piece import OnCrease, OnFacet
from preview.cli import main
from preview.cli.arguments import is_shipped
from preview.cli.terminal import Terminal
from preview.draft.ground import PictureBox, area_of
from preview.kinds import files, flat
from preview.kinds.measures import keys, measures
from preview.kinds.sheet import HIGH_MM, WIDE_MM, sheet, words
from preview.kinds.specimen import specimen, told
from preview.pattern.drawing import Text

# Numbers of specimens that show on no flat sheet, which words explain: how far a hand moves
# something, what a film does, and how an arm stands on its own V-fold.
IN_WORDS = {
    "pivot": {"arm_turn", "arm_at.0", "arm_at.1"},
    "slide": {"travel"},
    "wheel": {"sweep", "rim", "overlay.y"},
}
# By day the kinds with angles, with the most numbers and with the most sheets; the others by night.
DAILY = ("v-fold", "slide")
each = [pytest.param(k, marks=() if k in DAILY else pytest.mark.night) for k in KINDS]
specimen = cache(specimen)


@pytest.mark.parametrize("kind", KINDS)
def test_a_specimen_passes_the_check(kind):
    report = check.report(specimen(kind).spread)
    assert [f.text for f in report.findings if f.severity != "note"] == []


def test_every_kind_has_a_specimen_and_words_and_none_is_a_shipped_design():
    assert sorted(f"kinds/{kind}" for kind in KINDS) == designs.specimens()
    assert set(told()) == set(KINDS)
    assert not set(designs.specimens()) & set(designs.names())
    with pytest.raises(KeyError):
        designs.path("kinds/none")


def test_commands_take_a_specimen_by_name_and_never_write_to_it(tmp_path):
    out = io.StringIO()
    code = main(["angles", "kinds/tent"], Terminal(out, io.StringIO(), tmp_path, live=False))
    assert code == 0
    assert "ridge" in out.getvalue()
    assert is_shipped(designs.path("kinds/tent"))
    assert not is_shipped(tmp_path / "tent.toml")


def numeric(kind):
    """Names of keys that hold numbers, as the reference prints them: by their limits."""
    topics = reference.topics()
    stands = "pieces-on-a-crease" if KINDS[kind].stands_on == "crease" else "pieces-on-a-facet"
    shared = topics[stands] if issubclass(KINDS[kind], OnCrease | OnFacet) else ""
    found, before = set(), ""
    for row in f"{shared}\n{topics[kind]}".splitlines():
        if row.startswith("#### "):
            inner = re.match(r"#### `(\w+)` of ", row)
            before = f"{inner[1]}: " if inner else ""
        cells = re.split(r"(?<!\\) \| ", row.strip("| "))
        if row.startswith("| `") and re.search(r"[\d.]+ to [\d.]+|number", cells[1]):
            found.add(before + cells[0].strip("`"))
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_with_a_number_is_told_on_the_sheet(kind):
    """Judge: the printed reference."""
    # What a layer of a flower shares with the flower is told once.
    wanted = {key for key in numeric(kind) if not key.startswith("layers: ")}
    marks = words(specimen(kind), set()).marks
    said = {mark.text for mark in marks if isinstance(mark, Text)}
    assert wanted
    assert wanted - said == set()
    assert all(key.means for key in keys(specimen(kind)))


@pytest.mark.parametrize("kind", KINDS)
def test_every_number_of_a_specimen_is_seen_on_its_flat_sheets(kind):
    unseen = {m.name for m in measures(specimen(kind)) if m.given and m.seen is None}
    assert unseen == IN_WORDS.get(kind, set())


BOX = PictureBox(12.0, 80.0, 186.0, 82.0)


@pytest.mark.parametrize("kind", DAILY)
def test_all_of_them_are_drawn_and_no_words_lie_on_others_or_on_lines(kind):
    judge(kind, flat.draw(specimen(kind), measures(specimen(kind)), BOX))


def judge(kind, view):
    """Boxes of texts against each other and against every line, measured afterwards."""
    seen = [m for m in measures(specimen(kind)) if m.seen is not None]
    assert view.lacking == ()
    assert sorted(view.shown) == sorted(m.name for m in seen)
    sheets = specimen(kind).spread.built[specimen(kind).piece].sheets
    names = {facet.name for one in sheets for facet in one.facets}
    assert {m.label for m in seen} | names <= {text.text for text in view.texts}
    apart(view.texts)
    lines = shapely.STRtree(view.lines)
    for text in view.texts:
        crossed = lines.query(area_of(text), predicate="intersects")
        assert len(crossed) == 0, text.text


def apart(texts):
    """No two texts are nearer than 0.3 mm."""
    areas = [area_of(text) for text in texts]
    tree = shapely.STRtree(areas)
    one, two = tree.query([area.buffer(0.3) for area in areas], predicate="intersects")
    close = [(texts[a].text, texts[b].text) for a, b in zip(one, two, strict=True) if a < b]
    assert close == []


def changed(one, change):
    """The report of a specimen with one value changed, or the mistakes of reading it."""
    path, _, value = change.partition(" = ")
    tables = tomllib.loads(one.text)
    *inner, last = (int(key) if key.isdigit() else key for key in path.split("."))
    node = tables["pieces"][one.piece]
    for key in inner:
        node = node[key] if isinstance(key, int) else node.setdefault(key, {})
    node[last] = tomllib.loads(f"v = {value}")["v"]
    file = designs.path(f"kinds/{one.kind}")
    try:
        report = check.report(spread.read(file, text=tomlkit.dumps(tables)))
    except DesignError as error:
        return str(error)
    return [f.kind for f in report.findings if f.severity != "note"]


WRONG = [(kind, k) for kind in KINDS for k in range(len(told()[kind]["wrong"]))]


@pytest.mark.parametrize(
    ("kind", "k"),
    [pytest.param(*row, marks=() if row[1] == 0 else pytest.mark.night) for row in WRONG],
)
def test_what_goes_wrong_is_what_the_program_says(kind, k):
    wrong = specimen(kind).wrong[k]
    found = changed(specimen(kind), wrong.change)
    assert wrong.finds in found


@pytest.mark.parametrize("kind", each)
def test_what_stands_well_on_it_passes_the_check(kind):
    one = specimen(kind)
    assert one.stands
    for stands in one.stands:
        text = f"{one.text}\n{stands.table}"
        report = check.report(spread.read(designs.path(f"kinds/{kind}"), text=text))
        assert [f.text for f in report.findings if f.severity != "note"] == [], stands.says


@pytest.mark.parametrize("kind", KINDS)
def test_a_snippet_makes_a_design(kind):
    text = f"[spread]\npage = 'A5'\n\n{designs.snippet(kind)}\n"
    read = spread.read(designs.path(f"kinds/{kind}"), text=text)
    assert specimen(kind).piece in read.design.pieces


def test_a_sheet_as_pdf_svg_and_pictures(tmp_path):
    made = sheet("mouth", quality="draft", pixels=(48, 32))
    texts = [mark for mark in made.marks if isinstance(mark, Text)]
    apart(texts)
    page = shapely.box(5.0, 5.0, WIDE_MM - 5.0, HIGH_MM - 5.0)
    assert all(page.covers(area_of(text)) for text in texts)
    for ending in (".pdf", ".svg", ".png", ".jpg", ".webp"):
        files.write(made, tmp_path / f"mouth{ending}")
    with pdfplumber.open(tmp_path / "mouth.pdf") as pdf:
        (page,) = pdf.pages
        assert (round(page.width), round(page.height)) == (595, 842)
        printed = page.extract_text()
    assert "Goes wrong" in printed
    assert "lower = 24" in printed
    root = ElementTree.parse(tmp_path / "mouth.svg").getroot()
    assert root.get("width") == "210mm"
    assert len(root.findall(".//{http://www.w3.org/2000/svg}image")) == 3
    for ending in ("png", "jpg", "webp"):
        with Image.open(tmp_path / f"mouth.{ending}") as image:
            assert image.size == (1240, 1754)
            # Both paper and ink are there.
            assert np.ptp(np.asarray(image.convert("L"), float)) > 200


@pytest.mark.night
@pytest.mark.parametrize("kind", KINDS)
def test_a_whole_sheet_lacks_nothing_and_no_words_lie_on_each_other(kind):
    made = sheet(kind, quality="draft", pixels=(24, 16))
    texts = [mark for mark in made.marks if isinstance(mark, Text)]
    apart(texts)
    page = shapely.box(5.0, 5.0, WIDE_MM - 5.0, HIGH_MM - 5.0)
    assert [text.text for text in texts if not page.covers(area_of(text))] == []
    judge(kind, made.flat)


@pytest.mark.parametrize(
    ("wanted", "tip"),
    [
        (("petal", "--sheet", "x.pdf"), "'petal' is no kind of piece; kinds: flat, v-fold"),
        (("tent", "--sheet", "x.doc"), "can't be saved as 'x.doc'; endings: .pdf"),
        (("--sheet", "x.pdf"), "try help v-fold --sheet v-fold.pdf"),
    ],
)
def test_a_sheet_that_cannot_be_drawn_is_refused_in_a_line(wanted, tip, tmp_path):
    out, err = io.StringIO(), io.StringIO()
    assert main(["help", *wanted], Terminal(out, err, tmp_path, live=False)) == 2
    assert out.getvalue() == ""
    assert err.getvalue().count("\n") == 1
    assert tip in err.getvalue()
    assert list(tmp_path.iterdir()) == []


def test_help_has_one_to_paste_and_says_how_to_get_the_sheet(tmp_path):
    out = io.StringIO()
    assert main(["help", "tent"], Terminal(out, io.StringIO(), tmp_path, live=False)) == 0
    assert "foldstage help tent --sheet tent.pdf" in out.getvalue()
    (pasted,) = re.findall(r"```toml\n(.*?)```", out.getvalue(), re.DOTALL)
    assert tomllib.loads(pasted)["pieces"]["tent"]["kind"] == "tent"
    out = io.StringIO()
    main(["help", "petal"], Terminal(out, io.StringIO(), Path(tmp_path), live=False))
    assert "--sheet" not in out.getvalue()
