"""The building order as the page shows it: of the building guide, else what the joins tell."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np

from meshes.building import BuildError, Step, order
from meshes.motion.result import Motion
from meshes.spread import Spread
from preview.guide.words import words

Json = dict[str, Any]

# Openings at which it is asked whether a finger reaches each glue area, as in the building guide.
_REACHED_DEG = (0.0, 20.0, 45.0, 70.0, 95.0, 120.0, 150.0, 180.0)


def building_steps(spread: Spread, motion: Motion) -> list[Json]:
    """Steps that build a spread.

    Parameters
    ----------
    motion : at whole degrees or denser.

    Returns
    -------
    Each with ``title``, ``text``, ``action``, ``piece``, ``sheets`` (indices of those that are
    worked on), ``present`` (of all that hang together with them afterwards) and ``on_page``
    (whether these include the page).
    """
    try:
        steps = order(spread.sheets, spread.joins, spread.linkage, _thinned(motion))
    except BuildError:
        return _by_joins(spread)
    return [_told(spread, steps, k) for k in range(len(steps))]


def _thinned(motion: Motion) -> Motion:
    far = np.abs(motion.openings[:, None] - np.radians(_REACHED_DEG))
    rows = np.unique(far.argmin(axis=0))
    names = [field.name for field in fields(motion) if field.name != "findings"]
    return replace(motion, **{name: getattr(motion, name)[rows] for name in names})


def _told(spread: Spread, steps: tuple[Step, ...], k: int) -> Json:
    step = steps[k]
    more = any(later.sheets == step.sheets and later.joins for later in steps[k + 1 :])
    text = words(step, spread.sheets, spread.joins, more)
    return {
        "title": text.title,
        "text": " ".join(text.sentences),
        "action": step.action,
        "piece": step.piece,
        "sheets": list(step.sheets),
        "present": sorted(step.present | set(step.sheets)),
        "on_page": step.on_page,
    }


def _by_joins(spread: Spread) -> list[Json]:
    """What can't be built for certain, piece by piece: what a piece stands on comes before it."""
    glued: dict[str, list[str]] = {}
    for join in spread.joins:
        piece, host = (facet.partition(".")[0] for facet in (join.facet, join.host))
        if piece != host:
            hosts = glued.setdefault(piece, [])
            if join.host not in hosts:
                hosts.append(join.host)
    waiting = [piece for piece in dict.fromkeys(s.piece for s in spread.sheets) if piece != "page"]
    done: set[str] = {"page"}
    steps: list[Json] = []
    while waiting:
        ready = [p for p in waiting if {h.partition(".")[0] for h in glued.get(p, ())} <= done]
        piece = (ready or waiting)[0]  # pieces that carry each other: in the order of the design
        waiting.remove(piece)
        done.add(piece)
        on = " and ".join(_host_words(host) for host in glued.get(piece, ()))
        sheets = [k for k, sheet in enumerate(spread.sheets) if sheet.piece == piece]
        steps.append(
            {
                "title": f"Glue {piece} on {on}" if on else piece,
                "text": "",
                "action": "glue",
                "piece": piece,
                "sheets": sheets,
                "present": [k for k, sheet in enumerate(spread.sheets) if sheet.piece in done],
                "on_page": True,
            }
        )
    return steps


def _host_words(host: str) -> str:
    piece, _, facet = host.partition(".")
    return f"the {facet} page" if piece == "page" else f"{piece} ({facet})"
