"""How the page moves a spread: key poses of each wedge, and what a hand can turn or slide.

Flyleaves part the opening into wedges, each with an opening of its own, so keys over that opening
serve wherever the flyleaves are put. A wheel or a slide carries what stands on it. The page does
this arithmetic itself (see `meshes.drive`), so that nothing is solved while a hand moves.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from meshes.drive import LEAST_RAD, Wedges, in_space, riders
from meshes.linkage import Linkage
from meshes.motion.keys import Keys, choose_keys
from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.motion.solve import solve
from meshes.sheet import Drive
from meshes.spread import Spread

Json = dict[str, Any]

# Openings at which a spread is solved to be viewed, radians: one degree apart.
STAGES = np.radians(np.arange(181.0))


@dataclass(frozen=True)
class Wedge:
    """Bodies between two neighbouring flyleaves, and their keys over the opening of the two.

    Parameters
    ----------
    bodies, hinges : indices in the linkage, in the order of the keys.
    """

    bodies: tuple[int, ...]
    hinges: tuple[int, ...]
    keys: Keys


def wedges_of(
    spread: Spread, motion: Motion, memory: Memory | None = None, quick: bool = False
) -> list[Wedge]:
    """The wedges from left to right; one for a spread without flyleaves.

    Parameters
    ----------
    motion : of the spread with everything at rest, 1° apart or denser.
    quick : solve nothing more where the motion is sampled too coarsely for the last 0.05 mm.

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    linkage = spread.linkage
    if not linkage.drives:
        refine = None if quick else (lambda openings: spread.solve(openings, memory=memory))
        keys = choose_keys(linkage.bodies, motion, refine)
        everything = tuple(range(len(linkage.bodies))), tuple(range(len(linkage.hinges)))
        return [Wedge(*everything, keys)]
    wedges = Wedges(linkage)
    return [_wedge(wedges, k, memory, quick) for k in range(len(wedges.sides) - 1)]


def _wedge(wedges: Wedges, k: int, memory: Memory | None, quick: bool) -> Wedge:
    part, bodies = wedges.linkage_of(k)
    refine = None if quick else (lambda openings: solve(part, openings, memory))
    keys = choose_keys(part.bodies, solve(part, STAGES, memory), refine)
    # The left side of a wedge moves with the wedge before it.
    own = np.arange(0 if k == 0 else 1, len(bodies))
    number = {hinge.name: h for h, hinge in enumerate(wedges.linkage.hinges)}
    keys = Keys(keys.openings, keys.quaternions[:, own], keys.translations[:, own], keys.angles)
    return Wedge(
        tuple(bodies[n] for n in own), tuple(number[hinge.name] for hinge in part.hinges), keys
    )


def packed(wedge: Wedge) -> Json:
    """A wedge for the page: numbers as base64 of little-endian 32-bit floats, angles in degrees."""
    keys = wedge.keys
    return {
        "bodies": list(wedge.bodies),
        "folds": list(wedge.hinges),
        "openings": _base64(np.degrees(keys.openings)),
        "quaternions": _base64(keys.quaternions),
        "translations": _base64(keys.translations),
        "angles": _base64(np.degrees(keys.angles)),
    }


def hands(linkage: Linkage) -> list[Json]:
    """What a hand can move, flyleaves from left to right first, each as the page needs it.

    Returns
    -------
    Each with ``name``, ``kind``, ``rest`` (0 to 1) and ``body``. A wheel or a slide also has
    ``reach`` (radians or mm), ``axis``, ``host`` (a body), ``riders`` (bodies), ``laid`` and
    ``freed``: 4 × 4 matrices by columns, from the moving sheet to the host's body and from the
    moving body to its sheet.
    """
    if not linkage.drives:
        return []
    return [*_leaves(linkage), *_riding(linkage)]


def least_deg() -> float:
    """How far two flyleaves keep apart, degrees."""
    return float(np.degrees(LEAST_RAD))


def _leaves(linkage: Linkage) -> Iterator[Json]:
    for drive in Wedges(linkage).flyleaves:
        yield _common(linkage, drive)


def _riding(linkage: Linkage) -> Iterator[Json]:
    for drive in linkage.drives:
        if drive.kind == "flyleaf":
            continue
        body, moving = linkage.place(drive.join.facet)
        host_body, host = linkage.place(drive.join.host)
        laid = in_space(host.placement) @ in_space(drive.join.placement)
        yield {
            **_common(linkage, drive),
            "reach": drive.reach,
            "axis": list(drive.axis),
            "host": host_body,
            "riders": riders(linkage, body),
            "laid": laid.T.ravel().tolist(),
            "freed": np.linalg.inv(in_space(moving.placement)).T.ravel().tolist(),
        }


def _common(linkage: Linkage, drive: Drive) -> Json:
    body, _ = linkage.place(drive.join.facet)
    return {"name": drive.name, "kind": drive.kind, "rest": drive.rest, "body": body}


def _base64(values: np.ndarray) -> str:
    return base64.b64encode(np.ascontiguousarray(values, "<f4").tobytes()).decode()
