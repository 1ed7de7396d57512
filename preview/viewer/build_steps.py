"""The building order as the page shows it: of the building guide, else what the joins tell."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np

from meshes.building import BuildError, Step, check_closes, proved_order
from meshes.building.kept import LOOKED_AT_DEG
from meshes.motion.result import Motion
from meshes.spread import Spread
from preview.guide.care import with_care
from preview.guide.words import Words, told

Json = dict[str, Any]


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
        check_closes(motion)
        steps = proved_order(spread)
    except BuildError:
        return _by_joins(spread)
    texts = with_care(told(steps, spread.sheets, spread.joins), spread, steps, _thinned(motion))
    return [_row(step, text) for step, text in zip(steps, texts, strict=True)]


def _thinned(motion: Motion) -> Motion:
    far = np.abs(motion.openings[:, None] - np.radians(LOOKED_AT_DEG))
    rows = np.unique(far.argmin(axis=0))
    names = [field.name for field in fields(motion) if field.name != "findings"]
    return replace(motion, **{name: getattr(motion, name)[rows] for name in names})


def _row(step: Step, text: Words) -> Json:
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
