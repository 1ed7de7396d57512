"""Clips: rotation and translation of every body over time (glTF 2.0 section 3.11)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from meshes.motion.keys import Keys

from .chunk import Chunk, metres, turn
from .nodes import Bender

SECONDS = 4.0


def animation(
    name: str,
    keys: Keys,
    chunk: Chunk,
    movers: Sequence[Sequence[int]],
    benders: Sequence[Bender] = (),
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
    first, last = keys.openings[0], keys.openings[-1]
    clocks: dict[float, tuple[np.ndarray, int]] = {}
    for bender in benders:
        if bender.step not in clocks:
            count = max(int(np.ceil((last - first) / bender.step)), 1)
            steps = np.linspace(first, last, count + 1)
            clocks[bender.step] = steps, chunk.add(_seconds(steps, keys), "SCALAR")
        steps, clock = clocks[bender.step]
        # Section 3.11: the weights of one key follow each other, then those of the next.
        add(
            [bender.node],
            "weights",
            clock,
            chunk.add(bender.weights(steps).reshape(-1), "SCALAR"),
        )
    return {"name": name, "samplers": samplers, "channels": channels}


def _seconds(openings: np.ndarray, keys: Keys) -> np.ndarray:
    return (openings - keys.openings[0]) / np.pi * SECONDS
