"""One design, built again after every change, with what earlier builds have found."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from meshes.motion.keys import solved_run
from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.pull.sketch import Sketch
from meshes.spread import Spread
from preview.errors import UseError

from .aside import Aside, details, details_and_cures, planned
from .byhand import STAGES
from .payload import quick_payload
from .prints import prints
from .pulling import Puller
from .server import Reply
from .watch import Build, digest, fingerprint, name_of, named_files


class Follower:
    """Builds scenes of a design: at once what moves, the rest a little later.

    Parameters
    ----------
    path : of the design file.
    read : reads the spread.
    as_it_is : whether that is what the file says, with nothing set otherwise; only then can the
        paper be pulled.

    Attributes
    ----------
    puller : answers while a hand pulls at the paper.
    """

    def __init__(self, path: Path, read: Callable[[], Spread], as_it_is: bool = True) -> None:
        self._path, self._read, self._as_it_is = path, read, as_it_is
        self.puller = Puller()
        self._memory = Memory()
        self._aside = Aside(details_and_cures if as_it_is else details)
        self._planner = Aside(planned)
        self._unplanned: tuple[Spread, Motion] | None = None
        self._wanted = False
        self._glue: object = None
        self._steps: Any = None
        self._curled: object = None
        self._curl: Any = None

    def build(self) -> Build:
        """The scene as it can be shown at once.

        Raises
        ------
        DesignError
            With every mistake in the file.
        UseError
            If the design does not move.
        """
        text = self._path.read_bytes()
        others = named_files(self._path, text.decode("utf-8-sig", "replace"))
        held = (digest(text), *fingerprint(others))
        spread = self._read()
        motion = moving(spread, self._memory)
        glue, curled = _glued(spread), _curled(spread)
        # The order hardly ever changes with a measure, and how far paper has room to curl little,
        # so the last ones are shown until it is sure.
        same = glue == self._glue
        curl = self._curl if same and curled == self._curled else None
        scene = quick_payload(spread, motion, self._memory, curl)
        scene["steps"] = self._steps if same else None
        self._glue, self._curled, self._curl = glue, curled, scene["curl"]
        scene["made"] = self._show(text, spread)
        scene["prints"] = prints(spread) if self._as_it_is else []
        self._aside.begin(spread, motion)
        self._planner.close()
        self._unplanned, self._wanted = (spread, motion), False
        return Build(scene, (self._path, *others), self._news, held)

    def close(self) -> None:
        """Stop what is worked out aside."""
        self._aside.close()
        self._planner.close()

    def answers(self) -> dict[str, Reply]:
        """What the page can ask for, by address."""
        return {"/pull": Reply(self.puller.answer), "/course": Reply(self.plan)}

    def plan(self, data: bytes) -> dict[str, Any]:
        """A page wants the building course of what it shows; it comes as news."""
        self._wanted = True  # who asks for the news begins it
        return {}

    def _show(self, text: bytes, spread: Spread) -> str:
        """Hand a state of the design to who pulls at it, and give it a name."""
        if not self._as_it_is:
            return ""
        made = name_of(text)
        tables = tomllib.loads(text.decode("utf-8-sig"))
        self.puller.show(made, Sketch(tables, spread), self._memory.copy())
        return made

    def _news(self) -> list[dict[str, Any]]:
        if self._wanted and self._unplanned is not None:
            self._planner.begin(*self._unplanned)
            self._unplanned = None
        found = [*self._aside.news(), *self._planner.news()]
        for part in found:
            self._steps = part.get("steps", self._steps)
            self._curl = part.get("curl", self._curl)
        return found


def moving(spread: Spread, memory: Memory) -> Motion:
    """The motion in steps of 1°; UseError if there is none to show."""
    motion = spread.solve(STAGES, memory=memory)
    if len(solved_run(motion).openings) < 2:
        reasons = "; ".join(finding.reason for finding in motion.findings)
        raise UseError(f"this design does not move, so there is nothing to view: {reasons}")
    return motion


def _curled(spread: Spread) -> object:
    """Which facets are curled, in the order of the design."""
    return [
        (sheet.piece, sheet.name, curl.facet, curl.number)
        for sheet in spread.sheets
        for curl in sheet.curls
    ]


def _glued(spread: Spread) -> object:
    """The sheets by name, and what is glued to what."""
    sheets = [(sheet.piece, sheet.name) for sheet in spread.sheets]
    return sheets, [(join.facet, join.host) for join in spread.joins]
