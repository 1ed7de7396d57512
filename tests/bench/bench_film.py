"""A 60-frame opening and closing film: our engine end to end beside pyrender on the same design.

Run with ``python tests/bench/bench_film.py [DESIGN] [--size 480]``. Both draw the same
surfaces at the same size, one after the other in one run. Ours: two processes, default quality,
opening drawn once and mirrored, GIF written. pyrender: shadows and 2 × 2 supersampling, every frame
drawn, no file written.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

import numpy as np

from meshes import spread
from preview import encode, film
from preview.schedule import open_and_close

FRAMES, FPS = 60, 20.0
SHIPPED = Path(spread.__file__).parent / "designs"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", default=str(SHIPPED / "start" / "start.toml"))
    parser.add_argument("--size", type=int, default=480)
    parser.add_argument("--jobs", type=int, default=2)
    args = parser.parse_args()
    size = (args.size, args.size)
    made = spread.read(args.design)
    schedule = open_and_close(FRAMES / FPS, FPS)
    motion = made.solve(schedule.openings)
    shot = film.shot_of(made, motion, size, engine="ray")
    surfaces = len(shot.scene(0).surfaces)
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        with film.drawn(shot, schedule.order, args.jobs) as frames:
            drawn = time.perf_counter() - start
            encode.write(Path(folder) / "film.gif", frames, FPS)
        ours = time.perf_counter() - start
    theirs = with_pyrender(shot, schedule.order)
    print(f"{Path(args.design).stem}: {surfaces} surfaces, {FRAMES} frames, {size[0]} × {size[1]}")
    print(f"ray   {ours:6.2f} s end to end, {drawn:.2f} s of it drawing")
    print(f"gl    {theirs:6.2f} s drawing, no file")
    print(f"ratio {ours / theirs:6.2f}")


def with_pyrender(shot: film.Shot, order: np.ndarray) -> float:
    """Seconds to draw every frame by pyrender."""
    from preview.render import renderer

    engine = renderer("gl")
    engine.draw(shot.scene(0), shot.camera, shot.size, "film")  # compiles its shaders
    start = time.perf_counter()
    for pose in order:
        engine.draw(shot.scene(int(pose)), shot.camera, shot.size, "film")
    seconds = time.perf_counter() - start
    engine.close()
    return seconds


if __name__ == "__main__":
    main()
