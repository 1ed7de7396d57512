"""What a step says of paper that gets to its place only if a hand bends it."""

from __future__ import annotations

from collections.abc import Sequence

from preview.roles import listed, plain, role, the

from .proof import Meeting

# So many obstacles are named; more are too many to read. Our choice.
_NAMED = 2


def advice(met: Sequence[Meeting], mine: Sequence[str]) -> str:
    """One sentence, or nothing if nothing is in the way.

    Parameters
    ----------
    met : what the paper of a step passes through, deepest first.
    mine : pieces that the step works on.
    """
    if not met:
        return ""
    worst = met[0]
    one, two = worst.first, worst.second
    if one.partition(".")[0] not in mine and two.partition(".")[0] in mine:
        one, two = two, one
    others = []
    for meeting in met:
        for name in (meeting.first, meeting.second):
            piece = name.partition(".")[0]
            if piece != one.partition(".")[0] and piece not in others:
                others.append(piece)
    if not others:
        return f"Bend {the(_said(one))} by hand: it is in the way of {the(_said(two))}."
    past = listed([the(_piece(other)) for other in others[:_NAMED]])
    return f"Bend {the(_said(one))} by hand to pass {past}."


def _said(facet: str) -> str:
    piece, dot, name = facet.partition(".")
    return f"{role(name)} of {the(plain(piece))}" if dot and name != "art" else _piece(piece)


def _piece(piece: str) -> str:
    return {"page": "pages"}.get(piece, plain(piece))
