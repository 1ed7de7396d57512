"""Steps that make paper: it is brought, folded along its creases, and closed to rings."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from meshes.building import Step

from .bench import FLAT, LOOSE, OPEN_SHARE, CourseBench
from .figures import Bend, Form, points
from .moves import CourseMove, CourseTrack, OnTable, Way, windows
from .state import CourseState, PaperGroup

# From so far beside its spot paper is brought to the table, mm. Our choice.
_FROM_MM = 700.0


def make(bench: CourseBench, step: Step) -> None:
    """Sheets are laid on the table, printed side up, and folded."""
    closed = {k for other in bench.steps if other.action == "close" for k in other.sheets}
    bench.rings |= closed & set(step.sheets)
    bench.upright |= {k: _standing(bench, k) for k in step.sheets}
    rests = brought(bench, step.sheets)
    folding = [k for k in step.sheets if bench.figures.folds_of(k)]
    if folding:
        bench.take(bench.best(_folded(bench, folding, rests)))


def brought(bench: CourseBench, sheets: Sequence[int], weight: float = 0.7) -> dict[int, OnTable]:
    """Lay new sheets flat on the table; where they lie."""
    rests: dict[int, OnTable] = {}
    for sheet in sheets:
        turn = bench.flat_turn(sheet, LOOSE)
        rests[sheet] = OnTable(turn, bench.spot(sheet, *_room(bench, sheet, turn)))
    bench.take(bench.best(_brought(bench, rests, weight)))
    return rests


def _brought(
    bench: CourseBench, rests: dict[int, OnTable], weight: float
) -> Iterator[Sequence[CourseMove]]:
    """Ways to bring sheets to their places: low, or over all that stands there.

    They overtake each other, or are brought one by one.
    """
    tall = bench.standing_mm()
    up = np.array([0.0, 0.0, 1.0])
    high = Way(up, tall + _CLEAR_MM, _STEEP * (tall + 2 * _CLEAR_MM))
    for overlap, way in itertools.product((0.7, 0.0) if len(rests) > 1 else (0.0,), (_LOW, high)):
        tracks = []
        for (sheet, rest), window in zip(rests.items(), windows(len(rests), overlap), strict=True):
            x, y = rest.centre
            form = bench.unfolded(sheet, LOOSE)
            seats = (OnTable(rest.turn, (x + _FROM_MM, y)), rest)
            tracks.append(CourseTrack(frozenset([sheet]), (form, form), seats, way, window))
        yield [bench.state.move("bring", tracks, weight=weight)]


# How paper is brought low over the table; so far over what stands there, mm, for which a curve must
# be so many times as high. Our choice.
_LOW = Way(np.array([0.0, 0.0, 1.0]), 12.0, 30.0)
_CLEAR_MM, _STEEP = 15.0, 1.8


def _room(bench: CourseBench, sheet: int, turn: np.ndarray) -> tuple[float, float]:
    """Width and height that a sheet takes on the table.

    That is flat, folded, with what it carries, and on the way from one to the other.
    """
    figures = bench.figures
    mine = figures.parts_of([sheet])
    lying = figures.formed(bench.unfolded(sheet, LOOSE), [sheet], ())
    spread = [points(figures, mine, lying) @ turn.T]
    if sheet in bench.upright:
        spread += _swept(bench, sheet, turn)
        whole = figures.parts_of(_carried_in_the_end(bench, sheet))
        for opening in _SHUTTING:
            own = figures.solved(opening)
            alone = points(figures, mine, own) @ bench.upright[sheet].T
            middle = (alone.min(axis=0) + alone.max(axis=0)) / 2
            spread.append(points(figures, whole, own) @ bench.upright[sheet].T - middle)
    # What it carries may stand out on one side only.
    spread[0] = spread[0] - (spread[0].min(axis=0) + spread[0].max(axis=0)) / 2
    wide, high = 2 * np.abs(np.concatenate(spread)).max(axis=0)[:2]
    return float(wide), float(high)


# Openings at which it is looked at what room paper takes that is shut on glue, radians, and moments
# at which it is folded. Our choice.
_SHUTTING = (LOOSE, (LOOSE + FLAT) / 2, FLAT)
_LOOKS = np.linspace(0.0, 1.0, 9)


def _swept(bench: CourseBench, sheet: int, turn: np.ndarray) -> list[np.ndarray]:
    """Corners of a sheet while it is folded over the point (0, 0), shape (n, 3) each, mm."""
    figures, only = bench.figures, frozenset([sheet])
    start, end = bench.unfolded(sheet, LOOSE), _folded_form(bench, sheet)
    seats = OnTable(turn, (0.0, 0.0)), OnTable(bench.upright[sheet], (0.0, 0.0))
    found = []
    for way in bent_in_order(bench, sheet, start, end):
        before = start
        for after in way:
            there = seats if after == end else (seats[0], seats[0])
            track = CourseTrack(only, (before, after), there)
            move = CourseState.empty().move("fold", [track])
            found += [
                points(figures, figures.parts_of(only), bench.table.tracked(move, track, at, np.pi))
                for at in _LOOKS
            ]
            before = after
    return found


def _folded_form(bench: CourseBench, sheet: int) -> Form:
    """A sheet folded as it waits on the table: what will be a ring is left open."""
    return bench.unfolded(sheet, LOOSE, OPEN_SHARE) if sheet in bench.rings else Form(LOOSE)


def _carried_in_the_end(bench: CourseBench, sheet: int) -> list[int]:
    """A sheet and all that comes to it on the table, if it waits there for that."""
    mine = [sheet]
    for step in bench.steps:
        if step.on_page or sheet not in step.present or step.action in ("make", "close"):
            continue
        if sheet in step.sheets and step.action != "press":
            return mine
        mine = sorted(step.present)
    return mine


def _folded(
    bench: CourseBench, sheets: Sequence[int], rests: dict[int, OnTable]
) -> Iterator[Sequence[CourseMove]]:
    """Ways to fold sheets: each in one of several orders of its folds, all in the same."""
    starts = {k: bench.unfolded(k, LOOSE) for k in sheets}
    ends = {k: _folded_form(bench, k) for k in sheets}
    standing = {k: OnTable(bench.upright[k], rests[k].centre) for k in sheets}
    orders = [list(bent_in_order(bench, k, starts[k], ends[k])) for k in sheets]
    for order in range(max(len(ways) for ways in orders)):
        ways = [ways[min(order, len(ways) - 1)] for ways in orders]
        rounds = max(len(way) for way in ways)
        state, moves = bench.state, []
        forms, seats = dict(starts), dict(rests)
        for number in range(rounds):
            last = number == rounds - 1
            after = {k: way[min(number, len(way) - 1)] for k, way in zip(sheets, ways, strict=True)}
            there = standing if last else seats
            move = _fold(state, sheets, forms, after, seats, there)
            moves.append(replace(move, weight=1.4 / rounds))
            state, forms, seats = state.after(move), after, there
        yield moves


def bent_in_order(bench: CourseBench, sheet: int, start: Form, end: Form) -> Iterator[list[Form]]:
    """Forms that a sheet goes through: all folds at once, or some before others.

    Those are the outermost, first or last, then what is far from the largest facet, likewise.
    """
    yield [end]
    figures = bench.figures
    folds = figures.folds_of(sheet)
    leaves = set(figures.leaves(sheet).values())
    if len(figures.tree(sheet)) < len(folds):
        return
    depth = {figures.root(sheet): 0}
    far: dict[int, int] = {}
    for row, parent, child, _ in figures.tree(sheet):
        depth[child] = depth[parent] + 1
        far[folds[row]] = depth[child]
    ranks = ({k: k not in leaves for k in folds}, far)
    known = [[end]]
    for rank in ranks:
        for backwards in (False, True):
            levels = sorted(set(rank.values()), reverse=backwards)
            way = [
                _part_way(start, end, {k for k in folds if levels.index(rank[k]) <= upto})
                for upto in range(len(levels) - 1)
            ]
            if [*way, end] not in known:
                known.append([*way, end])
                yield known[-1]


def _part_way(start: Form, end: Form, done: set[int]) -> Form:
    """A form in which some folds are as at the end, and all others as at the start."""
    both = [{bend.fold: bend for bend in form.bends} for form in (start, end)]
    every = sorted({*both[0], *both[1]})
    bends = tuple(both[k in done].get(k, Bend(k)) for k in every)
    return Form(end.opening, bends)


def _standing(bench: CourseBench, sheet: int) -> np.ndarray:
    """How a sheet stands on the table: as it will in the notebook, turned to be seen from in front.

    What stays flat all over is left lying.
    """
    figures = bench.figures
    angles = [abs(figures.angle(k, LOOSE)) for k in figures.folds_of(sheet)]
    if max(angles, default=0.0) <= _FOLDED:
        return bench.flat_turn(sheet, LOOSE)
    pose = figures.solved(LOOSE)
    faces = np.array(
        [
            figures.parts[k].facet.polygon.area * pose.rotation[k][:, 2]
            for k in figures.parts_of([sheet])
        ]
    )

    def seen(yaw: float) -> float:
        return float(np.abs(faces @ _about_z(yaw).T @ _READER).sum())

    best = max(_YAWS, key=seen)
    return _about_z(best if seen(best) > _WORTH * seen(0.0) else 0.0)


def _about_z(yaw: float) -> np.ndarray:
    c, s = np.cos(yaw), np.sin(yaw)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


# From where paper on the table is looked at, how far it may be turned for that, and how much more
# must then be seen of it. Our choice.
_READER = np.array([0.15, -0.8, 0.58])
_YAWS = tuple(float(np.radians(deg)) for deg in (0.0, 40.0, -40.0, 75.0, -75.0))
_WORTH = 1.3
# A sheet is folded if a fold is more than this, radians. Our choice.
_FOLDED = float(np.radians(8.0))


def _fold(
    state: CourseState,
    sheets: Sequence[int],
    before: dict[int, Form],
    after: dict[int, Form],
    here: dict[int, OnTable],
    there: dict[int, OnTable],
) -> CourseMove:
    tracks = [
        CourseTrack(frozenset([k]), (before[k], after[k]), (here[k], there[k]), None, window)
        for k, window in zip(sheets, windows(len(sheets), 0.85), strict=True)
    ]
    return state.move("fold", tracks, weight=1.4)


def close(bench: CourseBench, step: Step) -> None:
    """A sheet is brought round until its flap lands on its other end."""
    refold(bench, step.sheets)
    group = bench.state.group(step.sheets[0])
    waits = CourseTrack.still(group.sheets, group.form, group.seat)
    bench.carry_out(bench.state.move("swing", [waits], wet=step.joins, weight=0.5))
    bench.rings -= set(step.sheets)
    bench.take(bench.best(_closed(bench, step, group, bench.folded(group, group.form.opening))))


def _closed(
    bench: CourseBench, step: Step, group: PaperGroup, form: Form
) -> Iterator[Sequence[CourseMove]]:
    """Ways to close a ring: at once, or with its flap, or other ends, held off meanwhile."""
    seats = (group.seat, group.seat)
    track = CourseTrack(group.sheets, (group.form, form), seats)
    yield [bench.state.move("fold", [track], glue=step.joins, wet=step.joins, weight=1.2)]
    leaves = bench.figures.leaves(step.sheets[0])
    glued = {bench.figures.index[join.facet] for join in bench.lain(step)}
    flaps = [fold for part, fold in leaves.items() if part in glued]
    others = [fold for part, fold in leaves.items() if part not in glued]
    for folds in (flaps, others, [*flaps, *others]):
        for angle in _HELD_OFF if folds else ():
            yield _held_off(bench, step, group, form, folds, angle)


def _held_off(
    bench: CourseBench,
    step: Step,
    group: PaperGroup,
    form: Form,
    folds: Sequence[int],
    angle: float,
) -> list[CourseMove]:
    """A ring is closed but for some sides, which are let down last; the angle in radians."""
    seats = (group.seat, group.seat)
    off = Form(form.opening, (*form.bends, *(Bend(k, 1.0, angle) for k in folds)))
    one = bench.state.move(
        "fold", [CourseTrack(group.sheets, (group.form, off), seats)], wet=step.joins
    )
    down = CourseTrack(group.sheets, (off, form), seats)
    two = bench.state.after(one).move("press", [down], glue=step.joins, wet=step.joins, weight=0.6)
    return [one, two]


# How far sides are held off meanwhile, to one side or the other. Our choice.
_HELD_OFF = tuple(float(np.radians(deg)) for deg in (30.0, -30.0, 50.0, -50.0))


def refold(bench: CourseBench, sheets: Iterable[int]) -> None:
    """Fold paper on the table again that was opened flat to press on it."""
    for number in sheets:
        group = bench.state.group(number)
        form = bench.folded(group, group.form.opening)
        if group.in_notebook or form == group.form:
            continue
        (sheet,) = {bench.figures.creases[bend.fold].sheet for bend in group.form.bends}
        bench.take(bench.best(refolded(bench, group, sheet, form, bench.upright[sheet])))


def refolded(
    bench: CourseBench, group: PaperGroup, sheet: int, form: Form, turn: np.ndarray
) -> Iterator[Sequence[CourseMove]]:
    """Ways to bring a group on the table to another form, and to turn it."""
    for way in bent_in_order(bench, sheet, group.form, form):
        state, moves, before = bench.state, [], (group.form, group.seat)
        for number, after in enumerate(way):
            assert isinstance(before[1], OnTable)
            seat = bench.rest(group, turn) if number == len(way) - 1 else before[1]
            track = CourseTrack(group.sheets, (before[0], after), (before[1], seat))
            moves.append(state.move("ready", [track], weight=0.8 / len(way)))
            state, before = state.after(moves[-1]), (after, seat)
        yield moves
