"""What one change costs the page's server, made by a hand and saved by an editor.

Run ``python -m tests.bench.bench_changes [FOLDER]``. No browser draws anything, so that a busy
computer counts less: by turns a place is changed as a page asks for it and as an editor saves it.
Told are seconds until the new motion has been fetched, processor seconds of the server, and both as
a ratio. FOLDER is the root of another version, to compare.
"""

from __future__ import annotations

import hashlib
import http.client
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import urlsplit

ROOT = Path(__file__).parents[2]
# A design, and a piece of it that stands on the gutter: 60 facets, and the most that are shipped.
DESIGNS = (
    ("tests/designs/hill-village.toml", "steps"),
    ("meshes/designs/toadstool-glade.toml", "hero-trunk"),
)
CHANGES, STEP, REST_S = 12, 0.5, 0.3


class Viewed:
    """``foldstage view`` of a design, and what a page does with it."""

    def __init__(self, file: Path, root: Path) -> None:
        words = [sys.executable, "-m", "preview", "view", str(file), "--no-browser"]
        self.process = subprocess.Popen(
            words, cwd=root, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        assert self.process.stdout is not None
        address = self.process.stdout.readline().decode().strip()
        self.host, self.file = urlsplit(address).netloc, file
        page = self.ask("GET", "/").decode()
        found = [re.search(rf'"{key}":"([^"]+)"', page) for key in ("secret", "run")]
        self.secret, self.run = (one[1] if one else "" for one in found)
        line = http.client.HTTPConnection(self.host, timeout=120)
        line.request("GET", "/events")
        self.events = line.getresponse()
        first = self.news()
        self.made, self.shown = first["desk"]["made"], first["version"]

    def ask(self, method: str, path: str, data: str | None = None) -> bytes:
        line = http.client.HTTPConnection(self.host, timeout=120)
        headers = {"Content-Type": "application/json", "Origin": f"http://{self.host}"}
        if data is not None:
            headers["X-Foldstage-Secret"] = self.secret
        line.request(method, path, data, headers)
        answer = line.getresponse()
        assert answer.status == 200, answer.read()
        return answer.read()

    def news(self) -> dict:
        while True:
            line = self.events.readline().decode()
            if line.startswith("data:"):
                return json.loads(line[5:])

    def follow(self) -> None:
        """Fetch what is new until the text that was made is shown."""
        while True:
            if self.news()["version"] == self.shown:
                continue
            path = f"/scene.json?after={self.shown}&run={self.run}"
            scene = json.loads(self.ask("GET", path))
            self.shown = scene["version"]
            if scene.get("made") == self.made:
                return

    def by_hand(self, piece: str, value: float) -> None:
        edit = {"edit": "set", "path": ["pieces", piece, "at"], "value": value}
        asked = json.dumps({"made": self.made, "page": "bench", "edits": [edit]})
        self.made = json.loads(self.ask("POST", "/edits", asked))["made"]

    def by_editor(self, piece: str, value: float) -> None:
        text = re.sub(
            rf"(\[pieces\.{piece}\][^[]*?\nat = )[\d.]+", rf"\g<1>{value}", self.file.read_text()
        )
        part = self.file.with_suffix(".part")
        part.write_text(text)
        part.replace(self.file)
        self.made = hashlib.sha256(text.encode()).hexdigest()[:16]

    def spent(self) -> float:
        """Processor seconds of the server itself, not of what it has worked out aside."""
        words = Path(f"/proc/{self.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Print a line for each design."""
    root = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT
    for name, piece in DESIGNS:
        with tempfile.TemporaryDirectory() as folder:
            source = root / name
            shutil.copytree(source.parent, Path(folder) / "designs")
            print(measured(Path(folder) / "designs" / source.name, piece, root), flush=True)


def measured(file: Path, piece: str, root: Path) -> str:
    """The line for one design."""
    found = re.search(rf"\[pieces\.{piece}\][^[]*?\nat = ([\d.]+)", file.read_text())
    assert found, piece
    viewed, first = Viewed(file, root), float(found[1])
    ways = {"hand": viewed.by_hand, "editor": viewed.by_editor}
    times: dict[str, list[tuple[float, float]]] = {way: [] for way in ways}
    for number in range(CHANGES):
        time.sleep(REST_S)
        way = list(ways)[number % 2]
        begin, spent = time.perf_counter(), viewed.spent()
        ways[way](piece, round(first - STEP * (1 + number % 5) - number / 100, 2))
        viewed.follow()
        times[way].append((time.perf_counter() - begin, viewed.spent() - spent))
    viewed.process.terminate()
    viewed.process.wait()
    hand, editor = (
        [statistics.median(one[k] for one in times[way]) for k in (0, 1)] for way in ways
    )
    return (
        f"{file.stem}: by hand {hand[0]:.2f} s, {hand[1]:.2f} s of the processor; by an editor "
        f"{editor[0]:.2f}, {editor[1]:.2f}; ratio {hand[0] / editor[0]:.2f}, "
        f"{hand[1] / editor[1]:.2f}"
    )


if __name__ == "__main__":
    main()
