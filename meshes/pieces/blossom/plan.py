"""From a blossom's keys to the numbers of its layers, with the rules checked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

import numpy as np

from .checks import SPARE, check_glued, check_motion, check_pleats
from .complaints import Complaints
from .fan import FULL, Fan
from .layer_plan import LayerPlan, Stand
from .model import Layer, Legs, says
from .petals import PetalShape
from .ruffle import RUFFLE_ROOM_MM, Ruffle, hangs
from .rules import LegSize, cone_limit, leg_length

# A disc or ruffle has no limit of its own; this leaves legs that stand firm. Our choice.
_LEAST_LIMIT = np.radians(30.0)
_PART_OF_SECTOR = 0.85  # our choice
# A shorter tab holds no glue: common practice, no source.
_LEAST_TAB_MM = 2.0


def plan(layers: Sequence[Layer], sign: Literal[1, -1], complaints: Complaints) -> list[LayerPlan]:
    """Work out every layer.

    Parameters
    ----------
    layers : from the lowest up.
    sign : of the crease: -1 valley, +1 mountain.

    Raises
    ------
    DesignError
        With everything that keeps the flower from being built.
    """
    plans = _draft(layers, sign, complaints)
    complaints.stop()
    for below, above in pairwise(plans):
        if above.stand == "glued":
            check_glued(below, above, complaints)
    complaints.stop()
    for k in range(len(plans) - 1, -1, -1):
        one = _lifted(plans[k], plans[k + 1] if k + 1 < len(plans) else None)
        if one.stand == "legs":
            one = replace(one, legs=_leg_size(one, plans, k, sign, complaints))
            complaints.stop()
        plans[k] = one
    check_motion(plans, sign, complaints)
    return plans


def _draft(
    layers: Sequence[Layer], sign: Literal[1, -1], complaints: Complaints
) -> list[LayerPlan]:
    plans: list[LayerPlan] = []
    names = [layer.name for layer in layers]
    for layer in layers:
        if names.count(layer.name) > 1:
            complaints.mistake(layer, "name", "two layers have the same name")
            continue
        inside = any(one.cone for one in plans)
        stand = layer.stand or ("glued" if inside else "legs")
        if stand == "flat" and inside:
            complaints.mistake(
                layer, "stand", "a flat layer lies below the others", advice="move it to the front"
            )
        if stand == "glued" and not inside:
            complaints.mistake(
                layer, "stand", "there is no layer below to glue it on", allowed="flat, legs"
            )
        if stand != "flat" and inside and sign == 1:
            complaints.mistake(
                layer,
                "stand",
                "a second layer of a flower on a mountain crease would meet the first",
                advice="one layer, or a valley crease",
            )
        prefix = f"{layer.name}-" if complaints.several else ""
        one = _one_layer(layer, stand, prefix, complaints)
        if one is not None:
            plans.append(one)
    return plans


def _one_layer(layer: Layer, stand: Stand, prefix: str, complaints: Complaints) -> LayerPlan | None:
    shape = _shape(layer, complaints)
    fan = _fan(layer, stand, complaints)
    if fan is None or not _fits_round(layer, stand, fan, complaints):
        return None
    need = 0.0
    if stand != "flat":
        try:
            need = cone_limit(fan.total, *fan.reach)
        except ValueError as error:
            complaints.mistake(layer, "angle", str(error), advice="more sectors in each half")
            return None
        check_pleats(layer, fan, complaints)
    rest = min(np.radians(60), np.radians(300) / fan.count) if layer.rest is None else layer.rest
    return LayerPlan(layer, prefix, stand, fan, shape, need, layer.name, float(rest))


def _shape(layer: Layer, complaints: Complaints) -> PetalShape:
    # Two thirds: our choice.
    parting = layer.length * 2 / 3 if layer.parting is None else layer.parting
    if parting >= layer.length:
        complaints.mistake(
            layer,
            "parting",
            "lies beyond the tips",
            f"{parting:g} mm",
            f"below {layer.length:g} mm",
        )
    elif layer.notch * layer.length > 0.8 * (layer.length - parting):
        complaints.mistake(
            layer,
            "notch",
            "is deeper than the petal is free",
            f"{layer.notch:g}",
            f"up to {0.8 * (1 - parting / layer.length):.3g} of the length",
        )
    shares = [1.0, *(share for share, _ in layer.profile)]
    if layer.profile and (any(a <= b for a, b in pairwise(shares)) or shares[-1] != 0):
        complaints.mistake(
            layer,
            "profile",
            "must run from the fold to the middle",
            allowed="first numbers falling from below 1 to 0",
            advice="[[0.55, 0.93], [0, 1]]",
        )
    profile = tuple(layer.profile)
    return PetalShape(
        layer.length, parting, layer.breadth, layer.point, layer.notch * layer.length, profile
    )


def _fan(layer: Layer, stand: Stand, complaints: Complaints) -> Fan | None:
    count = layer.sectors
    given = layer.angle
    if given is None or (stand == "flat" and not says(layer, "angle")):
        given = ((FULL if stand == "flat" else np.radians(300)) / count,)
    for key, values in (("angle", given), ("petals", layer.petals)):
        if count % len(values):
            complaints.mistake(
                layer,
                key,
                f"can't be repeated round {count} sectors",
                f"{len(values)} numbers",
                ", ".join(str(n) for n in range(1, count + 1) if count % n == 0) + " numbers",
            )
            return None
    angles = tuple(given) * (count // len(given))
    petals = tuple(layer.petals) * (count // len(layer.petals))
    return Fan(angles, petals, layer.legs.hang if stand != "flat" else "sector")


def _fits_round(layer: Layer, stand: Stand, fan: Fan, complaints: Complaints) -> bool:
    """Whether the sectors can be cut, lie flat if they must, and fold flat in two halves."""
    if stand == "flat":
        if abs(fan.total - FULL) > 1e-6:
            complaints.mistake(
                layer,
                "angle",
                "the sectors of a flat layer don't close",
                f"{np.degrees(fan.total):.4g}°",
                "360° together",
            )
        return True
    if fan.total > 2 * FULL:
        complaints.mistake(
            layer,
            "angle",
            "too much paper round one point",
            f"{np.degrees(fan.total):.4g}°",
            "up to 720°",
        )
        return False
    if fan.half_count is None:
        complaints.mistake(
            layer,
            "angle",
            "folds flat only if a fold lies on the crease behind, opposite the first one",
            f"{fan.count} sectors, none of which ends at half of {np.degrees(fan.total):.4g}°",
            "an even number of sectors, the same angles in both halves",
        )
        return False
    if fan.laterals() is None:
        _complain_of_middle(layer, fan, complaints)
        return False
    try:
        fan.sheets()
    except ValueError:
        complaints.mistake(layer, "angle", "a sector is too wide to be cut with a glue flap")
        return False
    return True


def _complain_of_middle(layer: Layer, fan: Fan, complaints: Complaints) -> None:
    half = fan.half_count or 0
    if fan.hang == "sector":
        complaints.mistake(
            layer,
            "sectors",
            "no sector lies in the middle of each half to carry the flower",
            f"{half} sectors in a half",
            "an odd number of equal sectors in each half (6, 10, 14 in all), or a wide one in the "
            "middle",
            'angle = [a, 2a, a] with petals = [1, 2, 1], or legs = { hang = "fold" }',
        )
        return
    complaints.mistake(
        layer,
        "legs.hang",
        f"no fold lies in the middle of each half to hang a leg {fan.hang}",
        f"{half} sectors in a half",
        "an even number of equal sectors in each half (4, 8, 12 in all)",
        'legs = { hang = "sector" }',
    )


def _lifted(one: LayerPlan, above: LayerPlan | None) -> LayerPlan:
    """Let a layer rise as far as what stands in it needs.

    What is glued in it rises as it does. Legs on it stand in a book that is open by 180° - 2 psi,
    so they let the upper layer rise to psi + limit.
    """
    if above is None or not one.cone:
        return one
    need = above.need - (above.legs.limit if above.legs else 0.0)
    return replace(one, need=need, governed_by=above.governed_by) if need > one.need else one


def _host(plans: Sequence[LayerPlan], k: int) -> LayerPlan | None:
    """The cone that a layer's legs stand on, or None if that is the piece's own host."""
    return plans[k - 1] if k and plans[k - 1].cone else None


def _leg_size(
    one: LayerPlan,
    plans: Sequence[LayerPlan],
    k: int,
    sign: Literal[1, -1],
    complaints: Complaints,
) -> LegSize | None:
    keys, legs, host = one.keys, one.keys.legs, _host(plans, k)
    top = (
        one.shape.parting * (0.5 if host is None else 0.6) if legs.hang_at is None else legs.hang_at
    )
    if top >= one.shape.parting:
        complaints.mistake(
            keys,
            "legs.hang_at",
            "lies beyond the folds of its petal",
            f"{top:g} mm",
            f"below {one.shape.parting:g} mm",
        )
        return None
    # How far the leg leans, on a valley inwards, and what the rules below leave out: our choice.
    share = 2 / 3 if sign == -1 else 0.25
    foot = top * share if legs.distance is None else legs.distance
    aside = top * np.tan(one.fan.reach[1] / 2) if one.fan.hang == "beside" else 0.0
    room = _room(one, host, top, foot, aside)
    half_width = min(6.0, _PART_OF_SECTOR * room) if legs.width is None else legs.width / 2
    # The sector narrows towards the middle, and the tab with it, to two fifths of the leg.
    ends = (aside + 0.4 * half_width) / np.tan(min(one.fan.reach[1], 1.5))
    size = LegSize(
        top,
        foot,
        _length(one, legs, top, foot, sign),
        half_width,
        float(aside),
        float(min(legs.tab, 0.6 * top, max(top - ends, 0.1 * top))),
        min(legs.tab, host.shape.parting - foot - 0.5) if host else legs.tab,
    )
    if legs.length is None and legs.lowest_angle is None and sign == -1 and host is None:
        size = _lifting(one, size)
    return size if _leg_works(one, size, host, room, sign, complaints) else None


def _length(one: LayerPlan, legs: Legs, top: float, foot: float, sign: Literal[1, -1]) -> float:
    if legs.length is not None:
        return legs.length
    if sign == 1 and legs.lowest_angle is None:
        return max(top * 2 / 3, _over_flat(one, top, foot))  # our choice
    least = _LEAST_LIMIT if one.need <= 0 else 0.0
    limit = max(one.need + SPARE, least) if legs.lowest_angle is None else legs.lowest_angle
    return leg_length(top, foot, min(limit, np.radians(89)))


def _over_flat(one: LayerPlan, top: float, foot: float) -> float:
    """The leg, mm, with which a cone on a mountain still has room once that is nearly flat.

    A carrying petal then falls by its need, as cones must, and its tip may touch the host: the
    leg's top lies higher by what is left of the petal, and inward of it by what its foot is not.
    """
    if one.need <= 0:
        return 0.0
    rest = one.shape.length - top
    return float(np.hypot(top * np.cos(one.need) - foot, rest * np.sin(one.need)))


def _lifting(one: LayerPlan, size: LegSize) -> LegSize:
    """Legs that lift a ruffle's folds off the crease, if there are any."""
    if not hangs(one.fan, one.keys.gutter_folds):
        return size
    ruffle = Ruffle(one.fan, one.shape)
    if ruffle.room(size) >= RUFFLE_ROOM_MM:
        return size
    least = ruffle.least_length(size, RUFFLE_ROOM_MM)
    return size if least is None else replace(size, length=least)


