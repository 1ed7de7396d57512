"""Steps that lay flat pieces on their places."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from meshes.building import Step
from meshes.sheet import Join

from .bench import OTHERS, WIDE, WORKING, CourseBench, to_top
from .landing import from_beside, glued_pose, size_of, still_seat
from .making import brought, refolded
from .moves import CourseMove, CourseTrack, OnTable, Seat, Way, windows
from .ways import heights, reach


def stick(bench: CourseBench, step: Step) -> None:
    """Flat pieces are laid on their places, one after the other."""
    _opened_flat(bench, step)
    rests = brought(bench, step.sheets, 0.5)
    joins = {bench.owner(join.facet): join for join in bench.lain(step)}
    hosts = [bench.state.group(bench.owner(joins[k].host)) for k in step.sheets]
    in_notebook = any(group.in_notebook for group in hosts)
    openings = [bench.state.opening, WIDE, WORKING, *OTHERS] if in_notebook else [WIDE]
    tries = _stuck(bench, step, joins, rests, list(dict.fromkeys(openings)))
    bench.take(bench.best(tries))
    for sheet in step.sheets:
        bench.spots.leave(frozenset([sheet]))
        host = bench.state.group(bench.owner(joins[sheet].host))
        mine = bench.state.group(sheet)
        bench.state = bench.state.joined([host, mine], host.form, still_seat(bench, host, mine))


def _opened_flat(bench: CourseBench, step: Step) -> None:
    """What lies on the table is opened flat, its places up, so that one can press on it."""
    for group in bench.groups(join.host for join in bench.lain(step)):
        folded = [k for k in sorted(group.sheets) if bench.figures.folds_of(k)]
        closed = any(
            bench.figures.sheet[a] == bench.figures.sheet[b]
            for a, b in (bench.figures.joins[j] for j in bench.state.glued)
            if bench.figures.sheet[a] in group.sheets
        )
        if group.in_notebook or len(folded) > 1 or closed:
            continue
        form = bench.unfolded(folded[0], group.form.opening) if folded else group.form
        pose = bench.figures.formed(form, group.sheets, bench.state.glued)
        looks = [bench.normal(join, pose) for join in bench.lain(step)]
        turn = to_top(np.mean(looks, axis=0) / max(np.linalg.norm(np.mean(looks, axis=0)), 1e-9))
        seat = bench.rest(group, turn)
        assert isinstance(group.seat, OnTable)
        if folded and (form != group.form or not np.allclose(turn, group.seat.turn)):
            bench.take(bench.best(refolded(bench, group, folded[0], form, seat.turn)))
        elif not np.allclose(turn, group.seat.turn):
            track = CourseTrack(group.sheets, (form, form), (group.seat, seat))
            bench.take(bench.best([[bench.state.move("ready", [track], weight=0.8)]]))


# How far a flat piece comes from aside, beside straight on: it is slipped under what stands over
# its place. Our choice.
_LEANS = (
    (0.0, 0.0, 0.0),
    (0.0, 0.0, 1.0),
    (2.0, 0.0, 0.0),
    (-2.0, 0.0, 0.0),
    (0.0, -2.0, 0.0),
    (0.0, 2.0, 0.0),
)


def _stuck(
    bench: CourseBench,
    step: Step,
    joins: dict[int, Join],
    rests: dict[int, OnTable],
    openings: Sequence[float],
) -> Iterator[Sequence[CourseMove]]:
    for opening in openings:
        state, first = bench.state, []
        if opening != state.opening and any(
            state.group(bench.owner(join.host)).in_notebook for join in joins.values()
        ):
            first = [state.move("open", opening=opening, weight=0.5)]
            state = state.after(first[0])
        overlaps = (0.7, 0.0) if len(step.sheets) > 1 else (0.0,)
        largest = max(size_of(bench, [sheet]) for sheet in step.sheets)
        beside = from_beside(bench, state, largest, step)
        leans = _LEANS if beside is None else _LEANS[:1]
        for lean, overlap, low in itertools.product(leans, overlaps, (True, False)):
            tracks = []
            each = windows(len(step.sheets), overlap)
            for sheet, window in zip(step.sheets, each, strict=True):
                host = state.group(bench.owner(joins[sheet].host))
                pose = glued_pose(bench, state, host, [sheet], step.joins)
                part = bench.figures.index[joins[sheet].facet]
                form = replace(bench.state.group(sheet).form, bends=())
                seat = bench.held(part, pose, form)
                side = bench.normal(joins[sheet], pose)
                side = side + np.array(lean)
                side /= np.linalg.norm(side)
                side, far = beside or (side, reach(size_of(bench, [sheet])))
                way = Way(side, far, 40.0)
                seats: tuple[Seat, Seat] = (rests[sheet], seat)
                tracks.append(CourseTrack(frozenset([sheet]), (form, form), seats, way, window))
            move = state.move("carry", tracks, glue=step.joins, wet=step.joins, weight=1.6)
            over = heights(bench.table, move, size_of(bench, step.sheets))[0 if low else 1]
            tall = [replace(t, way=replace(t.way, height=over)) for t in tracks if t.way]
            yield [*first, replace(move, tracks=_with(move.tracks, tall))]


def _with(tracks: Sequence[CourseTrack], mine: Sequence[CourseTrack]) -> tuple[CourseTrack, ...]:
    busy = {track.sheets for track in mine}
    return (*(track for track in tracks if track.sheets not in busy), *mine)
