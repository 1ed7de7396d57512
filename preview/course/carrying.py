"""Steps that carry paper to its place: on a page, on what stands there, on the table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from meshes.building import Step
from meshes.check.poses import Pose
from meshes.sheet import Join
from preview.drawing.lying import AtRest

from .bench import FLAT, LOOSE, OTHERS, WIDE, WORKING, CourseBench
from .figures import Bend, Form, points
from .landing import from_beside, glued_pose, size_of, still_seat
from .making import refold
from .moves import CourseMove, CourseTrack, HeldSeat, OnTable, Ride, Seat, Way
from .pressing import involved, swung
from .proof import Meeting, meetings
from .state import CourseState, PaperGroup
from .ways import Judged, gentlest, heights, lands, reach, roughly, sides, straight, whole

# A place that looks up more than this hides the glue that comes down on it. Our choice.
_DOWN = 0.3
# What has so many times the area is not brought to what is glued to it. Our choice.
_LARGER = 3.0


@dataclass(frozen=True, eq=False)
class _Plan:
    """One way in which a group may be brought to its place.

    Parameters
    ----------
    opening : of the notebook meanwhile, radians.
    form : of what is carried; `host` that of what it lands on, if that rests on the table.
    """

    opening: float
    form: Form
    host: Form | None = None


def attach(bench: CourseBench, step: Step) -> None:
    """A group is carried to another, and glued, laid or pushed through it there."""
    _folded_again(bench, step)
    mover, host, join = _sides(bench, step)
    if mover is host:
        swung(bench, step)
        _let_down(bench, step)
        return
    if not host.in_notebook:
        _to_table(bench, step, mover, host, join)
    else:
        _to_notebook(bench, step, mover, host, join)


def _folded_again(bench: CourseBench, step: Step) -> None:
    sheets = set(step.sheets)
    for join in bench.lain(step):
        sheets |= {bench.owner(join.facet), bench.owner(join.host)}
    refold(bench, sorted(sheets))


def _sides(bench: CourseBench, step: Step) -> tuple[PaperGroup, PaperGroup, Join]:
    """What is carried, what it comes to, and where."""
    joins = bench.lain(step)
    if joins:
        join = joins[0]
        mover = bench.state.group(bench.owner(join.facet))
        host = bench.state.group(bench.owner(join.host))
    else:
        mover = bench.state.group(step.sheets[0])
        holed, join = _slit(bench, step)
        host = bench.state.group(holed)
    if mover.in_notebook and not host.in_notebook:
        return host, mover, _other_way(join)
    return mover, host, join


def _other_way(join: Join) -> Join:
    """The same place as seen from what lies on it."""
    back = join.placement.up * join.side
    return Join(join.host, join.facet, join.placement.inverse(), 1 if back < 0 else -1)


def _slit(bench: CourseBench, step: Step) -> tuple[int, Join]:
    """The sheet with the slit that a sheet passes, and a join that stands for the place."""
    spread = bench.spread
    mine = next(passage for passage in bench.passages if passage.through in step.sheets)
    through = spread.sheets[mine.through]
    facet = f"{through.piece}.{through.facets[0].name}"
    return mine.holed, replace(spread.joins[0], facet=facet, host=mine.facet, side=1)


def _let_down(bench: CourseBench, step: Step) -> None:
    """What hangs beside its place already is laid on it."""
    tracks = []
    for group in involved(bench, step):
        mine = {bend.fold for bend in group.form.bends if bend.more}
        form = group.form.without(mine)
        if form != group.form:
            tracks.append(CourseTrack(group.sheets, (group.form, form), (group.seat, group.seat)))
    bench.carry_out(bench.state.move("press", tracks, glue=step.joins, wet=step.joins, weight=0.8))
    groups = involved(bench, step)
    if len(groups) > 1:
        first = groups[0]
        bench.state = bench.state.joined(groups, first.form, first.seat)


# On the table.


def _to_table(
    bench: CourseBench, step: Step, mover: PaperGroup, host: PaperGroup, join: Join
) -> None:
    """What is carried comes down on what lies there.

    If the place looks down, that is brought instead, unless it is much larger.
    """
    ways = [(mover, host, join)]
    if step.joins:
        ways.append((host, mover, _other_way(join)))
        down = bench.normal(join, bench.pose(host))[2] < -_DOWN
        if down and bench.area(host) < _LARGER * bench.area(mover):
            ways.reverse()
    judged, mover, host = _gentlest_way(bench, step, ways)
    bench.take(judged)
    _settle(bench, step, mover, host)


def _gentlest_way(
    bench: CourseBench, step: Step, ways: Sequence[tuple[PaperGroup, PaperGroup, Join]]
) -> tuple[Judged, PaperGroup, PaperGroup]:
    """The first way that meets nothing, else the gentlest, with what is carried and to what."""
    best: tuple[Judged, PaperGroup, PaperGroup] | None = None
    for mover, host, join in ways:
        plans = list(_table_plans(bench, step, mover, host))
        judged = _first_free(bench, step, mover, host, join, plans)
        if best is None or judged.push < best[0].push:
            best = judged, mover, host
        if not judged.met:
            break
    assert best is not None
    return best


def _table_plans(
    bench: CourseBench, step: Step, mover: PaperGroup, host: PaperGroup
) -> Iterator[_Plan]:
    """Forms of both papers to try, first those in which all is as it will be glued."""
    openings = [LOOSE, WORKING, *OTHERS[1:], float(np.radians(170.0)), FLAT]
    for straightened in (False, True):
        for opening in openings:
            form = bench.folded(mover, opening)
            if straightened:
                form = _straightened(bench, mover, form, step)
                if form == bench.folded(mover, opening):
                    continue
            yield _Plan(bench.state.opening, form, bench.folded(host, opening))


def _settle(bench: CourseBench, step: Step, mover: PaperGroup, host: PaperGroup) -> None:
    """What has come together is one, and stands as it did."""
    mine = bench.state.group(min(mover.sheets))
    there = bench.state.group(min(host.sheets))
    bends = {b.fold: b for b in (*there.form.bends, *mine.form.bends)}
    form = Form(there.form.opening, tuple(bends[k] for k in sorted(bends)))
    bench.spots.leave(mover.sheets)
    seat = still_seat(bench, there, mine)
    bench.state = bench.state.joined([there, mine], form, seat)
    last = bench.folded(bench.state.group(min(mover.sheets)), LOOSE)
    if last != form or (isinstance(seat, OnTable) and seat.rise):
        group = bench.state.group(min(mover.sheets))
        down: Seat = replace(seat, rise=0.0) if isinstance(seat, OnTable) else seat
        track = CourseTrack(group.sheets, (group.form, last), (group.seat, down))
        bench.carry_out(bench.state.move("straighten", [track], weight=0.6))


def _straightened(bench: CourseBench, mover: PaperGroup, form: Form, step: Step) -> Form:
    """The form with its loose ends straight, so that they get through or past other paper."""
    leaves = bench.loose_leaves(mover.sheets, step.joins)
    known = {bend.fold for bend in form.bends}
    bends = tuple(Bend(k, 0.0) for k in sorted(set(leaves.values()) - known))
    return Form(form.opening, (*form.bends, *bends))


# In the notebook.


def _to_notebook(
    bench: CourseBench, step: Step, mover: PaperGroup, host: PaperGroup, join: Join
) -> None:
    plans = list(_notebook_plans(bench, mover, host, join, step))
    bench.take(_first_free(bench, step, mover, host, join, plans))
    bench.spots.leave(mover.sheets)
    bench.state = _landed(bench, bench.state, mover, host)


def _landed(
    bench: CourseBench, state: CourseState, mover: PaperGroup, host: PaperGroup
) -> CourseState:
    """The state in which what has come to the notebook hangs together with what it came to.

    What lies folded on a page keeps a form of its own until the notebook is shut on it.
    """
    mine, there = state.group(min(mover.sheets)), state.group(min(host.sheets))
    lies = mine.form.opening < state.opening - 1e-9
    if mine is there or (lies and not _all_on_one(bench, mine)):
        return state
    bends = (*there.form.bends, *mine.form.bends)
    return state.joined([there, mine], replace(there.form, bends=bends), there.seat)


def _let_go(
    bench: CourseBench, state: CourseState, mover: PaperGroup, host: PaperGroup, plan: _Plan
) -> list[CourseMove]:
    """Ends that came to the notebook straight are folded again there.

    Parameters
    ----------
    state : as they come to their place.
    """
    own = {bend.fold for bend in plan.form.bends}
    if plan.host is not None or not own:
        return []
    state = _landed(bench, state, mover, host)
    group = state.group(min(mover.sheets))
    if not group.sheets & host.sheets:
        return []
    forms = group.form, group.form.without(own)
    track = CourseTrack(group.sheets, forms, (group.seat, group.seat))
    return [state.move("straighten", [track], weight=0.6)]


def _all_on_one(bench: CourseBench, mine: PaperGroup) -> bool:
    """Whether all of a group lies on one body, so that it needs no form of its own."""
    bodies = set(bench.figures.body[bench.figures.parts_of(mine.sheets)].tolist())
    return len(bodies) == 1


def _notebook_plans(
    bench: CourseBench, mover: PaperGroup, host: PaperGroup, join: Join, step: Step
) -> Iterator[_Plan]:
    """Openings of the notebook and forms of the paper to try, as a hand would first do it."""
    own = bench.figures.sheet[bench.figures.index[join.host]] == 0
    one_body = _all_on_one(bench, mover)
    bends = bench.folded(mover, LOOSE).bends
    now = bench.state.opening
    if host.form.opening < np.pi:
        # It lies on the page itself, folded; what comes to it is folded alike.
        yield _Plan(now, Form(host.form.opening, bends))
        return
    pairs: list[tuple[float, float]] = []
    if bench.covered(step) is not None:
        pairs = [(WIDE, WIDE)]
    elif own and one_body:
        pairs = [(now, now), (WIDE, WIDE)]
    elif own:
        pairs = [(WIDE, FLAT)]
    pairs += [(at, at) for at in (WORKING, *OTHERS)]
    pairs += [(WORKING, FLAT), (WIDE, WIDE)] if not own else [(WORKING, FLAT)]
    for opening, form in dict.fromkeys(pairs):
        yield _Plan(opening, Form(form, bends))
    for opening, form in dict.fromkeys(pairs):
        plain = Form(form, bends)
        bent = _straightened(bench, mover, plain, step)
        if bent != plain:
            yield _Plan(opening, bent)


def _first_free(
    bench: CourseBench,
    step: Step,
    mover: PaperGroup,
    host: PaperGroup,
    join: Join,
    plans: Sequence[_Plan],
) -> Judged:
    """The first plan and way that meet nothing, else the gentlest."""
    judged = gentlest(_carried(bench, step, mover, host, join, plan) for plan in plans)
    return whole(bench.table, judged.moves) if judged.met else judged


def _carried(
    bench: CourseBench, step: Step, mover: PaperGroup, host: PaperGroup, join: Join, plan: _Plan
) -> Judged:
    """The best way to carry something in one plan."""
    wanted, state = _readied(bench, step, mover, host, join, plan)
    ready = bench.best([wanted]) if wanted else Judged((), ())
    before = ready.moves
    there = state.group(min(host.sheets))
    mine = state.group(min(mover.sheets))
    pose, seat = _landing(bench, state, mine, there, join, step, plan)
    normal, size = bench.normal(join, pose), size_of(bench, mover.sheets)

    def carry(side: np.ndarray, height: float, length: float = reach(size)) -> CourseMove:
        return _carry(state, mine, seat, Way(side, length, height), step, plan)

    plain = carry(normal, 0.0)
    lift = heights(bench.table, plain, size)
    down = _let_go(bench, state.after(plain), mover, host, plan)
    known = [*ready.met, *lands(bench.table, plain).met]
    known += () if known else _shuts(bench, state, plain, plan)
    known += () if known else whole(bench.table, down).met
    if known:
        return Judged((*before, carry(normal, lift[1]), *down), tuple(known))
    best = Judged((), ())
    for side, length in _approaches(bench, state, normal, size, step):
        tried = straight(bench.table, carry(side, lift[1], length))
        for height in lift if not tried.met else lift[1:]:
            move = carry(side, height, length)
            met = tried.met or roughly(bench.table, [move]).met or whole(bench.table, [move]).met
            judged = Judged((*before, move, *down), tuple(met))
            if not met:
                return judged
            if not best.moves or judged.push < best.push:
                best = judged
    return best


def _approaches(
    bench: CourseBench, state: CourseState, normal: np.ndarray, size: float, step: Step
) -> Iterator[tuple[np.ndarray, float]]:
    """From where paper may come to its place, and how far straight, mm."""
    beside = from_beside(bench, state, size, step)
    if beside is not None:
        yield beside
        return
    turn = AtRest.of(bench.table.book, state.opening, bench.table.lying).turn
    for side in sides(normal, turn):
        yield side, reach(size)
    if step.action == "thread":
        for side in sides(-normal, turn):
            yield side, reach(size)


def _shuts(
    bench: CourseBench, state: CourseState, carried: CourseMove, plan: _Plan
) -> Sequence[Meeting]:
    """What paper meets that lies folded on a page when the notebook is shut on it."""
    if plan.form.opening >= plan.opening - 1e-9 or plan.host is not None:
        return ()
    after = state.after(carried)
    return meetings(bench.table, after.move("shut", opening=0.0), quick=True)


def _readied(
    bench: CourseBench, step: Step, mover: PaperGroup, host: PaperGroup, join: Join, plan: _Plan
) -> tuple[list[CourseMove], CourseState]:
    """The notebook is opened so far, and paper on the table folded and turned as it is needed."""
    state = bench.state
    wet = step.joins
    turn = _seen_before(bench, state, mover, host, join, plan, bool(wet))
    tracks = []
    seat = bench.rest(mover, turn)
    assert isinstance(mover.seat, OnTable)
    if mover.form != plan.form or not np.allclose(turn, mover.seat.turn):
        tracks.append(CourseTrack(mover.sheets, (mover.form, plan.form), (mover.seat, seat)))
    if plan.host is not None:
        rise = _rise(bench, state, mover, host, join, plan, step)
        assert isinstance(host.seat, OnTable)
        if host.form != plan.host or rise:
            risen = replace(host.seat, rise=rise)
            tracks.append(CourseTrack(host.sheets, (host.form, plan.host), (host.seat, risen)))
    moves = [state.move("ready", tracks, plan.opening, wet=wet, weight=0.9)]
    if not tracks and plan.opening == state.opening:
        return [], state
    return moves, state.after(moves[0])


def _rise(
    bench: CourseBench,
    state: CourseState,
    mover: PaperGroup,
    host: PaperGroup,
    join: Join,
    plan: _Plan,
    step: Step,
) -> float:
    """How far a host must be lifted so that what comes to it finds room over the table, mm.

    Its loose ends hang straight down if they are straightened to get past other paper.
    """
    assert plan.host is not None
    assert isinstance(host.seat, OnTable)
    mine = replace(mover, form=plan.form)
    shaped = PaperGroup(host.sheets, plan.host, replace(host.seat, rise=0.0))
    pose, seat = _landing(bench, state, mine, shaped, join, step, plan)
    own = points(bench.figures, bench.figures.parts_of(host.sheets), pose)
    track = CourseTrack.still(mover.sheets, plan.form, seat)
    come = bench.table.seated(track, plan.form, seat, state.opening, state.glued)
    theirs = points(bench.figures, bench.figures.parts_of(mover.sheets), come)
    return max(0.0, float(own[:, 2].min() - theirs[:, 2].min()))


def _seen_before(
    bench: CourseBench,
    state: CourseState,
    mover: PaperGroup,
    host: PaperGroup,
    join: Join,
    plan: _Plan,
    has_glue: bool,
) -> np.ndarray:
    """How paper lies before it is carried: as it will, or turned over so that its glue is seen."""
    mine = replace(mover, form=plan.form)
    opened = replace(state, opening=plan.opening)
    shaped = host if plan.host is None else replace(host, form=plan.host)
    pose, seat = _landing(bench, opened, mine, shaped, join, None, plan)
    end = _turn_of(bench, seat, plan)
    if has_glue and bench.normal(join, pose)[2] > _DOWN:
        end = np.diag([-1.0, 1.0, -1.0]) @ end
    return end


def _turn_of(bench: CourseBench, seat: Seat, plan: _Plan) -> np.ndarray:
    if isinstance(seat, HeldSeat):
        return seat.turn
    assert isinstance(seat, Ride)
    part = int(np.flatnonzero(bench.figures.body == seat.body)[0])
    here = bench.figures.solved(plan.opening).rotation[part]
    own = min(plan.form.opening, plan.opening)
    return np.asarray(here @ bench.figures.solved(own).rotation[part].T)


def _landing(
    bench: CourseBench,
    state: CourseState,
    mover: PaperGroup,
    host: PaperGroup,
    join: Join,
    step: Step | None,
    plan: _Plan,
) -> tuple[Pose, Seat]:
    """All parts of the host where the paper lands, and the seat that it lands in."""
    glue = step.joins if step is not None else ()
    if plan.host is None:
        body = int(bench.figures.body[bench.figures.index[join.host]])
        track = CourseTrack.still(host.sheets, host.form, host.seat)
        pose = bench.table.seated(track, host.form, host.seat, state.opening, state.glued)
        if host.form.opening < np.pi:
            assert isinstance(host.seat, Ride)
            return pose, Ride(host.seat.body)
        return pose, Ride(body)
    pose = glued_pose(bench, state, host, sorted(mover.sheets), glue)
    # Bent ends do not tell where it lands; what stays as solved does.
    bent = set(bench.figures.bent(plan.form, mover.sheets, state.glued))
    part = next(k for k in bench.figures.parts_of(mover.sheets).tolist() if k not in bent)
    plain = PaperGroup(host.sheets, Form(plan.host.opening), host.seat)
    if not plan.host.bends:
        return pose, bench.held(part, pose, plan.form)
    return pose, bench.held(part, glued_pose(bench, state, plain, [], glue), plan.form)


def _carry(
    state: CourseState, mine: PaperGroup, seat: Seat, way: Way, step: Step, plan: _Plan
) -> CourseMove:
    track = CourseTrack(mine.sheets, (plan.form, plan.form), (mine.seat, seat), way)
    return state.move("carry", [track], glue=step.joins, wet=step.joins, weight=1.6)
