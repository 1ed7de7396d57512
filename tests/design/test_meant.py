"""Words that mean what the program calls otherwise."""

from __future__ import annotations

import pytest

from meshes import spread
from meshes.design.meant import _OTHERS, meant
from meshes.design.mistakes import nearest
from meshes.design.model import PAPERS
from meshes.errors import DesignError
from meshes.outline import SHAPES
from meshes.pieces import KINDS
from meshes.pieces.piece import OnCrease, OnFacet
from preview.shot.mood import MOODS

KEYS = {*OnCrease.model_fields, *OnFacet.model_fields, "caliper", "grammage", "ridge"}


def test_every_word_that_is_offered_is_one_of_ours() -> None:
    assert set(_OTHERS) <= {*KEYS, *SHAPES, *KINDS, *PAPERS, *MOODS}
    assert set(_OTHERS) >= {*SHAPES, *KINDS, *PAPERS, *MOODS} - {"petal", "heart"}


@pytest.mark.parametrize(
    ("word", "known", "ours"),
    [
        ("circle", SHAPES, "ellipse"),
        ("round", SHAPES, "ellipse"),
        ("square", SHAPES, "rectangle"),
        ("Triangle", SHAPES, "polygon"),
        ("umbrella", SHAPES, "cap"),
        ("umbrella", KINDS, "blossom"),
        ("popup", KINDS, "v-fold"),
        ("card", KINDS, "v-fold"),
        ("V_fold", KINDS, "v-fold"),
        ("steps", KINDS, "stair"),
        ("cardboard", PAPERS, "card"),
        ("transparent", PAPERS, "clear-film"),
        ("evening", MOODS, "dusk"),
        ("sunset", MOODS, "late-sun"),
        ("tents", KINDS, "tent"),
        ("teapot", KINDS, ""),
        ("height", {"base", "ridge", "tab"}, "ridge"),
    ],
)
def test_a_word_leads_to_the_one_that_is_meant(word, known, ours) -> None:
    assert meant(word, known) == ours
    assert not ours or nearest(word, known) == ours


@pytest.mark.parametrize(
    ("keys", "advice"),
    [
        ('kind = "flat"\noutline = { shape = "circle", length = 9 }', "ellipse"),
        ('kind = "popup"', "v-fold"),
        ('kind = "wheel"\nradius = 20\npaper = "acetate"', "clear-film"),
        ('kind = "wheel"\nradius = 20\ncolour = "#112233"', "front"),
    ],
)
def test_the_file_is_answered_with_it(keys, advice, tmp_path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(f'[spread]\npage = "A5"\n[pieces.one]\non = "page.left"\n{keys}\n')
    with pytest.raises(DesignError) as caught:
        spread.read(file)
    assert any(one.advice == advice for one in caught.value.mistakes)


@pytest.mark.parametrize("key", ["apex_y", "length"])
def test_a_key_that_no_slip_leads_from_is_not_proposed(tmp_path, key):
    path = tmp_path / "one.toml"
    path.write_text(
        '[spread]\npage = "A5"\n[pieces.sail]\nkind = "v-fold"\non = "gutter"\nat = 70\n'
        f"page_angle = 55\npanel_angle = 80\nbase = 58\nridge = 62\n{key} = 3\n"
    )
    with pytest.raises(DesignError) as caught:
        spread.read(path)
    (mistake,) = caught.value.mistakes
    assert mistake.key == key
    assert not mistake.advice
    assert "page_angle" in mistake.allowed
