"""Kill every command that writes at random moments, and run it again.

Run with ``python -m tests.bench.bench_kills [kills] [seed]`` (50 and 13 if left out). After each
kill the file asked for is whole or not there, and the next run, in the same folder with the same
cache, gives the bytes of a run that nobody disturbed and leaves nothing else behind. Here it is the
clock that chooses the moment, and workers are killed too; moments by event, for every command:
``python -m tests.hostile world``.

measured: 16 kills with seed 13 on two busy cores, 0 after the end, 0 bad; 12 with seed 7 of
pattern, guide, still, stages, tune, mesh, drawing and pack, 2 after the end, 0 bad
"""

from __future__ import annotations

import hashlib
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

from tests.hostile import surroundings
from tests.hostile.cases import LEAF

_SMALL = ("--size", "96x72", "--quality", "draft")
# Those that start workers, films first; then all others that write files.
COMMANDS: dict[str, tuple[str, ...]] = {
    "film": ("leaf.toml", "-o", "out.gif", *_SMALL, "--seconds", "2", "--fps", "10"),
    "pattern": ("leaf.toml", "-o", "out.pdf"),
    "guide": ("leaf.toml", "-o", "out.html", "--size", "160x120"),
    "catalog": ("designs", "-o", "out", *_SMALL, "--seconds", "2", "--fps", "10"),
}
for _name in surroundings.COMMANDS:
    if _name not in ("angles", "engines", "help"):
        COMMANDS.setdefault(_name, surroundings.case(_name).command[1:])


def _folder(root: str, name: str) -> Path:
    folder = Path(root) / name
    (folder / "designs").mkdir(parents=True)
    for place in (folder, folder / "designs"):
        (place / "leaf.toml").write_text(LEAF)
    for file, content in surroundings.case("still").files.items():
        (folder / file).write_bytes(content)
    return folder


def _started(folder: Path, command: str) -> subprocess.Popen[bytes]:
    own = {"FOLDSTAGE_CACHE": str(folder / "cache"), "PYTHONPATH": os.getcwd()}
    return subprocess.Popen(
        [sys.executable, "-m", "preview", command, *COMMANDS[command]],
        cwd=folder,
        env={**os.environ, **own},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def _written(folder: Path) -> dict[str, str]:
    """Digests of all that the command left in its folder; records of a catalog tell the time."""
    kept = {"leaf.toml", "designs", "cache", *surroundings.case("still").files}
    files = [p for p in sorted(folder.rglob("*")) if p.is_file()]
    inside = [p for p in files if p.relative_to(folder).parts[0] not in kept]
    return {str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest() for p in inside}


def main() -> int:
    """Kill and compare."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    chance, bad, ended = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 13), 0, 0
    with tempfile.TemporaryDirectory() as root:
        whole, spans = {}, {}
        for command in COMMANDS:
            folder, start = _folder(root, command), time.monotonic()
            _started(folder, command).wait()
            whole[command], spans[command] = _written(folder), time.monotonic() - start
        for k in range(kills):
            command = list(COMMANDS)[k % len(COMMANDS)]
            folder = _folder(root, f"{command}-{k}")
            process = _started(folder, command)
            time.sleep(chance.uniform(0.05, 1.0) * spans[command])
            ended += process.poll() is not None
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()
            left = _written(folder)
            torn = [n for n, d in left.items() if n in whole[command] and d != whole[command][n]]
            code = _started(folder, command).wait()
            after = _written(folder)
            if command == "new" and code == 2:  # it had been written already
                code = 0
            if torn or code or after != whole[command]:
                bad += 1
                odd = sorted(set(after.items()) ^ set(whole[command].items()))
                sys.stdout.write(f"{command} {k}: code {code}, torn {torn}, differs in {odd}\n")
    sys.stdout.write(f"{kills} kills, {ended} after the end, {bad} bad\n")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
