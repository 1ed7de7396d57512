"""``foldstage help`` tells every key; judge: the models themselves."""

from __future__ import annotations

import io

import pytest

from meshes.design import reference
from meshes.pieces import KINDS
from preview.cli import main
from preview.cli.terminal import Terminal


@pytest.fixture
def told(tmp_path):
    def run(*words, live=False):
        out, err = io.StringIO(), io.StringIO()
        code = main(["help", *words], Terminal(out, err, tmp_path, live=live))
        return code, out.getvalue(), err.getvalue()

    return run


def test_every_kind_and_shape_can_be_asked_about_and_tells_all_its_keys(told):
    code, listed, _ = told()
    assert code == 0
    topics = listed.split()
    assert set(KINDS) <= set(topics)
    assert {"spread", "papers", "values", "check", "shots", "petal", "traced"} <= set(topics)
    text = "".join(reference.topics()[word] for word in topics)
    for model in reference.models():
        missing = {name for name in model.model_fields if f"| `{name}` |" not in text}
        assert missing <= {"kind", "shape"}, model


def test_a_kind_comes_with_the_tables_that_only_it_has(told):
    code, text, err = told("blossom")
    assert (code, err) == (0, "")
    assert all(f"`{key}` of a blossom" in text for key in ("legs", "layers"))


def test_a_person_gets_it_laid_out(told):
    code, text, _ = told("stair", live=True)
    assert code == 0
    assert "####" not in text
    assert "how far the liner reaches" in text


@pytest.mark.parametrize(("word", "tip"), [("vfold", "did you mean v-fold?"), ("?", "lists")])
def test_an_unknown_word_is_met_with_what_was_meant(told, word, tip):
    code, out, err = told(word)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert tip in err
