"""Solving time against the number of facets, from 10 to 1,000, as a table and a picture.

Run with ``python -m tests.bench.bench_growth [PICTURE.png]`` and one BLAS thread. The stacks are
random and sound, some pieces on each other and some beside each other; each time is the best of
three, in seconds of one core for 181 stages.
"""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from meshes.motion.solve import solve
from preview.drawing import lettering
from preview.pictures import still
from tests.motion.random_stacks import random_stack

STAGES = np.radians(np.arange(181.0))
PIECES = (2, 4, 8, 16, 28, 56, 112, 210)
SIZE, EDGE = (900, 560), 90
INK, MARK, GROUND = "#2c2a26", "#9a3412", "#f4efe6"


def measure(pieces: int) -> tuple[int, float]:
    """Facets of a stack of that many pieces, and the time it takes to solve."""
    stack = random_stack(7, pieces)
    linkage, best = stack.linkage, math.inf
    for _ in range(3):
        start = time.process_time()
        motion = solve(linkage, STAGES)
        best = min(best, time.process_time() - start)
        if not motion.solved.all():
            raise SystemExit(f"{pieces} pieces: {motion.findings[0]}")
    return sum(len(sheet.facets) for sheet in stack.sheets), best


def draw(points: list[tuple[int, float]], path: Path) -> None:
    """Both axes logarithmic, with a line of slope one to compare with."""
    image = Image.new("RGB", SIZE, GROUND)
    brush = ImageDraw.Draw(image)
    width, height = SIZE[0] - 2 * EDGE, SIZE[1] - 2 * EDGE

    def place(facets: float, seconds: float) -> tuple[float, float]:
        x = (math.log10(facets) - 0.7) / 2.5
        y = (math.log10(seconds) + 2.3) / 3.0
        return EDGE + x * width, SIZE[1] - EDGE - y * height

    for facets in (10, 100, 1000):
        x, y = place(facets, 10**-2.3)
        brush.line((x, y, x, EDGE), fill="#ddd3c2")
        lettering.write(image, f"{facets:,}", (x, y + 30), 20, INK, anchor="ms")
    for seconds in (0.01, 0.1, 1.0):
        x, y = place(10**0.7, seconds)
        brush.line((x, y, SIZE[0] - EDGE, y), fill="#ddd3c2")
        lettering.write(image, f"{seconds:g} s", (x - 12, y + 6), 20, INK, anchor="rs")
    first = points[0]
    linear = [place(first[0] * f, first[1] * f) for f in (1, 60)]
    brush.line([xy for point in linear for xy in point], fill="#8f8678", width=2)
    curve = [place(*point) for point in points]
    brush.line([xy for point in curve for xy in point], fill=MARK, width=3)
    for x, y in curve:
        brush.ellipse((x - 5, y - 5, x + 5, y + 5), fill=MARK)
    title = "Seconds for 181 stages against facets; grey: in proportion"
    lettering.write(image, title, (EDGE, 50), 24, INK, bold=True)
    still.save(np.asarray(image), path)


def main(words: list[str]) -> None:
    """Measure, print the table, and draw it if a file is named."""
    points = []
    for pieces in PIECES:
        facets, seconds = measure(pieces)
        points.append((facets, seconds))
        sys.stdout.write(f"{facets:5d} facets  {seconds:6.3f} s\n")
        sys.stdout.flush()
    (f0, s0), (f1, s1) = points[2], points[-1]
    slope = math.log(s1 / s0) / math.log(f1 / f0)
    sys.stdout.write(f"from {f0} to {f1} facets the time grows with the power {slope:.2f}\n")
    if words:
        draw(points, Path(words[0]))


if __name__ == "__main__":
    main(sys.argv[1:])
