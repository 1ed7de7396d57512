"""One command with a clock on its serial parts; `bench_commands` runs it in either version.

Run as ``python parts.py WORD ...`` with the version to be measured first on PYTHONPATH. It prints
one line of JSON: processor seconds of this process by part, each without those that it calls. A
part is a function that has stood in one module or another over time; the first that is there is
timed. Whatever is imported meanwhile counts as imports.
"""

from __future__ import annotations

import builtins
import functools
import importlib
import json
import os
import sys
import time
from collections.abc import Callable
from typing import Any

PARTS: dict[str, tuple[str, ...]] = {
    "reading": ("meshes.spread:read",),
    "sheets": ("meshes.spread:_build",),
    "solving": ("meshes.drive:solve",),
    "scene": ("preview.drawing.scene:assemble", "preview.scene:assemble"),
    "framing": ("preview.films.film:shot_for", "preview.film:shot_for"),
    "drawing": (
        "preview.films.film:Filming.draw",
        "preview.film:Filming.draw",
        "preview.films.frames:_draw",
        "preview.film:_draw",
    ),
    "encoding": ("preview.films.encode:write_film", "preview.encode:write_film"),
    "starting workers": ("multiprocessing.popen_spawn_posix:Popen._launch",),
}
IMPORTS, REST = "imports", "all else"


class Clock:
    """Gives processor time to the innermost part that runs."""

    def __init__(self) -> None:
        self.spent = dict.fromkeys([IMPORTS, *PARTS, REST], 0.0)
        self._inside, self._since = [REST], time.process_time()

    def turn(self, part: str | None) -> None:
        """Go into a part; None goes back to the one before."""
        now = time.process_time()
        self.spent[self._inside[-1]] += now - self._since
        self._since = now
        if part is None:
            self._inside.pop()
        else:
            self._inside.append(part)

    def watch_imports(self) -> None:
        """Count what an import statement loads as imports."""
        load = builtins.__import__

        def imported(name: str, *args: Any, **more: Any) -> Any:
            if self._inside[-1] == IMPORTS or not _is_new(name, *args):
                return load(name, *args, **more)
            return self.timed(IMPORTS, load)(name, *args, **more)

        builtins.__import__ = imported

    def timed(self, part: str, task: Callable[..., Any]) -> Callable[..., Any]:
        """The same task on this clock."""

        @functools.wraps(task)
        def run(*args: Any, **more: Any) -> Any:
            self.turn(part)
            try:
                return task(*args, **more)
            finally:
                self.turn(None)

        return run


def _is_new(
    name: str, names: Any = None, _: Any = None, fromlist: Any = (), level: int = 0
) -> bool:
    """Whether an import statement may load something."""
    if level:
        package = (names or {}).get("__package__") or ""
        package = package.rsplit(".", level - 1)[0] if level > 1 else package
        name = f"{package}.{name}" if name else package
    if name not in sys.modules:
        return True
    owner = sys.modules[name]
    return any(not hasattr(owner, each) for each in fromlist or () if each != "*")


def watch(clock: Clock) -> None:
    """Time every part, also where its function is known by its own name already."""
    found = {}
    for part, places in PARTS.items():
        for place in places:
            module, _, name = place.partition(":")
            try:
                owner: Any = clock.timed(IMPORTS, importlib.import_module)(module)
            except ImportError:
                continue
            *path, last = name.split(".")
            owner = functools.reduce(getattr, path, owner)
            found[getattr(owner, last)] = part, owner, last
            break
    for task, (part, owner, last) in found.items():
        timed = clock.timed(part, task)
        setattr(owner, last, timed)
        for module in list(sys.modules.values()):
            for name, value in list(vars(module).items()):
                if value is task:
                    setattr(module, name, timed)


def main(words: list[str]) -> int:
    """Run the command and print what its parts took."""
    clock = Clock()
    clock.watch_imports()
    watch(clock)
    command = clock.timed(IMPORTS, importlib.import_module)("preview.cli").main
    out, sys.stdout = sys.stdout, open(os.devnull, "w")  # noqa: SIM115
    code: int = command(words)
    clock.turn(None)
    out.write(json.dumps(clock.spent) + "\n")
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
