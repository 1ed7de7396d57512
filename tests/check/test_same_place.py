"""Paper in the very same place as other paper, which crosses nothing: found, and nowhere else.

The judge looks at triangles that share paper of one plane, see `triangles`.
"""

from __future__ import annotations

import numpy as np
import pytest
import tomlkit

from meshes import check, spread
from meshes.check.same_place import same_place

from .gallery import art, design, rect, tent, v_fold
from .random_spreads import random_design
from .triangles import lie_in_each_other

STAGES = np.radians(np.arange(0.0, 181.0, 20.0))
BLOSSOM = '[pieces.NAME]\nkind = "blossom"\nat = 100\n'


def found(folder, text, stages=STAGES):
    file = folder / "design.toml"
    file.write_text(text)
    made = spread.read(file)
    case = check.case_of(made, made.solve(stages))
    return [one for each in (case, *case.turns) for one in same_place(each)]


@pytest.mark.parametrize("seed", range(8))
def test_a_copy_of_a_piece_lies_in_it_wherever_triangles_do(seed, tmp_path):
    document = tomlkit.parse(random_design(seed, most=3)).unwrap()
    names = list(document["pieces"])
    folded = [name for name in names if document["pieces"][name]["kind"] != "flat"]
    file = tmp_path / "design.toml"
    for copied in (None, folded[seed % len(folded)]):
        if copied is not None:
            document["pieces"]["copy"] = document["pieces"][copied]
        file.write_text(tomlkit.dumps(document))
        made = spread.read(file)
        motion = made.solve(STAGES)
        case = check.case_of(made, motion)
        inner = np.flatnonzero(motion.solved[1:-1]) + 1
        judged = lie_in_each_other(made, motion, inner) if len(inner) > 1 else set()
        pieces = {frozenset(name.partition(".")[0] for name in pair) for pair in judged}
        told = same_place(case)
        assert {frozenset(n.partition(".")[0] for n in one.parts) for one in told} == pieces
        assert all(tuple(sorted(one.parts)) in judged for one in told)
        assert copied is None or len(inner) < 2 or frozenset((copied, "copy")) in pieces


def test_two_equal_tents_share_both_panels(tmp_path):
    (one,) = found(tmp_path, design(tent("a", 30, 40, 30, 75), tent("b", 30, 40, 30, 75)))
    assert (one.severity, one.question, one.piece) == ("problem", "clash", "b")
    assert one.amount == pytest.approx(40 * 30)
    assert "with 1 more pair of facets" in one.text
    # Half of it stands beside the other.
    (one,) = found(tmp_path, design(tent("a", 30, 40, 30, 75), tent("b", 30, 40, 30, 90)))
    assert one.amount == pytest.approx(40 * 15)


def test_a_smaller_fold_in_the_planes_of_a_larger_one_is_found(tmp_path):
    large, small = v_fold("a", 45, 60, 70, 60, foot=50), v_fold("b", 45, 60, 40, 60, foot=30)
    assert [one.piece for one in found(tmp_path, design(large, small))] == ["b"]


def test_free_flowers_in_one_place_are_found(tmp_path):
    text = design(BLOSSOM.replace("NAME", "a"), BLOSSOM.replace("NAME", "b"))
    assert [one.kind for one in found(tmp_path, text)] == ["same place"]


@pytest.mark.parametrize("on", ["leaf.before", "leaf.behind"])
def test_pieces_that_stand_open_only_while_a_flyleaf_is_turned_are_found(tmp_path, on):
    extra = f'on = "{on}"'
    leaf = '[pieces.leaf]\nkind = "flyleaf"\n'
    copies = [tent(name, 30, 40, 30, 75, extra) for name in "ab"]
    assert {one.piece for one in found(tmp_path, design(leaf, *copies))} == {"b"}
    assert found(tmp_path, design(leaf, copies[0])) == []


@pytest.mark.parametrize(
    "text",
    [
        # Side by side; one before the other; glued on; on one page, one over the other.
        design(tent("a", 30, 40, 30, 60), tent("b", 30, 40, 30, 90)),
        design(tent("a", 30, 40, 30, 60), tent("b", 30, 40.1, 30, 60)),
        design(tent("a", 30, 40, 30, 60), art("b", "a.right", rect(2, -10, 38, 10))),
        design(
            art("a", "page.right", rect(30, 60, 60, 90)),
            art("b", "page.right", rect(30, 60, 60, 90)),
        ),
        # Two wheels on one spot are laid on each other, as a hand lays them.
        design(*(f'[pieces.{k}]\nkind = "wheel"\non = "page.left"\nradius = 20\n' for k in "ab")),
    ],
)
def test_what_has_an_order_is_left_out(text, tmp_path):
    assert found(tmp_path, text) == []
