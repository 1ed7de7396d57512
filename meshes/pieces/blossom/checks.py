"""The rules that a planned blossom must obey to be built, to close and to open all the way."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

import numpy as np

from .complaints import Complaints
from .fan import FULL, NEAR, Fan
from .layer_plan import LayerPlan
from .model import Layer
from .ruffle import RUFFLE_ROOM_MM, Ruffle, hangs
from .rules import LegSize, cone_limit, jam_opening, leg_length

# A flower that may sink a little deeper than it must opens all the way in spite of small faults.
# Our choice.
SPARE = np.radians(4.0)
# So much steeper than it needs by itself a flower may be held by what is glued in it. Our choice.
_PINCHED = np.radians(30.0)


def check_pleats(layer: Layer, fan: Fan, complaints: Complaints) -> None:
    """A ruffle whose folds over the crease are mountains is pleated; pleats must not cross."""
    if layer.gutter_folds == "valley":
        return
    if fan.total < FULL - NEAR:
        complaints.mistake(
            layer,
            "gutter_folds",
            "a cone bends one way all round",
            "mountain",
            "valley below 360°",
        )
        return
    if fan.count != 6 or fan.hang != "sector":
        complaints.mistake(
            layer,
            "gutter_folds",
            "mountains over the crease fold flat with one sector on either side of the middle one",
            f"{fan.count} sectors",
            "6 sectors",
            "valley",
        )
        return
    side, middle = max(fan.angles[0], fan.angles[2]), fan.angles[1] / 2
    if side > middle + NEAR:
        complaints.mistake(
            layer,
            "angle",
            "the pleats of the two halves pass through each other in the closed book",
            f"side sectors of {np.degrees(side):.4g}°",
            f"up to {np.degrees(middle):.4g}°, half the middle sector",
            'a wider middle sector, as in [45, 100, 45], or gutter_folds = "valley"',
        )


def check_glued(below: LayerPlan, above: LayerPlan, complaints: Complaints) -> None:
    """A glued layer must lie inside the one below."""
    inner, outer = above.fan, below.fan
    if inner.total >= outer.total - NEAR:
        complaints.mistake(
            above.keys,
            "angle",
            f"as wide as the layer it is glued in ({below.keys.name}), so their folds over the "
            "crease meet",
            f"{np.degrees(inner.total):.4g}° together",
            f"below {np.degrees(outer.total):.4g}°",
        )
    (low, high), (outer_low, outer_high) = inner.reach, outer.reach
    if low < outer_low - NEAR or high > outer_high + NEAR:
        complaints.mistake(
            above.keys,
            "angle",
            f"the glued petal is wider than the one it is glued on ({below.keys.name})",
            f"{np.degrees(low):.4g}° to {np.degrees(high):.4g}° from the middle",
            f"{np.degrees(outer_low):.4g}° to {np.degrees(outer_high):.4g}°",
        )
        return
    _check_pinch(below, above, complaints)


def _check_pinch(below: LayerPlan, above: LayerPlan, complaints: Complaints) -> None:
    """A glued bud stays as steep as its paper needs, and so does all that it is glued in."""
    own = cone_limit(below.fan.total, *below.fan.reach)
    bud = cone_limit(above.fan.total, *above.fan.reach)
    if bud <= own + _PINCHED:
        return
    # The share by which all sectors must grow, to a thousandth of a degree of the widest.
    low, high = 1.0, below.fan.total / above.fan.total
    while (high - low) * max(above.fan.angles) > np.radians(0.001):
        middle = (low + high) / 2
        total, (left, right) = above.fan.total * middle, above.fan.reach
        steep = cone_limit(total, left * middle, right * middle) > own + _PINCHED
        low, high = (middle, high) if steep else (low, middle)
    wide = ", ".join(
        f"{np.ceil(100 * angle * high) / 100:g}"
        for angle in dict.fromkeys(np.degrees(above.fan.angles).tolist())
    )
    complaints.warning(
        above.keys,
        "angle",
        f"a bud so narrow, glued in {below.keys.name}, keeps the whole flower pinched: even flat "
        f"open its petals stay at {np.degrees(bud):.0f}° or steeper, without it at "
        f"{np.degrees(own):.0f}°",
        f"{np.degrees(above.fan.total):.4g}° together",
        advice=f"angle = {wide} or wider",
    )


def check_motion(plans: Sequence[LayerPlan], sign: Literal[1, -1], complaints: Complaints) -> None:
    """Warn of what can be built but jams or rubs."""
    base = next((one for one in plans if one.legs is not None), None)
    if base is None or base.legs is None:
        return
    if sign == 1:
        _check_ridge(base, base.legs, complaints)
        return
    _check_opening(base, base.legs, complaints)
    middle, legs = 0.0, base.legs
    for one in plans:
        if one.stand == "legs" and one.legs is not None:
            middle, legs = middle + one.legs.closed_middle, one.legs
        if one.cone and hangs(one.fan, one.keys.gutter_folds):
            _check_ruffle(one, middle, base.keys if legs is base.legs else None, legs, complaints)
    for below, above in pairwise(plans):
        if below.cone and below.fan.total > FULL - NEAR:
            complaints.warning(
                above.keys,
                "stand",
                f"nothing keeps it from passing through {below.keys.name}, which is not a cone",
                advice="look at the closing flower, or give the layer below less than 360°",
            )


def _check_opening(one: LayerPlan, legs: LegSize, complaints: Complaints) -> None:
    """Cone limit against page limit."""
    if one.need <= legs.limit + NEAR:
        return
    mended = leg_length(legs.top, legs.foot, min(one.need + SPARE, np.radians(89)))
    complaints.warning(
        one.keys,
        "legs.length",
        f"the flower jams at {np.degrees(jam_opening(one.need, legs.limit)):.4f}°: its legs let "
        f"the carrying petals rise to {np.degrees(legs.limit):.4g}° over the flat page, but the "
        f"sectors of {one.governed_by} can't open below {np.degrees(one.need):.4g}°",
        f"{legs.length:.4g} mm",
        f"{leg_length(legs.top, legs.foot, one.need):.4g} mm or more where they hang and stand",
        f"{mended:.2f} mm, or wider sectors",
    )


def _check_ruffle(
    one: LayerPlan, middle: float, base: Layer | None, legs: LegSize, complaints: Complaints
) -> None:
    """Two folds of a ruffle hang down over the crease, closed and open; they must not reach it.

    `middle` is how far the closed flower keeps from the crease, mm; `base` is None if the legs
    stand on another cone, of which only the closed book is known. Of more than six sectors, those
    between leg and crease can bend out of the way, and only its motion tells whether they do.
    """
    past = middle + float(one.rim()[:, 0].min())
    ruffle = Ruffle(one.fan, one.shape)
    if past >= 0 and (base is None or one.fan.count > 6 or ruffle.room(legs) >= 0):
        return
    found, allowed = f"legs of {legs.length:.4g} mm", ""
    problem = "the legs do not lift the folds over the crease clear of it, so the ruffle jams"
    if past < 0:
        problem = (
            "the closed ruffle reaches past the crease, so it can't open and close all the way"
        )
        found, allowed = f"{-past:.3g} mm past it", "not past it"
    complaints.warning(
        one.keys,
        "length",
        problem,
        found,
        allowed,
        _ruffle_cure(one, ruffle, base, legs, complaints) if base is not None else "",
    )


def _ruffle_cure(
    one: LayerPlan, ruffle: Ruffle, base: Layer, legs: LegSize, complaints: Complaints
) -> str:
    """Numbers with which a ruffle opens all the way."""
    cures = []
    length = ruffle.least_length(legs, RUFFLE_ROOM_MM)
    if length is not None:
        key = complaints.key(base, "legs.length")
        cures.append(f"{key} = {np.ceil(10 * length) / 10:.4g}")
    share = ruffle.largest_share(legs, RUFFLE_ROOM_MM)
    if share is not None:
        size = [np.floor(10 * share * part) / 10 for part in (one.shape.length, one.shape.parting)]
        cures.append(f"length = {size[0]:.4g} and parting = {size[1]:.4g}")
    return ", or ".join(cures)


def _check_ridge(one: LayerPlan, legs: LegSize, complaints: Complaints) -> None:
    """On a mountain the flower closes like an umbrella over its legs and the ridge."""
    over = legs.top + legs.length - legs.foot
    least = one.shape.parting * np.cos(min(one.fan.total / 4, np.pi / 2))
    if over < least:
        complaints.warning(
            one.keys,
            "legs.length",
            "the closed umbrella hits the crease it stands on",
            f"middle {over:.3g} mm beyond the crease",
            f"at least {least:.3g} mm",
            f"legs {least - over:.3g} mm longer",
        )


def check_length(
    plans: Sequence[LayerPlan], along: float, length: float, complaints: Complaints
) -> None:
    """The closed flower must stay between the foot and the head of the page."""
    for one in plans:
        rim = one.rim()
        over = {"foot": -(along + rim[:, 1].min()), "head": along + rim[:, 1].max() - length}
        edge = max(over, key=lambda key: float(over[key]))
        if over[edge] > 0:
            complaints.warning(
                one.keys,
                "length",
                f"sticks out at the {edge} of the closed page",
                f"{over[edge]:.3g} mm",
                "inside the page",
                f"another place along the crease than at = {along:g}, or shorter petals",
            )
