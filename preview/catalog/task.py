"""Designs to catalog, and the key under which a result stays good."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path, PurePosixPath
from typing import Literal

from meshes import program
from meshes.cache import digest
from meshes.named import files_led_to, texts_in

Quality = Literal["draft", "film"]

# A design is text of some kilobytes; whatever is larger is no design, and is not worth reading.
DESIGN_BYTES = 4_000_000
ASSET_BYTES = 64_000_000


@dataclass(frozen=True)
class Settings:
    """What every result of a catalog is made with.

    Parameters
    ----------
    film : ending of the film, ``mp4``, ``gif``, ``webp``, ``png`` (animated), or ``none``.
    size : width and height of the film, pixels; a still has twice as many.
    opening : of the still, degrees, as far as the design gets.
    by_hand : a piece that a hand moves in the film, at that opening; else it opens and closes.
    called : what the page to open calls the design, if not as the design does.
    quality : ``film`` or ``draft``.
    pictures : make still, film, picture of stages and page; else only the figures.
    """

    film: str = "mp4"
    size: tuple[int, int] = (600, 400)
    seconds: float = 4.0
    fps: float = 20.0
    mood: str = "daylight"
    opening: float = 146.0
    by_hand: str = ""
    called: str = ""
    quality: Quality = "film"
    pictures: bool = True


@dataclass(frozen=True)
class CatalogTask:
    """One design with everything that its result depends on, ready to be sent anywhere.

    Parameters
    ----------
    name : the design's path below the catalogued folder, with forward slashes, and behind a ``#``
        the row of a table of variants.
    path : of the design below the folder.
    files : contents of the design and of each file it names, by path below the folder.
    values : overrides of the design's values.
    """

    name: str
    path: str
    files: tuple[tuple[str, bytes], ...]
    settings: Settings
    values: Mapping[str, float | str] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """Digest of all that the result depends on, the program itself included."""
        key = hashlib.blake2b(digest_size=20)
        about = [self.name, self.path, asdict(self.settings), dict(self.values), program.digest()]
        about += [_page_to_open()] if self.settings.pictures else []
        key.update(json.dumps(about, sort_keys=True).encode())
        for path, content in self.files:
            key.update(f"\n{path} {len(content)}\n".encode(errors="surrogateescape"))
            key.update(content)
        return key.hexdigest()

    @property
    def weight(self) -> int:
        """Rough guess of the work: the size of the design, since larger ones have more pieces."""
        return len(dict(self.files).get(self.path, b""))


@cache
def _page_to_open() -> str:
    """Digest of what a page to open by hand is made of, which is no Python."""
    from preview.viewer.page import script_and_style, source

    return digest("\n".join([source("source/page.html"), *script_and_style(False)]).encode())


def find_designs(folder: Path, *leave_out: Path) -> Iterator[Path]:
    """All design files below a folder, in order, without hidden folders and what is left out."""
    for path in sorted(folder.rglob("*.toml")):
        inside = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in inside.parts)
        # A catalog keeps what it makes of a design in a folder of the design's name.
        if path.is_dir() or hidden:
            continue
        if not any(path.is_relative_to(other) for other in leave_out):
            yield path


def gather(
    folder: Path,
    path: Path,
    settings: Settings,
    variant: str = "",
    values: Mapping[str, float | str] | None = None,
) -> CatalogTask:
    """The task of one design: its bytes and those of the files it names.

    A file is named by any text in the design that, seen from the design's folder, leads to a file
    inside the catalogued folder, or to a folder of SVGs there. This takes in a few files too many
    rather than one too few.

    Raises
    ------
    OSError
        If the design cannot be read.
    """
    content = _read(path, DESIGN_BYTES)
    files = {_below(folder, path): content}
    for text in sorted(_texts(content)):
        for asset in _assets(folder, path, text):
            files[_below(folder, asset)] = _read(asset, ASSET_BYTES)
    name = _below(folder, path) + (f"#{variant}" if variant else "")
    return CatalogTask(
        name, _below(folder, path), tuple(files.items()), settings, dict(values or {})
    )


def _read(path: Path, limit: int) -> bytes:
    """The file's bytes up to one past the limit, so that whoever judges it sees it is too long."""
    with path.open("rb") as file:
        return file.read(limit + 1)


def _texts(content: bytes) -> set[str]:
    """Every text in a design that could name a file; none if the design is broken."""
    try:
        data = tomllib.loads(content.decode())
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        return set()
    return texts_in(data)


def _assets(folder: Path, design: Path, text: str) -> list[Path]:
    home = folder.resolve()
    found = [path for path in files_led_to(design.parent, text) if path.is_relative_to(home)]
    return [folder / path.relative_to(home) for path in found if path != design]


def _below(folder: Path, path: Path) -> str:
    return str(PurePosixPath(path.relative_to(folder)))
