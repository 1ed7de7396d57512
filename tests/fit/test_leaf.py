"""A leaf is a page: it may fill the trimmed page, and adds its paper to the closed thickness."""

import pytest

from meshes import fit, spread

PAGES = "[spread]\nwidth = 148\nheight = 210\nmargin = 4\n"


def checked(folder, leaf):
    file = folder / "leaf.toml"
    file.write_text(f'{PAGES}[pieces.year]\nkind = "leaf"\n{leaf}')
    read = spread.read(file)
    return read, fit.check(fit.case_of(read))


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
