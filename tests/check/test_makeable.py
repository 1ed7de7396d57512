"""What the check says of cutting and gluing, beside the worked cases of the gallery."""

from __future__ import annotations

import pytest

from meshes import check, spread

from .gallery import art, design, rect, tent


@pytest.mark.parametrize(("reach", "over"), [(43.0, [3.0]), (39.0, [])])
def test_art_that_reaches_past_the_foot_of_its_panel_meets_the_page(tmp_path, reach, over):
    """The foot is a mountain, so that the art does not run into the tab; the page under that tab
    goes on under the panel too.
    """  # fmt: skip
    leaf = art("a", "t.right", rect(5, -10, reach, 10))
    (tmp_path / "past.toml").write_text(design(tent("t", 30, 40, 80, 100), leaf))
    report = check.report(check.case_of(spread.read(tmp_path / "past.toml")))
    found = [one for one in report.findings if one.kind == "over a fold"]
    assert [one.amount for one in found] == pytest.approx(over, abs=0.01)
    assert all("t.right-base" in one.parts for one in found)


def test_art_beside_a_cut_in_its_own_liner_reaches_over_no_fold(tmp_path):
    """The lips of a mouth fold inside the liner, which goes on beyond the ends of their folds."""
    text = (
        '[pieces.bird]\nkind = "mouth"\non = "gutter"\nat = 100\nreach = 40\nlength = 70\n'
        "cut = 26\nupper = 20\nlower = 16\n"
        '[pieces.eye]\nkind = "flat"\non = "bird.left"\nx = -20\ny = 17\n'
        'outline = { shape = "ellipse", length = 8, width = 8 }\n'
    )
    (tmp_path / "bird.toml").write_text(text)
    report = check.report(check.case_of(spread.read(tmp_path / "bird.toml")))
    assert [f.text for f in report.findings if f.kind == "over a fold"] == []
