"""A flyleaf is a page: it may fill the trimmed page, and adds its paper to the closed thickness."""

import pytest

from meshes import check, spread

PAGES = "[spread]\nwidth = 148\nheight = 210\nmargin = 4\n"


def checked(folder, leaf):
    file = folder / "leaf.toml"
    file.write_text(f'{PAGES}[pieces.year]\nkind = "flyleaf"\n{leaf}')
    read = spread.read(file)
    return read, check.report(check.case_of(read))


@pytest.mark.parametrize(("width", "past"), [(148, None), (150, 2.0), (153.5, 5.5)])
def test_leaf_is_held_against_the_trimmed_edge_without_the_margin(tmp_path, width, past):
    """The margin of 4 mm counts for pieces only: 150 - 148 = 2."""
    _, report = checked(tmp_path, f"width = {width}\n")
    found = [f for f in report.findings if f.kind == "sticks out"]
    assert [f.amount for f in found] == ([] if past is None else [pytest.approx(past, abs=0.001)])


def test_closed_thickness_counts_the_leaf(tmp_path):
    """Two pages and the leaf between them: three layers over the whole page."""
    read, report = checked(tmp_path, "")
    answer = next(a for a in report.answers if a.question == "thickness")
    pages = 2 * read.sheets[0].paper.caliper
    leaf = next(s for s in read.sheets if s.piece == "year").paper.caliper
    assert leaf > 0
    assert answer.measures["peak_mm"] == pytest.approx(pages + leaf, abs=1e-6)


# On the back of the leaf: it stands up only when the leaf is turned.
BEHIND = """
[pieces.v]
kind = "v-fold"
on = "year.behind"
at = 100
page_angle = 60
panel_angle = 62
base = 30
ridge = 50
"""
TENT = """
[pieces.t]
kind = "tent"
on = "{host}"
at = {at}
distance = 30
panel = 36
width = 30
"""


def clashes(report):
    return [f for f in report.findings if f.kind == "clashes"]


def test_pieces_that_collide_while_a_leaf_is_turned_are_found(tmp_path):
    """The same two pieces on the gutter collide as far: a turned leaf opens like a spread."""
    _, report = checked(tmp_path, BEHIND + TENT.format(host="year.behind", at=125))
    (found,) = clashes(report)
    gutter = (BEHIND + TENT.format(host="year.behind", at=125)).replace("year.behind", "gutter")
    file = tmp_path / "gutter.toml"
    file.write_text(PAGES + gutter)
    (same,) = clashes(check.report(spread.read(file)))
    # A leaf lies 1 degree off the pages, and is turned where the other spread is opened.
    assert found.amount == pytest.approx(same.amount, abs=0.05)
    assert set(found.parts) == set(same.parts)
    leaf, turned_deg = found.place.turned
    assert leaf == "year"
    assert turned_deg == pytest.approx(180 - same.worst_deg, abs=1.5)
    assert (found.from_deg, found.worst_deg, found.to_deg) == (180, 180, 180)
    assert "with year turned from" in found.text


def test_pieces_far_apart_on_the_back_of_a_leaf_do_not_collide(tmp_path):
    _, report = checked(tmp_path, BEHIND + TENT.format(host="year.behind", at=180))
    assert not clashes(report)


def test_a_piece_that_jams_when_a_leaf_is_turned_is_found(tmp_path):
    """Feet 30 and 20 and panels 50 and 40 off: 30 + 50 is not 20 + 40, so it can't fold flat."""
    tent = TENT.format(host="year.behind", at=100)
    uneven = tent.replace("distance = 30", "distance = [30, 20]").replace("36", "[50, 40]")
    _, report = checked(tmp_path, uneven)
    assert any(f.kind == "jams" and f.fails for f in report.findings)


def test_what_stands_behind_a_leaf_is_seen_when_it_is_turned(tmp_path):
    _, report = checked(tmp_path, BEHIND)
    assert not [f for f in report.findings if f.kind == "hidden" and f.piece == "v"]
    shares = report.answer("looks").measures
    assert shares["hidden_percent_turned"]["year"]["v"] < 50
    assert min(opening["v"] for opening in shares["hidden_percent"].values()) > 80


def test_findings_of_a_turned_leaf_keep_to_the_schema(tmp_path):
    import jsonschema

    from preview.schemas import marked, schema

    _, report = checked(tmp_path, BEHIND + TENT.format(host="year.behind", at=125))
    data = marked("check", check.as_json(report))
    jsonschema.validate(data, schema("check"))
    assert data["findings"][0]["place"]["turned"]["flyleaf"] == "year"
