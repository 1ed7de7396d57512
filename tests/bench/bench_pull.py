"""How many times a second the paper follows a hand: ``python -m tests.bench.bench_pull``.

A hand goes up and down in steps of a few millimetres at the corner of a piece that is farthest out,
each time along the way that one of its numbers moves it. Measured is the answer to one place of the
hand as the page gets it, with its JSON, without the page itself; and what it takes to take hold.
"""

from __future__ import annotations

import json
import statistics
import time
import tomllib
from pathlib import Path

import numpy as np

from meshes import designs, spread
from meshes.motion.memory import Memory
from meshes.pull.sketch import Sketch
from preview.viewer.byhand import STAGES
from preview.viewer.pulling import Puller
from tests.pull.pulling import outermost

# Our choice: pieces on the gutter and pieces on pieces, determined and free ones.
HELD = 4
STEPS = 12


def main() -> None:
    """Print a line for each shipped design."""
    print("design, facets: changes a second (median, slowest); ms to take hold")
    for name in designs.names():
        print(measured(designs.path(name)))


def measured(path: Path) -> str:
    """The line for one design."""
    made, memory = spread.read(path), Memory()
    made.solve(STAGES, memory=memory)
    sketch = Sketch(tomllib.loads(path.read_text()), made)
    puller = Puller()
    puller.show("now", sketch, memory)
    facets = sum(len(body.parts) for body in made.linkage.bodies)
    names = [name for name, piece in made.design.pieces.items() if piece.on == "gutter"][:HELD]
    names += [name for name, piece in made.design.pieces.items() if "." in piece.on][:HELD]
    times, holds = [], []
    for name in names:
        taken, pulled = _pulled(puller, sketch, name)
        holds.append(taken)
        times += pulled
    rates = 1 / statistics.median(times), 1 / max(times)
    held = 1000 * statistics.median(holds)
    return f"{path.stem}, {facets}: {rates[0]:.0f}, {rates[1]:.0f}; {held:.0f}"


def _pulled(puller: Puller, sketch: Sketch, name: str) -> tuple[float, list[float]]:
    """Seconds to take hold of a piece, and for each of the places of the hand."""
    part, corner = outermost(sketch, name)
    body, facet = next(
        (b, one) for b in sketch.spread.linkage.bodies for one in b.parts if one.id == part
    )
    held = {"piece": facet.sheet.piece, "body": body.name, "opening": 130}
    asked = {"made": "now", **held, "local": [*map(float, corner), float(facet.height)]}
    taken, first = _timed(puller, asked)
    place = np.array(first["held"])
    eye = (place + np.array([0.0, -500.0, 400.0])).tolist()
    times = []
    path = None
    for k in range(STEPS):
        target = place + (3 + 2 * k) * np.array([0.2, 0.6, 0.77])
        more = {"eye": eye, "target": target.tolist(), "path": path}
        seconds, answer = _timed(puller, {**asked, **more})
        path = answer.get("path")
        # The first one sets out; a hand that waits for it has not moved yet.
        times += [seconds] if k else []
    return taken, times


def _timed(puller: Puller, asked: dict) -> tuple[float, dict]:
    data = json.dumps(asked).encode()
    start = time.perf_counter()
    answer = puller.answer(data)
    json.dumps(answer)
    return time.perf_counter() - start, answer


if __name__ == "__main__":
    main()
