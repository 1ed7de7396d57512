"""What a frame of the gl engine costs the processor, whatever graphics card draws it.

Run with ``python -m tests.bench.bench_graphics_card [DESIGN]`` on an otherwise idle computer with
Mesa's llvmpipe. With ``LP_NO_RAST`` set (Mesa 3D, "Environment Variables", from memory) that driver
leaves out the drawing of pixels, which a card does, and does all else: what is left is our own
work, pyrender's, the corners of the triangles and the reading back of the picture. Beside it the
same for pyrender used plainly. Both in one process, processor time, the least of some rounds.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Callable

os.environ["LP_NO_RAST"] = "1"
os.environ["LP_NUM_THREADS"] = "1"

import numpy as np

from meshes import designs, spread
from preview.drawing.render import renderer
from preview.films.film import shot_of
from preview.parallel import keep_memory

from .plain_opengl import PlainOpenGL

SIZE, POSES, ROUNDS = (480, 480), 31, 4


def least(draw: Callable[[int], object]) -> float:
    """Processor seconds for a pose, the least of some rounds through all of them."""
    found = []
    for _ in range(ROUNDS):
        start = time.process_time()
        for pose in range(POSES):
            draw(pose)
        found.append((time.process_time() - start) / POSES)
    return min(found)


def main() -> None:
    """Print both."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", default="toadstool-glade", help="a shipped design")
    made = spread.read(designs.path(parser.parse_args().design))
    motion = made.solve(np.radians(np.linspace(0, 180, POSES)))
    keep_memory()
    shot = shot_of(made, motion, SIZE, lying="thicker", engine="gl", quality="film")
    engine = renderer("gl")
    ours = least(lambda pose: shot.draw(pose, engine))
    engine.close()
    plain = PlainOpenGL(SIZE, 2)
    theirs = least(lambda pose: plain.draw(shot.scene(pose), shot.camera))
    plain.close()
    print(f"ours     {1000 * ours:6.1f} ms a frame of a film, {SIZE[0]} × {SIZE[1]}")
    print(f"pyrender {1000 * theirs:6.1f} ms, 2 × 2 samples, shadows, nothing printed")
    print(f"ours take {ours / theirs:.2f} of its time")


if __name__ == "__main__":
    main()
