"""Clips: rotation and translation of every body over time (glTF 2.0 section 3.11)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from meshes.motion.keys import Keys

from .chunk import Chunk, metres, turn
from .nodes import Weights

SECONDS = 4.0
# What bends has keys this far apart, radians: a corner 50 mm from the gutter then strays from its
# circle by 50 (1 - cos 0.5°) = 0.002 mm (each page turns by half of it).
BEND_STEP = np.radians(2.0)


def animation(
    name: str,
    keys: Keys,
    chunk: Chunk,
    movers: Sequence[Sequence[int]],
    benders: Sequence[tuple[int, Weights]] = (),
) -> dict[str, Any]:
    """Rotation and translation of every body on one time line, and the weights of what bends."""
    clock = chunk.add(_seconds(keys.openings, keys), "SCALAR")
    samplers: list[dict[str, Any]] = []
    channels: list[dict[str, Any]] = []

    def add(nodes: Sequence[int], path: str, times: int, values: int) -> None:
        for node in nodes:
            target = {"node": node, "path": path}
            channels.append({"sampler": len(samplers), "target": target})
        samplers.append({"input": times, "output": values, "interpolation": "LINEAR"})

    for b, nodes in enumerate(movers):
        add(nodes, "rotation", clock, chunk.add(turn(keys.quaternions[:, b]), "VEC4"))
        add(nodes, "translation", clock, chunk.add(metres(keys.translations[:, b]), "VEC3"))
    if benders:
        first, last = keys.openings[0], keys.openings[-1]
        steps = np.linspace(first, last, max(int(np.ceil((last - first) / BEND_STEP)), 1) + 1)
        clock = chunk.add(_seconds(steps, keys), "SCALAR")
        for node, weights in benders:
            # Section 3.11: the weights of one key follow each other, then those of the next.
            add([node], "weights", clock, chunk.add(weights(steps).reshape(-1), "SCALAR"))
    return {"name": name, "samplers": samplers, "channels": channels}


def _seconds(openings: np.ndarray, keys: Keys) -> np.ndarray:
    return (openings - keys.openings[0]) / np.pi * SECONDS
