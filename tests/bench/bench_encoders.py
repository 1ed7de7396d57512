"""Quality and size of films of shipped designs: PSNR of GIF and MP4 against the drawn frames.

Run with ``python -m tests.bench.bench_encoders [DESIGN …]``. PSNR is that of the mean square error
over all frames, 8-bit sRGB, and that of the worst single frame. MP4 stores colour at half rate; it
is read as players show it, blended between its samples.
"""

from __future__ import annotations

import math
import sys
import tempfile
from pathlib import Path

import imageio.v3 as iio
import numpy as np
from PIL import Image

from meshes import designs, spread
from preview.films import encode, film
from preview.films.frames import drawn
from preview.shot import schedule

SIZE, SECONDS, FPS = (480, 480), 3.0, 20.0
BLENDED = "bilinear+accurate_rnd+full_chroma_int"
LEAST_DB = {"gif": 43.0, "mp4": 39.0}


def read_back(path: Path) -> list[np.ndarray]:
    """All frames of a film, each as often as it is shown."""
    if path.suffix == ".mp4":
        return list(iio.imiter(path, plugin="FFMPEG", output_params=["-sws_flags", BLENDED]))
    frames = []
    with Image.open(path) as animation:
        for k in range(animation.n_frames):
            animation.seek(k)
            shown = round(animation.info["duration"] / (1000 / FPS))
            frames += [np.asarray(animation.convert("RGB"))] * shown
    return frames


def main(names: list[str]) -> None:
    """Measure and report."""
    for name in names or designs.names():
        made = spread.read(designs.path(name))
        plan = schedule.open_and_close(SECONDS, FPS)
        shot = film.shot_for(made, plan, SIZE)
        with drawn(shot, plan.order, 2) as frames, tempfile.TemporaryDirectory() as folder:
            for ending in ("gif", "mp4"):
                path = Path(folder) / f"film.{ending}"
                encode.write(path, frames, FPS)
                pairs = zip(frames, read_back(path), strict=True)
                errors = [np.mean((a.astype(float) - b) ** 2) for a, b in pairs]
                mean, worst = (
                    10 * math.log10(255**2 / error) for error in (np.mean(errors), np.max(errors))
                )
                size = path.stat().st_size / 1000
                sys.stdout.write(
                    f"{name} {ending}: {mean:.1f} dB (at least {LEAST_DB[ending]:.0f}), "
                    f"worst frame {worst:.2f} dB, {size:.0f} kB\n"
                )


if __name__ == "__main__":
    main(sys.argv[1:])
