"""How processor time and memory grow with facets, frames, pixels and processes.

Run with ``python -m tests.bench.bench_growth_all [PICTURE.png] [--only KIND ...]``. Each figure is
taken in a process of its own: the processor time of the work alone, and how much larger the process
has become. The power is the slope of a line through the logarithms of time and size. The design is
a long page of leaves, the smaller the more, so that it grows without growing denser.

measured, on two busy cores: reading, solving and checking 40 to 2,000 facets takes 0.04 to 1.8,
0.13 to 2.0 and 0.65 to 22 s of processor time, powers 1.0, 0.7 and 0.9 of the facets; solving takes
14 to 479 MB more, and checking 56 to 1,291, power 0.8
"""

from __future__ import annotations

import argparse
import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

KINDS: dict[str, tuple[int, ...]] = {
    "facets, read": (40, 120, 400, 1000, 2000),
    "facets, solve": (40, 120, 400, 1000, 2000),
    "facets, check": (40, 120, 400, 1000, 2000),
    "facets, frame": (40, 120, 400, 1000, 2000),
    "frames, film": (12, 24, 48, 96, 192),
    "pixels, frame": (14_400, 57_600, 230_400, 921_600),
    "pixels, still": (14_400, 57_600, 230_400),
    "processes, film": (1, 2, 4),
}
BOUNDS = {"facets": 1.2, "frames": 1.0, "pixels": 1.0}
FACETS_A_LEAF, GUTTER_MM = 4, 1000
SIZE, EDGE = (1080, 620), 90
INK, GROUND, GRID = "#2c2a26", "#f4efe6", "#ddd3c2"
COLOURS = ("#9a3412", "#1d4e63", "#3f6212", "#6b4ba3", "#b7791f", "#0f766e", "#9d174d")


def leaves(facets: int, folder: Path) -> Path:
    """A design with about that many facets: leaves along one gutter, the smaller the more."""
    count = facets // FACETS_A_LEAF
    pitch = (GUTTER_MM - 60) / count
    rows = [
        f'[pieces.leaf{k}]\nkind = "v-fold"\nat = {30 + pitch * k:.2f}\npage_angle = 45\n'
        f'panel_angle = 60\nbase = {2 * pitch:.2f}\noutline = {{ shape = "leaf", '
        f"length = {(4.4 + k % 3 * 0.5) * pitch:.2f}, width = {4 * pitch:.2f}, "
        f"base = {1.5 * pitch:.2f} }}\n"
        for k in range(count)
    ]
    head = f'title = "Leaves"\n[spread]\nwidth = 500\nheight = {GUTTER_MM}\n'
    file = folder / "leaves.toml"
    file.write_text(head + "\n".join(rows), "utf-8")
    return file


def work_on(kind: str, size: int, folder: Path) -> Callable[[], object]:
    """What is measured, ready to be done."""
    from meshes import designs, spread

    grows, what = kind.split(", ")
    shipped = designs.path("fox-in-the-grass")
    path = leaves(size, folder) if grows == "facets" else shipped
    if what == "read":
        spread.read(shipped)  # imports what reading takes
        return lambda: spread.read(path)
    made = spread.read(path)
    stages = np.radians(np.arange(181.0))
    if what == "solve":
        return lambda: made.solve(stages)
    if what == "check":
        from meshes.check import case_of, questions

        return lambda: questions.report(case_of(made), made.design.check)
    if what == "film":
        return _film(made, size, grows, folder)
    from preview.drawing.render import renderer
    from preview.drawing.scene import build
    from preview.shot.camera import VIEWS

    scene = build(made, made.solve(np.radians([130.0])), 0)
    side = 480 if grows == "facets" else round(math.sqrt(size))
    camera, engine = VIEWS["reader"].frame(scene.points, 1.0), renderer("ray")
    engine.draw(scene, camera, (32, 32))
    quality = "still" if what == "still" else "film"
    return lambda: engine.draw(scene, camera, (side, side), quality)  # type: ignore[arg-type]


def _film(made: object, size: int, grows: str, folder: Path) -> Callable[[], object]:
    from preview.films.film import make

    count, jobs = (size, 1) if grows == "frames" else (48, size)
    settings = {"seconds": count / 20, "action": "open", "quality": "draft", "jobs": jobs}
    return lambda: make(made, folder / "film.gif", (160, 120), **settings)  # type: ignore[arg-type]


