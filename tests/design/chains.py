"""Chains of random edits through the desk, as a page makes them, and back again."""

from __future__ import annotations

import json
import random
from collections import Counter
from pathlib import Path

from meshes import designs
from meshes.errors import DesignError
from meshes.spread import read
from preview.errors import UseError
from preview.viewer.desk import Desk
from tests.design.random_edits import judged, random_edit


def chain(folder: Path, design: str, seed: str, count: int) -> tuple[Counter[str], list[str]]:
    """Make random edits of a shipped design, or of ``start``, judge each, and undo them all.

    Returns
    -------
    How many of each kind were made and refused, and what is wrong.
    """
    draw, told, wrong = random.Random(seed), Counter[str](), []
    file = folder / f"{design}.toml"
    start = design == "start"
    first = designs.start(design, "") if start else designs.path(design).read_text("utf-8")
    if draw.random() < 0.3:
        first = "\ufeff" + first.replace("\n", "\r\n")
    file.write_bytes(first.encode())
    desk = Desk(file)
    for _ in range(count):
        before = file.read_bytes()
        edit = random_edit(draw, before.decode())
        asked = {"made": "", "edits": [edit.model_dump(mode="json")]}
        try:
            desk.edit(json.dumps(asked).encode())
        except (UseError, DesignError):
            told[f"{edit.edit} refused"] += 1
            if file.read_bytes() != before:
                wrong.append(f"{edit!r} was refused and changed the file")
            continue
        told[f"{edit.edit} made"] += 1
        wrong += filter(None, [judged(before.decode(), file.read_bytes().decode(), edit)])
    read(file)
    while desk.news()["undo"]:
        desk.undo(b"{}")
    if file.read_bytes() != first.encode():
        wrong.append("undoing all does not end at the first text")
    desk.close()
    return told, wrong
