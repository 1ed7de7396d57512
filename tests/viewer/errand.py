"""Stands in for the process of an errand: it says what it is told to, and makes what it is told to.

What it does stands in the design as a comment: ``# do: WORD``.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from pathlib import Path


def say(**parts: object) -> None:
    sys.stdout.write(json.dumps(parts) + "\n")
    sys.stdout.flush()


def main(folder: Path, words: list[str]) -> int:
    text = (folder / words[1]).read_text()
    found = re.search("# do: (.*)", text)
    task = found[1] if found else ""
    say(doing="drawing", done=0, total=4)
    say(said=f"words {words}")
    made = folder / "renders" / f"{Path(words[1]).stem}-{words[0]}"
    made.mkdir(parents=True)
    (made / "text.json").write_text(text)
    if task == "never ends":
        other = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
        say(doing="drawing", done=1, total=4)
        say(said=f"process {other.pid}")
        time.sleep(600)
    if task == "fails":
        raise ZeroDivisionError("no such number")
    (folder / "renders" / "still.png").write_bytes(b"a picture")
    say(doing="drawing", done=4, total=4)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))
