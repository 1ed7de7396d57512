"""What each command costs before and after a change: both versions in turn, on the same machine.

Run with ``python -m tests.bench.bench_commands REVISION [DESIGN] [--rounds N] [--only NAME ...]``,
and with ``--parts`` for a table of what stays however many cores there are: imports, reading,
sheets, solving, scene, framing, starting workers and encoding of one film, without the cache.
The other version is laid out in a worktree of its own for the time being and runs with the same
libraries. A row is the median of some rounds, in which both versions take turns: wall time,
processor time of all processes, which other work on the machine disturbs least, and the largest
process. "First" is a look at a design that nothing is known of, "again" one whose results are in
the cache.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
FILM = ("film", "{design}", "-o", "{out}/film.gif", "--size", "480x480", "--seconds", "3")
COMMANDS: dict[str, tuple[str, ...]] = {
    "help": ("--help",),
    "angles": ("angles", "{design}", "--json"),
    "check": ("check", "{design}"),
    "film, one process": (*FILM, "--jobs", "1"),
    "film, two processes": (*FILM, "--jobs", "2"),
    "draft film, two processes": (*FILM, "--quality", "draft", "--jobs", "2"),
    "still": ("still", "{design}", "-o", "{out}/still.png", "--size", "1280x720", "--jobs", "2"),
    "thumbnail": ("thumbnail", "{design}", "-o", "{out}/thumb.png", "--jobs", "2"),
    "plan": ("plan", "{design}", "-o", "{out}/plan", "--jobs", "2"),
    "mesh": ("mesh", "{design}", "-o", "{out}/mesh.glb"),
    "pattern": ("pattern", "{design}", "-o", "{out}/pattern.pdf"),
    "guide": ("guide", "{design}", "-o", "{out}/guide.pdf", "--jobs", "2"),
    "view": ("view", "{design}", "--save", "{out}/page.html"),
    # Without the film of how it is built, whose course takes minutes to plan.
    "pack": ("pack", "{design}", "-o", "{out}/pack", "--skip", "build", "--jobs", "2"),
}


@dataclass(frozen=True)
class Cost:
    """Wall and processor seconds, and megabytes of the largest process."""

    wall: float
    processor: float
    memory: float


def environment_of(tree: Path, cache: str) -> dict[str, str]:
    """What a version runs in: its modules are compiled once and kept, as an installed one's are."""
    kept = {"PYTHONPATH": str(tree), "PYTHONPYCACHEPREFIX": f"{tree}-compiled"}
    found = {**os.environ, **kept, "FOLDSTAGE_CACHE": cache}
    found.pop("PYTHONDONTWRITEBYTECODE", None)
    return found


