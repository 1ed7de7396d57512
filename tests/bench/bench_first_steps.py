"""The ten minutes of the first steps: every command of that page in its order, timed.

Run with ``python -m tests.bench.bench_first_steps``; add ``--install`` to begin as its first
command does, with a new environment. Reading and typing are not counted.

Measured on two cores with six other programs at work: 385 s in all, of which 176 s set it up.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "preview" / "FIRST_STEPS.md"


def lines() -> list[str]:
    """Every line of the page that is to be typed, in its order."""
    blocks = re.findall(r"```sh\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def commands() -> list[list[str]]:
    """The words of each foldstage command of the page; what waits for a person is left out."""
    words = [shlex.split(line) for line in lines()]
    return [one[1:] for one in words if one[0] == "foldstage" and one[1] != "view"]


def _leaf() -> str:
    """The piece that the page has her add."""
    blocks = re.findall(r"```text\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    return next(block for block in blocks if "small-leaf" in block)


LEAF = _leaf()


def program(folder: Path, installs: bool) -> list[str]:
    """How foldstage is called; installed anew if asked for."""
    if not installs:
        return [sys.executable, "-m", "preview"]
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "venv", str(folder / ".venv")], check=True)
    pip = [str(folder / ".venv" / "bin" / "pip"), "install", "-q", str(ROOT)]
    subprocess.run(pip, check=True)
    print(f"{time.perf_counter() - start:6.1f} s  set up")
    return [str(folder / ".venv" / "bin" / "foldstage")]


def main(words: list[str]) -> int:
    """Print the seconds of each command; the largest exit code."""
    worst, begun = 0, time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        installs = "--install" in words
        calls = program(folder, installs)
        surroundings = {"FOLDSTAGE_CACHE": str(folder / "cache")}
        surroundings |= {} if installs else {"PYTHONPATH": str(ROOT)}
        for command in commands():
            if command[0] == "check":
                design = folder / "my-flower.toml"
                design.write_text(design.read_text(encoding="utf-8") + "\n" + LEAF, "utf-8")
            start = time.perf_counter()
            ended = subprocess.run(
                [*calls, *command],
                cwd=folder,
                env=os.environ | surroundings,
                capture_output=True,
                check=False,
            )
            worst = max(worst, ended.returncode)
            print(f"{time.perf_counter() - start:6.1f} s  {' '.join(command)}: {ended.returncode}")
            if ended.returncode:
                print(ended.stderr.decode())
    print(f"{time.perf_counter() - begun:6.1f} s  of waiting in all")
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
