"""Figures of one design: its sizes, its papers, what its building takes, words to find it by."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from meshes.errors import DesignError
from preview.errors import UseError

from .store import Row

if TYPE_CHECKING:
    from meshes.check import Case
    from meshes.spread import Spread

# What repeating adds to the name of a piece, and which side it is on: no words for a thing.
_NO_THING = {"mirrored", "left", "right", "far", "near", "middle", "behind", "front", "back"}
_SHORTEST = 3  # letters of a word that somebody would look for; our choice
# Paper on which most people print. Source: ISO 216.
_PRINTED_ON = "A4"


def sizes(spread: Spread, case: Case) -> Row:
    """Page, closed thickness, standing height, papers and the counts of paper."""
    from meshes.check import thickness

    page = spread.design.spread
    papers = [sheet for sheet in spread.sheets if sheet.piece != "page"]
    opened = case.motion.openings[case.motion.solved]
    return {
        "page": page.page or "own size",
        "page_width_mm": round(float(page.width), 2),
        "page_height_mm": round(float(page.height), 2),
        "closed_thickness_mm": round(thickness.peak(case), 2),
        "standing_height_mm": round(_standing(case), 1),
        "opens_to_deg": round(float(np.degrees(opened.max())), 1) if len(opened) else 0.0,
        "pieces": len({sheet.piece for sheet in papers}),
        "sheets": len(papers),
        "facets": sum(len(sheet.facets) for sheet in papers),
        "folds": len(spread.linkage.hinges),
        "moved_by_hand": len(spread.linkage.drives),
        "papers": [
            {"name": paper.name, "grammage": paper.grammage}
            for paper in sorted(
                {sheet.paper for sheet in papers}, key=lambda paper: (paper.grammage, paper.name)
            )
        ],
    }


def building(spread: Spread) -> Row:
    """Steps and working time as in the guide, sheets to print; nothing if it can't be built so."""
    from meshes.building import proved
    from preview.guide.plan import minutes
    from preview.pack.parts import printed_on
    from preview.pattern.allowance import to_cut

    try:
        steps = proved(spread)
        pattern = printed_on(_PRINTED_ON, spread.design.title, to_cut(spread, True))
    except (DesignError, UseError):
        return {}
    return {
        "steps": len(steps),
        "minutes": minutes(pattern, steps),
        "printed_on": pattern.options.stock.name,
        "printed_sheets": sum(use.sheets for use in pattern.papers),
    }


def words(spread: Spread) -> list[str]:
    """What the pieces are called, word by word, sorted."""
    found = {word for name in spread.design.pieces for word in re.split(r"[\W\d_]+", name.lower())}
    return sorted(word for word in found - _NO_THING if len(word) >= _SHORTEST)


def _standing(case: Case) -> float:
    """Height of the highest point over the gutter at any stage from half open on, mm."""
    motion, highest = case.motion, 0.0
    for stage in np.flatnonzero(motion.solved & (motion.openings >= np.pi / 2 - 1e-9)):
        for number, body in enumerate(case.linkage.bodies):
            rotation, shift = motion.rotations[stage, number], motion.translations[stage, number]
            for part in body.parts:
                if part.sheet.piece != "page":
                    flat = np.asarray(part.polygon.exterior.coords)
                    heights = flat @ rotation[2, :2] + shift[2]
                    highest = max(highest, float(heights.max()))
    return highest