def _room(one: LayerPlan, host: LayerPlan | None, top: float, foot: float, aside: float) -> float:
    """Half the width that the petals above and below leave for a leg, mm."""
    rooms = [one.fan.room(top, aside)]
    if host is not None:
        rooms.append(host.fan.room(foot, aside))
    return min(rooms)


def _leg_works(
    one: LayerPlan,
    size: LegSize,
    host: LayerPlan | None,
    room: float,
    sign: Literal[1, -1],
    complaints: Complaints,
) -> bool:
    keys = one.keys
    if sign == -1 and np.isnan(size.limit):
        complaints.mistake(
            keys,
            "legs.length",
            "makes no triangle with hang_at and distance",
            f"{size.length:g} mm",
            f"{abs(size.top - size.foot):.4g} to {size.top + size.foot:.4g} mm",
        )
    elif size.half_width > room + 1e-9:
        on = f" and the one of {host.keys.name} that it stands on" if host else ""
        complaints.mistake(
            keys,
            "legs.width",
            f"is wider than the petal that the leg hangs from{on}",
            f"{2 * size.half_width:.4g} mm",
            f"up to {2 * room:.3g} mm" if room > 0 else "",
            "legs farther from the middle",
        )
    elif host is not None and size.foot_tab < _LEAST_TAB_MM:
        complaints.mistake(
            keys,
            "legs.distance",
            f"leaves no room for a tab before the folds of {host.keys.name} end",
            f"{size.foot:.4g} mm",
            f"up to {host.shape.parting - _LEAST_TAB_MM - 0.5:.3g} mm",
        )
    else:
        return True
    return False
