"""Sheets whose folds form rings: folded from flat without a tear, as theorems have it."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import spread
from preview.course.figures import Bend, Figures, Form

# The cut sheet of a mouth has a corner of four folds on each lip.
MOUTH = '[pieces.m]\nkind = "mouth"\nreach = 60\nlength = 150\ncut = [30, 42]\nupper = 40\n'


@pytest.fixture(scope="module")
def ringed(tmp_path_factory):
    file = tmp_path_factory.mktemp("mouth") / "mouth.toml"
    file.write_text(MOUTH)
    figures = Figures.of(spread.read(file))
    sheet = next(k for k, s in enumerate(figures.sheets) if k and len(s.crossings) >= len(s.facets))
    return figures, sheet


def test_flat_is_flat_and_folded_is_as_solved(ringed):
    figures, sheet = ringed
    opening = np.radians(110.0)
    flat, folded = (
        figures.formed(_form(figures, sheet, opening, share), [sheet], ()) for share in (0.0, 1.0)
    )
    solved = figures.solved(opening)
    turns, _ = figures.in_sheets
    mine = figures.parts_of([sheet])
    ups = np.array([(flat.rotation[k] @ turns[k])[:, 2] for k in mine])
    assert np.allclose(ups, ups[0], atol=1e-9)
    assert np.allclose(folded.rotation[mine], solved.rotation[mine], atol=1e-9)


@pytest.mark.parametrize("share", [0.15, 0.5, 0.85])
def test_rings_stay_closed_and_facets_congruent(ringed, share):
    """Every fold has the same ends on both sides, the chords of the rings included."""
    figures, sheet = ringed
    opening = np.radians(110.0)
    pose = figures.formed(_form(figures, sheet, opening, share), [sheet], ())
    turns, shifts = figures.in_sheets
    for k in figures.folds_of(sheet):
        crease = figures.creases[k]
        flat = np.array([[*crease.fold.start, 0.0], [*crease.fold.end, 0.0]])
        one, two = (
            (flat @ turns[part].T + shifts[part]) @ pose.rotation[part].T + pose.translation[part]
            for part in (crease.left, crease.right)
        )
        assert np.abs(one - two).max() < 5e-3


def test_no_fold_changes_its_side_on_the_way(ringed):
    """Round a corner of four folds that is not flat all angles grow together, each on its side.

    Source: R. J. Lang, "Twists, Tilings, and Tessellations" (2018), chapter 3: the angle of one
    fold sets the others, and none is 0 unless all are.
    """
    figures, sheet = ringed
    opening = np.radians(110.0)
    unfolding = figures.unfolding(sheet, opening)
    folded = np.array([figures.angle(k, opening) for k in figures.folds_of(sheet)])
    assert not unfolding.bends
    angles = np.array([folded + unfolding.more(share) for share in (0.2, 0.5, 0.8, 1.0)])
    assert (angles * folded > 0).all()
    assert (np.diff(np.abs(angles), axis=0) > 0).all()


def _form(figures, sheet, opening, share):
    return Form(opening, tuple(Bend(k, share) for k in figures.folds_of(sheet)))
