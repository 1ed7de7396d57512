"""The folder that may be published: what the shop shows, under names that tell no file's name."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import unicodedata
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from meshes.export import whole_file, write_whole

from .front import as_page
from .shop import Shop
from .store import Row, Store
from .work import UNTITLED

FILES = ("still", "film", "view")
# Letters of a title in an address; our choice.
_LONGEST = 48
_PLACE = re.compile(r"[a-z0-9-]+-[a-z2-7]{8}")
_MADE = re.compile(r"(still|view|film)\.\w+")


def shown(row: Row, shop: Shop) -> bool:
    """Whether a design is in the shop: if the maker says so, else if it passes the check."""
    wish = shop.offer(row["name"]).show
    if row["status"] in ("broken", "crashed"):
        return False
    return row["status"] == "passes" if wish is None else wish


def public_title(row: Row, shop: Shop) -> str:
    """What the shop calls a design, which is never its file."""
    title = shop.offer(row["name"]).title
    if title:
        return title
    variant = row["name"].partition("#")[2]
    title = row["title"] or UNTITLED
    return f"{title}, {variant}" if variant else title


def place_of(row: Row, shop: Shop) -> str:
    """The folder of a design in the shop: its title, and a mark that no other design has."""
    text = unicodedata.normalize("NFKD", public_title(row, shop)).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:_LONGEST].strip("-")
    name = row["name"].encode(errors="surrogateescape")
    # Forty bits: among 100,000 designs of one title two have the same mark with a chance of 1/200.
    mark = base64.b32encode(hashlib.blake2b(name, digest_size=5).digest()).decode().lower()
    return f"{slug or 'spread'}-{mark}"


def publish(folder: Path, store: Store, rows: Sequence[Row], shop: Shop) -> None:
    """Bring the shop's folder up to date: first what the page shows, then the page.

    Parameters
    ----------
    folder : the shop's own; what else lies in it stays.
    """
    on_show = sorted(
        (row for row in rows if shown(row, shop)), key=lambda row: shop.order(row["name"])
    )
    places = {row["name"]: place_of(row, shop) for row in on_show}
    wanted: dict[Path, Path] = {}
    for row in on_show:
        for key in FILES:
            if row.get(key):
                wanted[folder / places[row["name"]] / row[key]] = store.item(row["name"]) / row[key]
    _bring(wanted)
    titles = {row["name"]: public_title(row, shop) for row in on_show}
    page = as_page(shop, on_show, titles, places)
    write_whole(folder / "index.html", page.encode(errors="surrogateescape"))
    _clear(folder, wanted)


def _bring(wanted: Mapping[Path, Path]) -> None:
    """Put files in place, whole or not at all: as second names of the stored ones, or copies."""
    for path, stored in wanted.items():
        if path.exists() and (
            os.path.samefile(path, stored) or path.read_bytes() == stored.read_bytes()
        ):
            continue
        with whole_file(path) as part:
            try:
                os.link(stored, part)
            except OSError:  # not every disk has second names
                part.write_bytes(stored.read_bytes())


def _clear(folder: Path, wanted: Mapping[Path, Path]) -> None:
    """Remove what an earlier run put there and the shop no longer shows."""
    for place in [path for path in folder.iterdir() if _PLACE.fullmatch(path.name)]:
        if not place.is_dir() or place.is_symlink():
            continue
        for path in list(place.iterdir()):
            if _MADE.fullmatch(path.name) and path not in wanted:
                path.unlink()
        with suppress(OSError):  # something of the maker's own lies in it
            place.rmdir()
