"""What the command line costs: ``--help``, and memory and time of films of growing length.

Run it as a script: ``python tests/bench/bench_command_line.py``. Memory is the largest resident set
of any process of the film, so that it would show frames that pile up anywhere.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

STARTS = 9
FILM_S = (3, 6, 12, 24)
FOLDSTAGE = (sys.executable, "-m", "preview")


def main() -> None:
    for words in ([], ["film"], ["check"]):
        print(f"foldstage {' '.join([*words, '--help'])}: {start_time(words):.3f} s")
    print(f"\n{'film':>6} {'frames':>7} {'largest process':>16} {'wall time':>10}")
    with tempfile.TemporaryDirectory() as folder:
        for seconds in FILM_S:
            frames, memory, took = film(seconds, Path(folder))
            print(f"{seconds:>4} s {frames:>8} {memory:>12.0f} MB {took:>8.1f} s")


def start_time(words: list[str]) -> float:
    """Median wall time until the help of a command has been shown, seconds."""
    times = []
    for _ in range(STARTS):
        begin = time.perf_counter()
        subprocess.run([*FOLDSTAGE, *words, "--help"], stdout=subprocess.DEVNULL, check=True)
        times.append(time.perf_counter() - begin)
    return statistics.median(times)


def film(seconds: int, folder: Path) -> tuple[int, float, float]:
    """Frames, largest process in MB, and wall time in seconds of a film of a new design."""
    design, out = folder / "bench.toml", folder / f"{seconds}.gif"
    subprocess.run([*FOLDSTAGE, "new", str(design), "--force"], check=True, capture_output=True)
    begin = time.perf_counter()
    child = os.fork()
    if child == 0:
        words = ["film", str(design), "-o", str(out), "--seconds", str(seconds)]
        options = ["--size", "480x480", "--fps", "20", "--jobs", "2"]
        run = subprocess.run([*FOLDSTAGE, *words, *options], capture_output=True, check=False)
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
        (folder / "peak").write_text(str(peak), encoding="utf-8")
        os._exit(run.returncode)
    _, status = os.waitpid(child, 0)
    if status:
        raise SystemExit("the film failed")
    took = time.perf_counter() - begin
    unit = 1e6 if sys.platform == "darwin" else 1e3
    peak = int((folder / "peak").read_text(encoding="utf-8")) / unit
    return seconds * 20, peak, took


if __name__ == "__main__":
    main()
