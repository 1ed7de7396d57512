"""A 60-frame film that opens and closes, beside software OpenGL on the same design, in one run.

Run with ``python -m tests.bench.bench_film [DESIGN] [--size 480]`` on an otherwise idle computer.
Ours: solved poses to a finished GIF by two processes, opening drawn once and shown again while
closing. OpenGL: pyrender used plainly, every frame drawn, no file, all cores. Then the same film
by one process and by two, which are ready when the drawing starts, as they are after the solving.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from preview.drawing.render import Quality
    from preview.films.film import Filming
    from preview.parallel import Crew
    from preview.shot.schedule import Schedule

# Processes that draw import this file again, so that it must import little at its top.
FRAMES, FPS = 60, 20.0
ROUNDS = 3


def shown(name: str, seconds: float, note: str = "") -> None:
    """Print one figure."""
    sys.stdout.write(f"  {name:34} {seconds:6.2f} s{note}\n")
    sys.stdout.flush()


def film_by(workers: Crew, shot: Filming, schedule: Schedule) -> tuple[float, float]:
    """Seconds until the last pose is drawn, and until the GIF is there."""
    from preview.films import encode
    from preview.films.frames import drawn

    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        with drawn(shot, schedule.order, workers) as frames:
            for pose in schedule.order:
                frames.pose(int(pose))
            all_drawn = time.perf_counter() - start
            encode.write(Path(folder) / "film.gif", frames, FPS)
        return all_drawn, time.perf_counter() - start


def ours(shot: Filming, schedule: Schedule, jobs: int) -> tuple[float, float]:
    """Best of some rounds by that many processes, all of them ready; see `film_by`."""
    from preview.films import frames
    from preview.parallel import crew

    found = []
    with crew(jobs, frames.prepare) as workers:
        film_by(workers, shot, schedule)
        for _ in range(ROUNDS):
            found.append(film_by(workers, shot, schedule))
    return min(drawn for drawn, _ in found), min(whole for _, whole in found)


def with_opengl(shot: Filming, schedule: Schedule, samples: int) -> float:
    """Seconds that pyrender takes to draw every frame."""
    from .plain_opengl import PlainOpenGL

    engine = PlainOpenGL(shot.size, samples)
    engine.draw(shot.scene(0), shot.camera)  # compiles its shaders
    start = time.perf_counter()
    for pose in schedule.order:
        engine.draw(shot.scene(int(pose)), shot.camera)
    seconds = time.perf_counter() - start
    engine.close()
    return seconds


def main() -> None:
    """Measure and report."""
    from meshes import designs, spread
    from preview.films import film
    from preview.shot.schedule import open_and_close

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", default="toadstool-glade", help="a shipped design")
    parser.add_argument("--size", type=int, default=480)
    args = parser.parse_args()
    made = spread.read(designs.path(args.design))
    schedule = open_and_close(FRAMES / FPS, FPS)
    motion = film.motion_for(made, schedule)
    qualities: tuple[Quality, ...] = ("film", "draft")
    size = (args.size, args.size)
    shots = {
        quality: film.shot_for(made, schedule, size, motion=motion, engine="ray", quality=quality)
        for quality in qualities
    }
    surfaces, poses = len(shots["film"].scene(0).surfaces), shots["film"].poses
    sys.stdout.write(
        f"{args.design}: {surfaces} surfaces, {FRAMES} frames of {poses} poses, "
        f"{size[0]} × {size[1]}\n"
    )
    for quality, samples, most in (("film", 2, 0.25), ("draft", 1, 0.5)):
        shot = shots[quality]
        one, two = ours(shot, schedule, 1), ours(shot, schedule, 2)
        theirs = with_opengl(shot, schedule, samples)
        shown(f"{quality}, one process, GIF included", one[1], f", {one[0]:.2f} s of it drawing")
        shown(f"{quality}, two processes, GIF included", two[1], f", {two[0]:.2f} s of it drawing")
        shown(f"OpenGL, shadows, {samples} × {samples} samples, no GIF", theirs)
        ratio = two[1] / theirs
        sys.stdout.write(f"  {quality} against OpenGL: {ratio:.2f} of its time (at most {most})\n")
        gain = one[0] / two[0]
        sys.stdout.write(f"  two processes against one: {gain:.2f} times (at least 1.8)\n")


if __name__ == "__main__":
    main()
