"""Sound pieces raise no alarm at any opening, however near to flat."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.check.facets import gather
from meshes.check.poses import poses_of
from meshes.check.sweep import FacetPairs, near_pairs, sweep, worst

from . import worked as w

NEAR_FLAT = np.array([0.05, 0.2, 0.5, 1, 2, 5, 30, 60, 90, 120, 150, 175, 178, 179, 179.5, 179.9])


def deepest(*pieces):
    made = w.spread(*pieces, openings_deg=NEAR_FLAT)
    facets = gather(made.linkage, made.sheets, made.joins)
    poses = poses_of(made.motion)
    first, second = (k for k in np.triu_indices(len(facets), 1))
    apart = facets.body[first] != facets.body[second]
    first, second = first[apart], second[apart]
    pairs = FacetPairs(facets, poses)
    return max(
        pairs.meet(first, second, np.full(len(first), at)).bound.max() for at in poses.openings
    )


@settings(max_examples=25, derandomize=True, deadline=None)
@given(
    page=st.floats(20, 80),
    panel=st.floats(25, 85),
    length=st.floats(20, 90),
    uneven=st.floats(0, 9),
)
def test_v_folds_never_touch_themselves_or_the_page(page, panel, length, uneven):
    # Closes flat where both sides add up the same; opens where the ridge can span the creases.
    angles = (page, panel + uneven, page + uneven, panel)
    if angles[0] + angles[2] > angles[1] + angles[3] - 1:
        return
    assert deepest(w.v_fold("v", angles, length, 100, base=30)) < 0.01


@settings(max_examples=25, derandomize=True, deadline=None)
@given(
    foot=st.floats(5, 50), panel=st.floats(6, 60), uneven=st.floats(0, 15), width=st.floats(5, 80)
)
def test_tents_never_touch_themselves_or_the_page(foot, panel, uneven, width):
    sides = (foot, panel + uneven + foot, foot + uneven, panel + foot)
    assert deepest(w.tent("t", *sides, 20, width)) < 0.01


@pytest.mark.parametrize("noise", [1e-9, 1e-7])
def test_noise_of_the_solver_raises_no_alarm(noise):
    made = w.spread(w.tent("t", 30, 40, 30, 40, 80, 40), w.v_fold("v", (45, 60, 45, 60), 60, 150))
    random = np.random.default_rng(4)
    motion = made.motion
    motion.translations[:, 2:] += noise * random.normal(size=motion.translations[:, 2:].shape)
    facets, poses = gather(made.linkage, made.sheets, made.joins), poses_of(motion)
    pairs = FacetPairs(facets, poses)
    assert [c for c in sweep(pairs, near_pairs(facets, poses)) if worst(pairs, c)[0] > 0.01] == []
