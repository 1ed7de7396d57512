"""What each building step says."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from meshes.building import Step, left_loose
from meshes.sheet import Join, Sheet
from preview.pattern.glue import letter
from preview.roles import listed, paper_called, plain, role, sheet_role, the

_MOST_NAMED = 4  # our choice
# A part held off its host by this much stands on pads; less is only the play of a loop.
# Our choice.
PAD_MM = 0.8


@dataclass(frozen=True)
class Words:
    """The text of one step."""

    title: str
    sentences: tuple[str, ...]


def told(
    steps: Sequence[Step], sheets: Sequence[Sheet], joins: Sequence[Join]
) -> tuple[Words, ...]:
    """What each step of a proved order says."""
    return tuple(
        words(
            step,
            sheets,
            joins,
            {j: at + 1 for j, at in left_loose(steps, k, sheets, joins).items()},
        )
        for k, step in enumerate(steps)
    )


def words(
    step: Step, sheets: Sequence[Sheet], joins: Sequence[Join], loose: Mapping[int, int]
) -> Words:
    """The text of a step.

    Parameters
    ----------
    loose : for each join of what is glued that stays without glue, the number of the step, from 1,
        in which it is glued.
    """
    told = _WRITERS[step.action](step, sheets, joins)
    return replace(told, sentences=(*told.sentences, *_loose(loose)))


def _loose(loose: Mapping[int, int]) -> list[str]:
    """What is left without glue; nothing else may be."""
    if not loose:
        return []
    later = [f"{letter(j)} (glued in step {number})" for j, number in loose.items()]
    return [f"Leave {listed(later)} loose for now."]


def _make(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    by_paper: dict[str, list[int]] = {}
    for k in step.sheets:
        by_paper.setdefault(sheets[k].paper.name, []).append(k)
    parts = [f"{_numbers(group)} from {paper_called(paper)}" for paper, group in by_paper.items()]
    mine = [sheets[k] for k in step.sheets]
    sentences = [f"Cut out {listed(parts)}."]
    if any(facet.polygon.interiors for sheet in mine for facet in sheet.facets):
        sentences.append("Slits and windows first, the outline last.")
    return Words(f"Make {the(plain(step.piece))}", (*sentences, *_folds(mine), *_rolled(mine)))


def _stick(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    by_paper: dict[str, list[int]] = {}
    for k in sorted(step.sheets):
        by_paper.setdefault(sheets[k].paper.name, []).append(k)
    cut = listed(
        [f"{_numbers(group)} from {paper_called(paper)}" for paper, group in by_paper.items()]
    )
    join = joins[step.joins[0]]
    _, where = _ends(step, join, sheets)
    hosts = {joins[j].host.partition(".")[0] for j in step.joins}
    if len(hosts) > 1:
        where = _several(sorted(hosts, key=[sheet.piece for sheet in sheets].index))
    guide = ", where the placing sheet shows it" if step.host == "page" else ""
    one = len(step.sheets) == 1
    lay = "it" if one else "each"
    laid = _several([sheets[k].piece for k in step.sheets])
    many = laid == _many(len(step.sheets)) and where == _many(len(hosts))
    whither = "on top of others" if many else f"to {the(where)}"
    return Words(
        f"Glue {the(laid)} {whither}",
        (
            f"Cut out {cut}.",
            *_rolled([sheets[k] for k in sorted(step.sheets)]),
            f"Put glue on the {_face(join)} and lay {lay} on its letter, {_letters(step)}{guide}.",
            *_only_held([sheets[k] for k in step.sheets]),
        ),
    )


def _several(pieces: Sequence[str]) -> str:
    """``moss``, ``moss and fern``, ``12 dots`` for dot-1 to dot-12, ``7 flat pieces``."""
    stems = {re.sub(r"[-_ ]?\d+(-mirrored)?$", "", piece) for piece in pieces}
    if len(pieces) == 1:
        return plain(pieces[0])
    if len(stems) == 1 and len(pieces) > 2:
        return f"{len(pieces)} {_plural(plain(stems.pop()))}"
    if len(pieces) <= _MOST_NAMED:
        return listed([plain(piece) for piece in pieces])
    return _many(len(pieces))


def _many(count: int) -> str:
    return f"{count} flat pieces"


# Nouns that a paper scene is likely to have and whose plural no rule gives.
_IRREGULAR = {
    **dict.fromkeys(("deer", "fish", "series", "sheep"), ""),
    **{"child": "children", "foot": "feet", "goose": "geese", "man": "men", "mouse": "mice"},
    **{"person": "people", "snowman": "snowmen", "tooth": "teeth", "woman": "women"},
    **{"half": "halves", "knife": "knives", "leaf": "leaves", "scarf": "scarves"},
    **{"shelf": "shelves", "wolf": "wolves"},
}


def _plural(name: str) -> str:
    """``dots``, ``poppies``, ``left stripes``."""
    *words, last = name.split()
    if last in _IRREGULAR:
        last = _IRREGULAR[last] or last
    elif re.search(r"[^aeiou]y$", last):
        last = f"{last[:-1]}ies"
    else:
        last += "es" if re.search(r"(s|x|z|ch|sh)$", last) else "s"
    return " ".join([*words, last])


def _numbers(group: Sequence[int]) -> str:
    """What the pattern calls sheets: it numbers them from 1, and the page has no number."""
    if len(group) == 1:
        return f"number {group[0]}"
    if len(group) > 2 and list(group) == list(range(group[0], group[-1] + 1)):
        return f"numbers {group[0]} to {group[-1]}"
    return f"numbers {listed([str(k) for k in group])}"


def _folds(mine: Sequence[Sheet]) -> list[str]:
    signs: dict[int, list[str]] = {1: [], -1: []}
    for sheet in mine:
        for crossing in sheet.crossings:
            signs[crossing.fold.sign].append(role(crossing.fold.name))
    count = len(signs[1]) + len(signs[-1])
    if not count:
        return ["There are no folds in it."]
    each = (
        "the fold along a ruler, then fold it"
        if count == 1
        else ("every fold along a ruler, then fold all of them")
    )
    said = [f"Score {each} sharply."]
    for sign, kind in ((1, "Mountain"), (-1, "Valley")):
        names = signs[sign]
        if 0 < len(names) <= _MOST_NAMED:
            said.append(f"{kind}: {listed(names)}.")
        elif names:
            said.append(
                f"{kind}: {len(names)} folds, dash and dot."
                if sign > 0
                else f"{kind}: {len(names)} folds, dashed."
            )
    return said


def _rolled(mine: Sequence[Sheet]) -> list[str]:
    """How paper is rolled, once for all that is rolled alike."""
    alike: dict[tuple[float, int], list[str]] = {}
    for sheet in mine:
        for curl in sheet.curls:
            single = len(sheet.facets) == 1
            name = plain(sheet.piece) if single else role(curl.facet)
            alike.setdefault((curl.over, curl.towards), []).append(name)
    said = []
    for (over, towards), names in alike.items():
        several = len(names) > _MOST_NAMED
        what = f"all {len(names)} marked parts" if several else listed([the(n) for n in names])
        side = "towards the printed side" if towards > 0 else "away from the printed side"
        said.append(
            f"Roll {what}, from the line with two dots on, over something {over:.3g} mm thick, "
            f"{side}; it springs back a little."
        )
    if said:
        said.append("A pencil is about 7 mm thick, a pen 10 mm.")
    return said


def _only_held(mine: Sequence[Sheet]) -> list[str]:
    """Where glue ends on paper that is rolled."""
    return ["Glue only as far as the line; what is rolled stays free."] * any(
        sheet.curls for sheet in mine
    )


def _close(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    letters = _letters(step)
    sheet = sheets[step.sheets[0]]
    name = _part(sheet, sheets)
    facets = listed([_facet(joins[j].facet) for j in step.joins])
    return Words(
        f"Close {the(name)}",
        (
            f"Put glue on {letters} ({facets}) and bring it round to the place with the same "
            "letter.",
            "Press until it holds; the folds stay free to move.",
        ),
    )


def _thread(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    part, host = _parts(step, sheets), plain(step.host)
    if step.host == step.piece:
        several = len(step.sheets) > 1
        return Words(
            f"{_capital(plain(step.piece))}: pass {the(part)} through the slits",
            (
                f"Put the flat layers over {the(part)} and push "
                f"{'each' if several else 'it'} through its slit from the printed side, before "
                f"{'their ends are' if several else 'its end is'} glued.",
                "Fold the ends down behind the layers. Nothing is glued yet.",
            ),
        )
    return Words(
        f"Pass {the(part)} through {the(host)}",
        (
            f"Push {the(part)} through the slit of {the(host)} now, before its end is glued.",
            "Afterwards it would no longer go through.",
        ),
    )


def _glue(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    join = joins[step.joins[0]]
    part, where = _ends(step, join, sheets)
    guide = ", where the placing sheet shows it" if step.host == "page" else ""
    one = len(step.joins) == 1
    place = f"place {_letters(step)}" if one else f"places {_letters(step)}"
    behind = step.host not in ("page", step.piece) and all(joins[j].side < 0 for j in step.joins)
    back = f"the back of {the(where)}"
    onto = f", on {back}" if behind else f" of {the(where)}"
    sentences = [
        f"Put glue on {_sides(step, joins)}.",
        f"Lay {'it' if one else 'all of it at once'} on {place}{onto}{guide}, and press.",
    ]
    if join.lift > 0:
        pads = ", on foam pads 1 mm thick" if join.lift >= PAD_MM else ""
        sentences.append(f"Glue only where it is hatched{pads}: what lies beneath must move.")
    own = f"{_capital(plain(step.piece))}: glue" if step.host == step.piece else "Glue"
    return Words(f"{own} {the(part)} to {back if behind else the(where)}", tuple(sentences))


def _press(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    part, host = _ends(step, joins[step.joins[0]], sheets)
    letters = _letters(step)
    if step.on_page:
        part = plain(step.piece)
    put = f"Fold {the(part)} flat. Put glue on {_sides(step, joins)}."
    if step.slips:
        put += " Slip it under the paper that lies over its place, with tweezers."
    if step.on_page:
        return Words(
            f"Close the notebook on {the(part)}",
            (
                put,
                "Close the notebook on it: this puts it in its place by itself. Press for half a "
                "minute.",
                "Open slowly, and free at once what sticks where it should not.",
            ),
        )
    return Words(
        f"Fold {the(host)} shut on {the(part)}",
        (
            put,
            f"Fold {the(host)} shut onto it, so that it lands on place {letters}. Press for half a "
            "minute, then open it again.",
        ),
    )


def _lay(step: Step, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Words:
    part = _part(sheets[step.sheets[0]], sheets)
    where = "the page" if step.host == "page" else the(plain(step.host))
    if step.moves == "turn":
        return Words(
            f"Pin {the(part)} on {where}",
            (
                f"Prick the cross in the middle of {the(part)} and the one on its place.",
                "Push a paper fastener through both and bend its legs apart, loosely enough for "
                "it to turn. No glue.",
            ),
        )
    if step.moves == "slide":
        return Words(
            f"Lay {the(part)} on {where}",
            (f"Lay {the(part)} on its place without glue.", "It must slide along its length."),
        )
    return Words(
        f"Hinge {the(part)} in the gutter",
        (
            "Lay it on the page with its straight edge in the gutter.",
            "Hinge it there with a strip of thin tape on both sides, so that it turns as a page.",
        ),
    )


_WRITERS = {
    "make": _make,
    "stick": _stick,
    "close": _close,
    "thread": _thread,
    "lay": _lay,
    "glue": _glue,
    "press": _press,
}


def _letters(step: Step) -> str:
    return listed([letter(j) for j in step.joins])


def _sides(step: Step, joins: Sequence[Join]) -> str:
    """Where glue goes: ``A, on the back of the left tab``, or ``A (back of …) and B (…)``."""
    sides = [f"{_face(joins[j])} of {the(_facet(joins[j].facet))}" for j in step.joins]
    letters = [letter(j) for j in step.joins]
    if len(sides) == 1:
        return f"{letters[0]}, on the {sides[0]}"
    return listed([f"{a} ({side})" for a, side in zip(letters, sides, strict=True)])


def _part(sheet: Sheet, sheets: Sequence[Sheet]) -> str:
    """The piece, with the sheet's own name where it has several."""
    several = sum(other.piece == sheet.piece for other in sheets) > 1
    return f"{sheet_role(sheet)} of {the(plain(sheet.piece))}" if several else plain(sheet.piece)


def _parts(step: Step, sheets: Sequence[Sheet]) -> str:
    """The sheets of a step: by their own names if they belong to what they go on."""
    if step.host == step.piece or len(step.sheets) > 1:
        first, *others = [sheet_role(sheets[k]) for k in step.sheets]
        return listed([first, *(the(part) for part in others)])
    return _part(sheets[step.sheets[0]], sheets)


def _facet(facet: str) -> str:
    return role(facet.partition(".")[2])


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ends(step: Step, join: Join, sheets: Sequence[Sheet]) -> tuple[str, str]:
    """What is glued, and to what; parts of one piece go by their own names."""
    sheet = sheets[step.sheets[0]]
    if step.host == "page":
        part = plain(step.piece) if len(step.sheets) > 1 else _part(sheet, sheets)
        return part, f"{plain(join.host.partition('.')[2])} page"
    host = next(other for other in sheets if join.host in _ids(other))
    if step.host == step.piece:
        return sheet_role(sheet), sheet_role(host)
    return _part(sheet, sheets), _part(host, sheets)


def _ids(sheet: Sheet) -> set[str]:
    return {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}


def _face(join: Join) -> str:
    return "back" if join.placement.up * join.side == 1 else "printed side"
