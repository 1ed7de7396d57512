"""Whether parts collide on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from .case import Case
from .chord import chords
from .finding import Finding, Place
from .limits import Limits
from .poses import Pose
from .same_place import same_place
from .swap import Swap, swaps
from .sweep import Contact, FacetPairs, near_pairs, sweep, worst_of
from .trim import Trim, best_trim

# Pushes up to this are touching: as near as poses between two stages are known.
_TOUCH_MM = 0.01
# Free paper that changes its pace between two stages can seem to dip into other paper by this much.
_UNSURE_MM = 0.3
# Runs that reach this near to closed or flat open start or end there, radians.
_AT_END = float(np.radians(0.1))
# What differs by less between two designs moves alike in both, mm and radians.
_SAME_MM, _SAME_RAD = 1e-7, 1e-9
# Of very many clashes, only the deepest get a trim worked out.
_TRIMMED = 40


@dataclass(frozen=True)
class Clash:
    """One contact with its depth.

    Parameters
    ----------
    push : largest push over the contact, mm.
    opening : where it is that large, radians.
    tried : openings at which the push was evaluated, radians.
    """

    contact: Contact
    push: float
    opening: float
    tried: np.ndarray


@dataclass(frozen=True)
class Collisions:
    """Everything that collides in a motion: contacts, deepest first, and changes of sides."""

    pairs: FacetPairs
    contacts: tuple[Clash, ...]
    swaps: tuple[Swap, ...]


def collisions(case: Case, known: Collisions | None = None) -> Collisions:
    """Sweep the whole motion.

    Parameters
    ----------
    known : of the same spread with other values; what moves there as it does here is not swept
        again.
    """
    pairs = case.pairs
    alike = np.full(len(case.facets), -1) if known is None else _alike(known.pairs, pairs)
    moving = None if case.hand is None else case.hand.bodies
    near = near_pairs(case.facets, case.poses, moving, alike >= 0)
    contacts = sweep(pairs, near)
    deepest = worst_of(pairs, contacts)
    found = [Clash(one, *worst) for one, worst in zip(contacts, deepest, strict=True)]
    changes = swaps(pairs, near)
    if known is not None:
        here = {there: k for k, there in enumerate(alike.tolist()) if there >= 0}
        for one in known.contacts:
            both = here.get(one.contact.first), here.get(one.contact.second)
            if both[0] is not None and both[1] is not None:
                contact = replace(one.contact, first=both[0], second=both[1])
                found.append(replace(one, contact=contact))
        for swap in known.swaps:
            both = here.get(swap.first), here.get(swap.second)
            if both[0] is not None and both[1] is not None:
                changes.append(replace(swap, first=both[0], second=both[1]))
    found.sort(key=lambda one: -one.push)
    return Collisions(pairs, tuple(found), tuple(changes))


def _alike(known: FacetPairs, here: FacetPairs) -> np.ndarray:
    """For each facet the one in other pairs that is cut and moves as it does, or -1, shape (F,)."""
    alike = np.full(len(here.facets), -1)
    one, two = known.poses, here.poses
    if not (np.array_equal(one.openings, two.openings) and np.array_equal(one.joined, two.joined)):
        return alike
    place = {name: k for k, name in enumerate(known.facets.ids)}
    mine = np.array([k for k, name in enumerate(here.facets.ids) if name in place], int)
    theirs = np.array([place[here.facets.ids[k]] for k in mine.tolist()], int)
    outlines = [
        np.array(each, object)
        for each in (
            [here.facets.polygons[k] for k in mine.tolist()],
            [known.facets.polygons[k] for k in theirs.tolist()],
        )
    ]
    same = shapely.equals_exact(*outlines, tolerance=_SAME_MM)
    bodies = known.facets.body[theirs], here.facets.body[mine]
    for name, reach in (("rotations", _SAME_RAD), ("translations", _SAME_MM)):
        apart = getattr(one, name)[:, bodies[0]] - getattr(two, name)[:, bodies[1]]
        same &= np.abs(apart).reshape(len(apart), len(mine), -1).max(axis=(0, 2)) < reach
    # A pair is the first facet seen from the second, so both must come in the same order.
    in_order = bool((np.diff(theirs[same]) > 0).all())
    alike[mine[same]] = theirs[same] if in_order else -1
    return alike


def clash(
    case: Case, limits: Limits, *, trims: bool = True
) -> tuple[list[Finding], dict[str, float]]:
    """All contacts while the spread opens, its flyleaves are turned and its slides are pulled.

    Parameters
    ----------
    trims : whether to look for what could be cut off.
    """
    findings, measures = _meetings(case, limits, trims)
    for turn in case.turns:
        more, own = _meetings(turn, limits, trims)
        # What stands between the first two pages moves alike in both.
        known = {(one.kind, frozenset(one.parts)) for one in findings}
        findings += [one for one in more if (one.kind, frozenset(one.parts)) not in known]
        measures = {name: max(measures[name], own[name]) for name in measures}
    more, own = _by_hand(case, limits, trims)
    pieces = {(one.kind, _pieces_of(one)) for one in findings}
    findings += [one for one in more if (one.kind, _pieces_of(one)) not in pieces]
    return findings, {name: max(measures[name], own.get(name, 0.0)) for name in measures}


def _by_hand(case: Case, limits: Limits, trims: bool) -> tuple[list[Finding], dict[str, float]]:
    """Contacts of wheels and slides on their way, of each two pieces at the worst opening."""
    worst: dict[tuple[str, frozenset[str]], Finding] = {}
    measures: dict[str, float] = {}
    for pull in case.pulls:
        found, own = _meetings(pull, limits, trims)
        measures = {name: max(value, measures.get(name, 0.0)) for name, value in own.items()}
        for one in found:
            key = one.kind, _pieces_of(one)
            if key not in worst or (one.amount or 0.0) > (worst[key].amount or 0.0):
                worst[key] = one
    return list(worst.values()), measures


def _pieces_of(finding: Finding) -> frozenset[str]:
    return frozenset(part.partition(".")[0] for part in finding.parts)


def _meetings(case: Case, limits: Limits, trims: bool) -> tuple[list[Finding], dict[str, float]]:
    """All contacts of the motion: clashes, grazes and changes of sides."""
    found = collisions(case)
    deep, light = [], []
    for one in found.contacts:
        if one.push > limits.clash_push and (one.push > _UNSURE_MM or _is_sure(case, one)):
            deep.append(one)
        elif one.push > limits.clash_push or (one.push > _TOUCH_MM and _at_stage(case, one)):
            light.append(one)
    findings = []
    for k, group in enumerate(_by_pieces(case, deep)):
        first = group[0]
        trim = None
        # One trim mends one pair of facets; where more of them meet it would not be enough.
        if trims and k < _TRIMMED and len(group) == 1:
            trim = best_trim(found.pairs, first.contact, first.tried, limits.clash_push)
        findings.append(_clash_finding(case, found.pairs, group, trim, limits))
    findings += [
        _graze_finding(case, found.pairs, group, limits) for group in _by_pieces(case, light)
    ]
    findings += [_swap_finding(case, swap) for swap in found.swaps]
    findings += same_place(case) if case.hand is None else []
    deepest = found.contacts[0].push if found.contacts else 0.0
    return findings, {
        "deepest_push_mm": round(deepest, 4),
        "contacts": float(len(found.contacts)),
    }


def _at_stage(case: Case, clash: Clash) -> bool:
    """Whether a stage, where poses are solved and not joined, lies inside the contact."""
    contact, openings = clash.contact, case.poses.openings
    return bool(((openings > contact.start) & (openings < contact.end)).any())


def _is_sure(case: Case, clash: Clash) -> bool:
    """Whether a contact is more than an effect of joining two stages where the pace jumps."""
    bodies = case.facets.body[[clash.contact.first, clash.contact.second]]
    step = case.poses.step(clash.opening)
    return _at_stage(case, clash) or not case.poses.straight[step, bodies].any()


def _by_pieces(case: Case, clashes: Sequence[Clash]) -> list[list[Clash]]:
    """Contacts of the same two pieces together, deepest first."""
    groups: dict[frozenset[str], list[Clash]] = {}
    for clash in clashes:
        groups.setdefault(_pieces(case, clash.contact), []).append(clash)
    return list(groups.values())


def _pieces(case: Case, contact: Contact) -> frozenset[str]:
    return frozenset(case.facets.pieces[k] for k in (contact.first, contact.second))


def _names(case: Case, contact: Contact) -> tuple[str, str]:
    """Ids of both facets, a page last."""
    one, two = contact.first, contact.second
    if case.facets.is_page(one):
        one, two = two, one
    return case.facets.ids[one], case.facets.ids[two]


def _clash_finding(
    case: Case, pairs: FacetPairs, group: Sequence[Clash], trim: Trim | None, limits: Limits
) -> Finding:
    deepest = group[0]
    one, two = _names(case, deepest.contact)
    place = _where(case, pairs, deepest)
    parts = dict.fromkeys(name for c in group for name in _names(case, c.contact))
    span = _whole_span(group)
    count = len(group) - 1
    # The span of all is worth telling only where it differs.
    own, whole = span_text(case, deepest.contact), span_text(case, span)
    more = f" (with {count} more pair{'s' * (count > 1)} of facets{f', {whole}' * (whole != own)})"
    return Finding(
        "clash",
        "problem",
        "clashes",
        one.partition(".")[0] if trim is None else case.facets.pieces[trim.facet],
        tuple(parts),
        f"{one} passes through {two} {own}, deepest by "
        f"{deepest.push:z.2f} mm {case.moment(deepest.opening)}{more if count else ''}",
        "" if trim is None else _advice(case, trim),
        amount=deepest.push,
        unit="mm",
        limit=limits.clash_push,
        from_deg=case.spread_deg(span.start),
        to_deg=case.spread_deg(span.end),
        worst_deg=case.spread_deg(deepest.opening),
        place=place,
    )


def _whole_span(group: Sequence[Clash]) -> Contact:
    """The deepest contact of a group, from the first opening of all of them to the last."""
    start, end = min(c.contact.start for c in group), max(c.contact.end for c in group)
    return replace(group[0].contact, start=start, end=end)


def span_text(case: Case, contact: Contact) -> str:
    """Where a contact starts and ends, in words."""
    if case.hand is not None:
        first, last = (case.hand.moved(at / np.pi) for at in (contact.start, contact.end))
        deg = case.spread_deg(contact.start)
        return f"at {deg:z.0f}°, while {case.hand.drive.name} is moved from {first} to {last}"
    start, end = np.degrees([contact.start, contact.end])
    if case.flyleaf:
        return f"with {case.flyleaf} turned from {start:z.1f}° to {end:z.1f}°"
    begins = "from closed" if contact.start < _AT_END else f"from {start:z.1f}°"
    ends = "to flat open" if contact.end > np.pi - _AT_END else f"to {end:z.1f}°"
    return f"{begins} {ends}"


def _advice(case: Case, trim: Trim) -> str:
    name = case.facets.ids[trim.facet]
    if trim.kind == "cut":
        return f"cut {trim.amount:z.2f} mm off {name}, straight along the crossing"
    return f"take {trim.amount:z.2f} mm off the free edges of {name}"


def _where(case: Case, pairs: FacetPairs, clash: Clash) -> Place | None:
    """The deepest chord at the worst opening."""
    contact, opening = clash.contact, clash.opening
    pose = pairs.pose(np.array([contact.first]), np.array([contact.second]), np.array([opening]))
    single = Pose(pose.rotation[0], pose.translation[0])
    found = chords(case.facets, contact.first, contact.second, single)
    if not found:
        return None
    chord = max(found, key=lambda c: c.push)
    return case.place("line", case.world(contact.second, chord.ends[1], opening), opening)


def _graze_finding(
    case: Case, pairs: FacetPairs, group: Sequence[Clash], limits: Limits
) -> Finding:
    deepest = group[0]
    one, two = _names(case, deepest.contact)
    place = _where(case, pairs, deepest)
    return Finding(
        "clash",
        "note",
        "grazes",
        one.partition(".")[0],
        tuple(dict.fromkeys(name for c in group for name in _names(case, c.contact))),
        f"{one} grazes {two} {span_text(case, deepest.contact)}, by {deepest.push:z.3f} mm",
        amount=deepest.push,
        unit="mm",
        limit=limits.clash_push,
        from_deg=case.spread_deg(deepest.contact.start),
        to_deg=case.spread_deg(deepest.contact.end),
        worst_deg=case.spread_deg(deepest.opening),
        place=place,
    )


def _swap_finding(case: Case, swap: Swap) -> Finding:
    one, two = _names(case, Contact(swap.first, swap.second, swap.opening, swap.opening))
    at = case.spread_deg(swap.opening)
    outline = np.asarray(swap.area.convex_hull.exterior.coords)
    return Finding(
        "clash",
        "problem",
        "changes sides",
        one.partition(".")[0],
        (one, two),
        f"{one} and {two} change sides {case.moment(swap.opening)}: "
        "there one would pass flat through the other",
        amount=float(swap.area.area),
        unit="",
        from_deg=at,
        to_deg=at,
        worst_deg=at,
        place=case.place("area", case.world(swap.second, outline, swap.opening), swap.opening),
    )