def used() -> float:
    """Processor seconds of this process and of those it has started."""
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(u.ru_utime + u.ru_stime for u in map(resource.getrusage, kinds))


def measure_here(kind: str, size: int) -> None:
    """Print processor seconds, seconds of the clock and megabytes of one piece of work."""
    unit = 1e6 if sys.platform == "darwin" else 1e3
    with tempfile.TemporaryDirectory() as folder:
        work = work_on(kind, size, Path(folder))
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        start, clock = used(), time.perf_counter()
        work()
        took, clock = used() - start, time.perf_counter() - clock
    more = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    sys.stdout.write(f"{took} {clock} {more / unit}\n")


def measure(kind: str, size: int) -> tuple[float, float, float]:
    """The same in a process of its own."""
    words = [sys.executable, "-m", "tests.bench.bench_growth_all", "--one", kind, str(size)]
    out = subprocess.run(words, capture_output=True, text=True, check=True).stdout.split()
    return float(out[0]), float(out[1]), float(out[2])


def power(points: list[tuple[int, float]]) -> float:
    """Slope of the line through the logarithms."""
    x, y = np.log(np.array(points, float)).T
    return float(np.polyfit(x, y, 1)[0])


def draw(found: dict[str, list[tuple[int, float]]], path: Path) -> None:
    """Time against size, both as multiples of the first, both axes logarithmic."""
    from PIL import Image, ImageDraw

    from preview.drawing import lettering
    from preview.pictures import still

    image = Image.new("RGB", SIZE, GROUND)
    brush = ImageDraw.Draw(image)
    width, height = SIZE[0] - 2 * EDGE - 240, SIZE[1] - 2 * EDGE

    def place(size: float, cost: float) -> tuple[float, float]:
        x, y = math.log10(size) / 2, math.log10(cost) / 2
        return EDGE + x * width, SIZE[1] - EDGE - y * height

    for times in (1, 10, 100):
        brush.line((*place(times, 1), *place(times, 100)), fill=GRID)
        brush.line((*place(1, times), *place(100, times)), fill=GRID)
        x, y = place(times, 1)
        lettering.write(image, f"× {times}", (x, y + 30), 20, INK, anchor="ms")
        x, y = place(1, times)
        lettering.write(image, f"× {times}", (x - 12, y + 6), 20, INK, anchor="rs")
    brush.line((*place(1, 1), *place(100, 100)), fill="#8f8678", width=2)
    for k, (kind, points) in enumerate(found.items()):
        colour, first = COLOURS[k % len(COLOURS)], points[0]
        curve = [place(n / first[0], max(cost / first[1], 1)) for n, cost in points]
        brush.line(curve, fill=colour, width=3)
        for x, y in curve:
            brush.ellipse((x - 4, y - 4, x + 4, y + 4), fill=colour)
        text = f"{kind}: power {power(points):z.2f}"
        lettering.write(image, text, (EDGE + width + 24, EDGE + 30 * k + 20), 18, colour)
    title = "Processor time against size, as multiples of the smallest; grey: in proportion"
    lettering.write(image, title, (EDGE, 50), 24, INK, bold=True)
    still.save(np.asarray(image), path)


def main() -> None:
    """Measure, print the table, and draw it if a file is named."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("picture", nargs="?", type=Path)
    parser.add_argument("--only", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--one", nargs=2, metavar=("KIND", "SIZE"), help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.one:
        measure_here(args.one[0], int(args.one[1]))
        return
    found: dict[str, list[tuple[int, float]]] = {}
    for kind in args.only:
        points = []
        for size in KINDS[kind]:
            took, clock, memory = measure(kind, size)
            points.append((size, took))
            sys.stdout.write(
                f"{kind:16} {size:9,}  {took:8.2f} s of processor, {clock:7.2f} s, "
                f"{memory:5.0f} MB more\n"
            )
            sys.stdout.flush()
        if not kind.startswith("processes"):
            found[kind] = points
            bound = BOUNDS[kind.split(",")[0]]
            sys.stdout.write(f"{kind}: power {power(points):z.2f} (at most {bound})\n")
    if args.picture and found:
        draw(found, args.picture)


if __name__ == "__main__":
    main()
