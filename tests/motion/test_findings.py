"""A snap, a jam and a second pose past a jam are told apart, with piece, opening and degrees."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import box

from meshes import designs, spread
from meshes.linkage import Linkage
from meshes.motion.solve import solve
from meshes.sheet import Fold
from tests.specimens import Pile

HEIGHT, TAB = 30.0, 8.0
STAGES = np.radians(np.arange(0, 181, 10.0))


def arch(
    widths: Sequence[float],
    signs: Sequence[int],
    rests_deg: Sequence[float],
    stiffness: Sequence[float],
    feet: tuple[float, float],
) -> Linkage:
    """A strip from page to page with parallel folds and feet at distances from the gutter."""
    pile = Pile()
    edges = np.concatenate([[0.0], np.cumsum([TAB, *widths, TAB])])
    folds = [
        Fold(f"f{k}", (x, 0.0), (x, HEIGHT), sign, float(np.radians(rest)), stiff)
        for k, (x, sign, rest, stiff) in enumerate(
            zip(edges[1:-1].tolist(), signs, rests_deg, stiffness, strict=True)
        )
    ]
    facets = ["left", *(f"wall-{k}" for k in range(len(widths))), "right"]
    middles = (edges[1:] + edges[:-1]) / 2
    labels = {name: (x, HEIGHT / 2) for name, x in zip(facets, middles.tolist(), strict=True)}
    pile.add("arch", box(0, 0, edges[-1], HEIGHT), folds, labels)
    left, right = feet
    last = float(edges[-2])
    on_left = [(-left, 50.0), (-left, 50.0 + HEIGHT)]
    on_right = [(right, 50.0), (right, 50.0 + HEIGHT)]
    pile.glue("arch.left", pile.gutter.left, [(TAB, 0), (TAB, HEIGHT)], on_left)
    pile.glue("arch.right", pile.gutter.right, [(last, 0), (last, HEIGHT)], on_right)
    return pile.linkage


def snapping() -> Linkage:
    """A tube, flat when shut (40 + 20 = 20 + 40), of uneven folds: it leans over, then back."""
    rests, stiffness = (45, 90, 45, 150, 45), (4, 0.2, 0.2, 1, 1)
    return arch((40, 20, 20, 40), (-1, 1, 1, 1, -1), rests, stiffness, (20, 20))


def branching() -> Linkage:
    """An arch with a dent that can be pressed into a second shape past its jam."""
    rests, stiffness = (150, 150, 120, 45, 150), (0.2, 1, 0.2, 0.2, 4)
    return arch((25, 30, 30, 20), (-1, 1, -1, 1, -1), rests, stiffness, (30, 10))


def jamming() -> Linkage:
    """Shut, its feet are 5 apart and its walls reach 30 + 35 - 40 = 25: too far by 20."""
    return arch((30, 35, 40), (-1, 1, 1, -1), (45, 150, 90, 90), (4, 1, 4, 4), (15, 20))


def test_a_snap_is_named_with_its_fold_opening_and_degrees() -> None:
    linkage = snapping()
    motion = solve(linkage, STAGES)
    assert motion.solved.all()
    (finding,) = motion.findings
    assert finding.kind == "snap"
    fold = [hinge.name for hinge in linkage.hinges].index(finding.fold)
    opening = np.degrees(finding.opening)
    beside = np.radians([opening - 0.02, opening + 0.02])
    jump = np.degrees(np.abs(np.diff(solve(linkage, beside).angles[:, fold])))[0]
    # Nothing that folds smoothly turns so far in four hundredths of a degree.
    assert jump > 20
    assert finding.reason == f"{finding.fold} snaps by {jump:.1f}° at {opening:.2f}°"


def test_an_even_tube_does_not_snap() -> None:
    even = arch((40, 20, 20, 40), (-1, 1, 1, 1, -1), (90,) * 5, (1,) * 5, (20, 20))
    motion = solve(even, STAGES)
    assert motion.solved.all()
    assert not motion.findings


def test_a_second_pose_past_a_jam_is_told_beside_the_jam() -> None:
    linkage = branching()
    motion = solve(linkage, STAGES)
    other, jam = sorted(motion.findings, key=lambda finding: finding.kind, reverse=True)
    assert (other.kind, jam.kind) == ("two-branches", "jam")
    assert other.opening < jam.opening
    assert not motion.solved[other.opening > STAGES].any()
    assert other.fold.startswith("arch.")
    assert f"{np.degrees(other.opening):.1f}°" in other.reason
    assert f"{np.degrees(jam.opening):.2f}°" in jam.reason
    assert "mm would be missing" in jam.reason


def test_the_second_pose_is_one_that_plane_geometry_allows() -> None:
    """With bars of 20 and 30 shut on the right page, their end 10 + 20 - 30 = 0 lies in the gutter.

    The bars of 25 and 30 then make a triangle with the 30 of the left page, whatever the opening,
    as long as the triangle's angle at the gutter (law of cosines) fits between the pages.
    """
    other, jam = sorted(solve(branching(), STAGES).findings, key=lambda f: f.opening)
    assert other.kind == "two-branches"
    assert np.arccos((30**2 + 30**2 - 25**2) / (2 * 30 * 30)) < other.opening < jam.opening


def test_a_jam_alone_is_no_branch_and_no_snap() -> None:
    motion = solve(jamming(), STAGES)
    (finding,) = motion.findings
    assert finding.kind == "jam"
    assert finding.fold.startswith("arch.")
    assert finding.gap == pytest.approx(20, abs=0.1)
    np.testing.assert_array_equal(motion.solved, finding.opening <= STAGES)


@pytest.mark.night
def test_stages_of_a_shipped_design_do_not_depend_on_which_others_are_asked_for() -> None:
    glade = spread.read(Path(designs.__file__).parent / "toadstool-glade.toml")
    every, few = glade.solve(np.radians(np.arange(181.0))), glade.solve(STAGES)
    assert every.solved.all()
    assert few.solved.all()
    assert not every.findings
    assert not few.findings
    np.testing.assert_allclose(every.angles[::10], few.angles, rtol=0, atol=1e-9)
    assert every.gaps.max() < 1e-9
