"""Steps that press: glue on a side, the notebook or a piece is shut on it, and opened again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from meshes.building import Step

from .bench import FLAT, LOOSE, WORKING, CourseBench
from .figures import Bend, Form
from .making import refold
from .moves import CourseMove, CourseTrack
from .state import CourseState, PaperGroup

# How far a side with glue on it is swung off its place; less where other paper is near. Our choice.
_SWUNG = tuple(float(np.radians(deg)) for deg in (40.0, 25.0, 12.0, 5.0, 0.0))


def press(bench: CourseBench, step: Step) -> None:
    """A further side is glued: by shutting the notebook, or what it stands on."""
    groups = involved(bench, step)
    if all(group.in_notebook for group in groups):
        _in_notebook(bench, step, groups)
    else:
        _on_table(bench, step, groups)


def involved(bench: CourseBench, step: Step) -> list[PaperGroup]:
    """The groups that the glue of a step holds together, each once."""
    return bench.groups(facet for join in bench.lain(step) for facet in (join.facet, join.host))


def _in_notebook(bench: CourseBench, step: Step, groups: Sequence[PaperGroup]) -> None:
    lies = any(group.form.opening < np.pi for group in groups)
    opening = bench.state.opening if lies else WORKING
    if bench.state.opening != opening:
        bench.carry_out(bench.state.move("open", opening=opening, weight=0.5))
    bench.take(bench.best(_shut(bench, step, groups)))
    pages = bench.state.groups[0]
    after = involved(bench, step)
    bench.state = bench.state.joined([pages, *after], pages.form, pages.seat)
    bench.carry_out(bench.state.move("press", weight=0.4))
    bench.carry_out(bench.state.move("open", opening=WORKING, weight=1.2))


def _shut(
    bench: CourseBench, step: Step, groups: Sequence[PaperGroup]
) -> Iterator[Sequence[CourseMove]]:
    """Ways to swing the sides that get glue off their places and to shut the notebook on them."""
    for (swing,) in _swings(bench, step):
        state = bench.state.after(swing)
        tracks = _unbent(bench, state, groups, step)
        yield [swing, state.move("shut", tracks, 0.0, step.joins, step.joins, 1.2)]


def _on_table(bench: CourseBench, step: Step, groups: Sequence[PaperGroup]) -> None:
    """What stands on the table is shut as if it stood in a notebook, and opened again."""
    refold(bench, step.sheets)
    swung(bench, step)
    group = bench.state.group(step.sheets[0])
    own = _swing_folds(bench, step)
    down = CourseTrack(
        group.sheets, (group.form, group.form.without(own)), (group.seat, group.seat)
    )
    if not down.stays:
        bench.carry_out(bench.state.move("swing", [down], wet=step.joins, weight=0.4))
    for form, kind, weight in (
        (Form(FLAT, group.form.without(own).bends), "shut", 1.2),
        (Form(FLAT, group.form.without(own).bends), "press", 0.4),
        (Form(LOOSE, group.form.without(own).bends), "open", 1.0),
    ):
        now = bench.state.group(step.sheets[0])
        track = CourseTrack(now.sheets, (now.form, form), (now.seat, now.seat))
        wet = step.joins if kind == "shut" else ()
        bench.carry_out(
            bench.state.move(kind, [track], glue=step.joins, wet=wet, weight=weight)  # type: ignore[arg-type]
        )


def swung(bench: CourseBench, step: Step) -> None:
    """Swing the sides that get glue off their places, as far as nothing is in the way."""
    bench.take(bench.best(_swings(bench, step)))


def _swings(bench: CourseBench, step: Step) -> Iterator[Sequence[CourseMove]]:
    folds = _swing_folds(bench, step)
    for angle in _SWUNG if folds else (0.0,):
        tracks = []
        for group in involved(bench, step):
            mine = {k for k in folds if bench.figures.creases[k].sheet in group.sheets}
            if not mine:
                continue
            bends = tuple(Bend(k, 1.0, folds[k] * angle) for k in sorted(mine))
            form = Form(group.form.opening, (*group.form.without(mine).bends, *bends))
            tracks.append(CourseTrack(group.sheets, (group.form, form), (group.seat, group.seat)))
        yield [bench.state.move("swing", tracks, wet=step.joins, weight=0.6)]


def _swing_folds(bench: CourseBench, step: Step) -> dict[int, int]:
    """The folds on which sides hang that get glue, and the sense in which they leave their place.

    Paper that lies folded on a page shows its glue as it is.
    """
    found: dict[int, int] = {}
    for join in bench.lain(step):
        part = bench.figures.index[join.facet]
        group = bench.state.group(bench.owner(join.facet))
        leaves = bench.figures.leaves(bench.owner(join.facet))
        if part not in leaves or group.form.opening <= FLAT + 1e-9:
            continue
        fold = leaves[part]
        if _is_held(bench, part):
            continue
        pose = bench.pose(group)
        axis, start = bench.figures.line(fold, pose)
        corners = bench.figures.corners[part] @ pose.rotation[part][:, :2].T
        arm = corners.mean(axis=0) + pose.translation[part] - start
        host = bench.state.group(bench.owner(join.host))
        away = bench.normal(join, bench.pose(host))
        sign = 1 if np.cross(axis, arm) @ away > 0 else -1
        right = bench.figures.creases[fold].right == part
        found[fold] = sign if right else -sign
    return found


def _is_held(bench: CourseBench, part: int) -> bool:
    """Whether what is glued to a side holds it in its place."""
    mine = bench.figures.sheet[part]
    return any(
        part in bench.figures.joins[j]
        and bool(bench.figures.folds_of(int(bench.figures.sheet[other])))
        for j in bench.state.glued
        for other in bench.figures.joins[j]
        if bench.figures.sheet[other] != mine
    )


def _unbent(
    bench: CourseBench, state: CourseState, groups: Sequence[PaperGroup], step: Step
) -> list[CourseTrack]:
    """Swung sides go back to their places while the notebook shuts."""
    folds = _swing_folds(bench, step)
    tracks = []
    for sheets in dict.fromkeys(group.sheets for group in groups):
        group = next(g for g in state.groups if g.sheets == sheets)
        form = group.form.without(folds)
        if form != group.form:
            seats = (group.seat, group.seat)
            tracks.append(CourseTrack(sheets, (group.form, form), seats, None, (0.0, 0.75)))
    return tracks