def run(tree: Path, words: list[str], cache: Path) -> Cost:
    """One run of a version, whose files are in `tree`; SystemExit if it does not know the words."""
    environment = environment_of(tree, str(cache))
    read, write = os.pipe()
    start = time.perf_counter()
    child = os.fork()
    if child == 0:
        done = subprocess.run(
            [sys.executable, "-m", "preview", *words],
            cwd=tree,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        os.write(write, f"{used.ru_utime + used.ru_stime} {used.ru_maxrss}".encode())
        os._exit(done.returncode)
    _, status = os.waitpid(child, 0)
    wall = time.perf_counter() - start
    processor, memory = os.read(read, 100).split()
    os.close(read)
    os.close(write)
    if os.waitstatus_to_exitcode(status) > 1:
        if "--jobs" in words:  # an earlier version may draw with one process only
            return run(tree, words[: words.index("--jobs")], cache)
        raise SystemExit(f"{tree}: {' '.join(words)} failed")
    unit = 1e6 if sys.platform == "darwin" else 1e3
    return Cost(wall, float(processor), float(memory) / unit)


def parts(tree: Path, words: list[str]) -> dict[str, float]:
    """Processor seconds of the first process by part, see :mod:`tests.bench.parts`."""
    environment = environment_of(tree, "")
    script = HERE / "tests" / "bench" / "parts.py"
    done = subprocess.run(
        [sys.executable, str(script), *words],
        cwd=tree,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    found: dict[str, float] = json.loads(done.stdout)
    return found


def compare_parts(trees: list[Path], design: str, jobs: int, rounds: int) -> None:
    """Print the parts of a film in both versions."""
    words = [*COMMANDS["film, two processes"][:-1], str(jobs)]
    found: list[list[dict[str, float]]] = [[] for _ in trees]
    for _ in range(rounds):
        for tree, rows in zip(trees, found, strict=True):
            with tempfile.TemporaryDirectory() as name:
                rows.append(parts(tree, [w.format(design=design, out=name) for w in words]))
    say = sys.stdout.write
    say(f"{design}, a film by {jobs} process(es), processor seconds of the first\n\n")
    say("| part | before | after |\n| --- | --- | --- |\n")
    for part in found[0][0]:
        before, after = (statistics.median(row[part] for row in rows) for rows in found)
        say(f"| {part} | {before:.2f} | {after:.2f} |\n")


def compiled(tree: Path) -> None:
    """Compile the modules of a version, which is done when a program is installed."""
    folders = [str(tree / name) for name in ("meshes", "preview")]
    command = [sys.executable, "-m", "compileall", "-q", *folders]
    subprocess.run(command, env=environment_of(tree, ""), check=True)


def median(costs: list[Cost]) -> Cost:
    """The median of each figure by itself."""
    fields = ("wall", "processor", "memory")
    return Cost(*(statistics.median(getattr(cost, name) for cost in costs) for name in fields))


def compare(words: tuple[str, ...], trees: list[Path], design: str, rounds: int) -> list[Cost]:
    """First and again for each version: before first, before again, after first, after again."""
    found: list[list[Cost]] = [[] for _ in range(2 * len(trees))]
    for _ in range(rounds):
        for k, tree in enumerate(trees):
            with tempfile.TemporaryDirectory() as name:
                cache = Path(name, "cache")
                cache.mkdir(mode=0o700)
                filled = [word.format(design=design, out=name) for word in words]
                found[2 * k].append(run(tree, filled, cache))
                found[2 * k + 1].append(run(tree, filled, cache))
    return [median(costs) for costs in found]


def main() -> None:
    """Measure and print a table in Markdown."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("revision", help="of the version before")
    parser.add_argument("design", nargs="?", default="toadstool-glade", help="a shipped design")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--parts", action="store_true", help="of one film, instead of commands")
    parser.add_argument("--jobs", type=int, default=1, help="processes of that film")
    parser.add_argument("--only", nargs="+", choices=COMMANDS, default=list(COMMANDS))
    args = parser.parse_args()
    with versions(args.revision) as trees:
        if args.parts:
            compare_parts(trees, args.design, args.jobs, args.rounds)
        else:
            _table(args.only, trees, args.design, args.rounds)


@contextmanager
def versions(revision: str) -> Iterator[list[Path]]:
    """An earlier version in a worktree of its own, and this one, both compiled."""
    with tempfile.TemporaryDirectory() as name:
        before, now = Path(name, "before"), Path(name, "now")
        git = ("git", "-C", str(HERE), "worktree")
        subprocess.run([*git, "add", "--quiet", "--detach", str(before), revision], check=True)
        now.symlink_to(HERE)
        try:
            compiled(before)
            compiled(now)
            yield [before, now]
        finally:
            subprocess.run([*git, "remove", "--force", str(before)], check=True)
            shutil.rmtree(before, ignore_errors=True)


def _table(chosen: list[str], trees: list[Path], design: str, rounds: int) -> None:
    say = sys.stdout.write
    say(f"{design}, median of {rounds}; before → after, wall / processor seconds\n\n")
    say("| command | first look | again | largest process, MB |\n| --- | --- | --- | --- |\n")
    for name in chosen:
        old, old_again, new, new_again = compare(COMMANDS[name], trees, design, rounds)
        cells = [
            f"{a.wall:.2f} / {a.processor:.2f} → {b.wall:.2f} / {b.processor:.2f}"
            for a, b in ((old, new), (old_again, new_again))
        ]
        say(f"| {name} | {cells[0]} | {cells[1]} | {old.memory:.0f} → {new.memory:.0f} |\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
