"""Entries kept in the user's own cache folder: each is whole and undamaged, or it is not there.

It lies here, in ``meshes``, so that solver and pictures can use it alike. An entry is bytes under a
name, in a file of its own that says how long it is and what its check sum is; plain arrays and JSON
are packed with :func:`pack`. Nothing here ever unpickles: what a file holds may give a wrong
picture at worst, never a command.

Any entry may vanish at any moment, because another process trims the shelf or the user empties the
folder; so whoever asks for one must be able to make it again.
"""

from __future__ import annotations

import dataclasses
import hashlib
import io
import json
import os
import shutil
import stat
import time
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .export import write_whole

# Names another folder; empty, nothing is kept.
VARIABLE = "FOLDSTAGE_CACHE"

_MAGIC = b"foldstage cache 2"
# Longest first line of an entry, bytes.
_HEAD_BYTES = 400
_DIGEST_BYTES = 16
# A shelf is counted anew whenever this share of its bound has been written.
_COUNT_EVERY = 1 / 8
# A folder that others may write to is nobody's own.
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH


def user_folder() -> Path | None:
    """The folder for what foldstage keeps, made if need be; None if there is none to be had.

    It is the system's place for caches (the XDG Base Directory Specification's on Linux), or what
    the variable `VARIABLE` names. It must belong to the user alone.
    """
    named = os.environ.get(VARIABLE)
    if named is None:
        from platformdirs import user_cache_path

        try:
            folder = user_cache_path("foldstage", appauthor=False)
        except RuntimeError:  # without HOME, for a user who is in no table of users
            return None
    else:
        folder = Path(named)
    if (not named and named is not None) or not folder.is_absolute():
        return None
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        state = folder.stat()
    except OSError:
        return None
    if hasattr(os, "getuid") and (state.st_uid != os.getuid() or state.st_mode & _OTHERS_WRITE):
        return None
    return folder if os.access(folder, os.R_OK | os.W_OK | os.X_OK) else None


class Shelf:
    """A folder of entries with a bound; the ones not used for longest are removed first.

    Parameters
    ----------
    folder : made when the first entry is put.
    bound : bytes that all entries together may take; None if somebody else sees to that.
    """

    def __init__(self, folder: Path, bound: int | None) -> None:
        self.folder, self._bound = folder, bound
        self._uncounted = float("inf")

    def put(self, name: str, data: bytes) -> None:
        """Keep an entry; under the name of another it takes that one's place.

        Raises
        ------
        OSError
            If it cannot be written; there is no entry of that name then, or the one before.
        """
        head = json.dumps([name, len(data), zlib.crc32(data)]).encode()
        whole = b"\n".join([_MAGIC, head, data])
        try:
            write_whole(self._file(name), whole)
        except FileNotFoundError:  # another process has just removed the folder
            write_whole(self._file(name), whole)
        if self._bound is None:
            return
        self._uncounted += len(data)
        if self._uncounted > self._bound * _COUNT_EVERY:
            trim(self.folder, self._bound)
            self._uncounted = 0.0

    def get(self, name: str) -> bytes | None:
        """An entry; None if it is not there, or not as it was put (it is removed then)."""
        file = self._file(name)
        try:
            data = _checked(name, file)
        except OSError:
            return None
        with suppress(OSError):
            if data is None:
                file.unlink()
            else:
                os.utime(file)
        return data

    def _file(self, name: str) -> Path:
        return self.folder / f"{hashlib.blake2b(name.encode(), digest_size=16).hexdigest()}.entry"


def trim(folder: Path, bound: int, keep_s: float = float("inf"), spare: Iterable[str] = ()) -> None:
    """Remove what has not been used for longest from a folder, until it holds no more than `bound`.

    Parameters
    ----------
    folder : of entries, or of folders with entries, which are removed as one.
    bound : bytes.
    keep_s : what has not been used for longer than this is removed in any case.
    spare : names of items that stay.
    """
    items = []
    for path in folder.iterdir() if folder.is_dir() else ():
        with suppress(OSError):  # another process has removed it
            items.append((*_use(path), path))
    total = sum(size for _, size, _ in items)
    now = time.time()
    for used, size, path in sorted(items, key=lambda item: (item[0], item[2].name)):
        if path.name not in set(spare) and (total > bound or now - used > keep_s):
            with suppress(OSError):
                shutil.rmtree(path) if path.is_dir() else path.unlink()
            total -= size


def _use(path: Path) -> tuple[float, int]:
    """When a file or anything in a folder was last used, and the bytes it takes."""
    state = path.stat()
    if not path.is_dir():
        return state.st_mtime, state.st_size
    inside = [_use(one) for one in path.iterdir()]
    return max([state.st_mtime, *(used for used, _ in inside)]), sum(size for _, size in inside)


def _checked(name: str, file: Path) -> bytes | None:
    with file.open("rb") as stream:
        if stream.readline(len(_MAGIC) + 1) != _MAGIC + b"\n":
            return None
        try:
            head = json.loads(stream.readline(_HEAD_BYTES))
        except ValueError:
            return None
        here = os.fstat(stream.fileno()).st_size - stream.tell()
        if not isinstance(head, list) or len(head) != 3 or head[:2] != [name, here]:
            return None
        data = stream.read()
    return data if head[2] == zlib.crc32(data) else None


def pack(arrays: Mapping[str, np.ndarray], about: Any = None, squeeze: bool = True) -> bytes:
    """Arrays of numbers by name, and whatever JSON can say, as bytes; the same ones every time.

    Parameters
    ----------
    squeeze : make them fewer, which takes longer than to write them.

    Raises
    ------
    ValueError
        If an array holds objects.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", compresslevel=1) as archive:
        # A fixed date: the bytes must not depend on when they were made.
        archive.writestr(zipfile.ZipInfo("about.json"), json.dumps(about, sort_keys=True))
        for name, array in sorted(arrays.items()):
            one = io.BytesIO()
            np.lib.format.write_array(one, np.asarray(array), allow_pickle=False)
            info = zipfile.ZipInfo(f"{name}.npy")
            info.compress_type = zipfile.ZIP_DEFLATED if squeeze else zipfile.ZIP_STORED
            archive.writestr(info, one.getvalue())
    return out.getvalue()


def unpack(data: bytes) -> tuple[dict[str, np.ndarray], Any]:
    """What :func:`pack` has packed: the arrays, and the JSON.

    Raises
    ------
    ValueError
        If these are other bytes, or hold objects.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            about = json.loads(archive.read("about.json"))
            arrays = {
                name.removesuffix(".npy"): np.lib.format.read_array(
                    io.BytesIO(archive.read(name)), allow_pickle=False
                )
                for name in archive.namelist()
                if name.endswith(".npy")
            }
    except (zipfile.BadZipFile, KeyError, EOFError) as error:
        raise ValueError(f"not a packed entry: {error}") from None
    return arrays, about


def fingerprint(*things: Any) -> str:
    """A digest of values, the same in every process.

    The values may be numbers, texts, arrays, outlines, paths, which stand for what their file
    holds, and tuples, lists, sets, dictionaries and data classes of them.

    Raises
    ------
    OSError
        If a file cannot be read.
    TypeError
        For anything else, of which nobody knows what it depends on.
    """
    return _told(things, {}).hex()


def _told(thing: Any, known: dict[int, bytes]) -> bytes:
    """A digest of one value.

    Parameters
    ----------
    known : digests of data classes that have been met, by `id`: a sheet belongs to many parts.
    """
    text = hashlib.blake2b(digest_size=_DIGEST_BYTES)
    _feed(text, thing, known)
    return text.digest()


def _feed(text: Any, thing: Any, known: dict[int, bytes]) -> None:
    """Tell a digest of a value; what a value is comes first, so that no two read alike.

    Adding zero makes one of the two zeros: vector units give one or the other for the same sum,
    depending on where an array happens to lie in memory.
    """
    if isinstance(thing, _FLOATS):
        text.update(f"{type(thing).__name__} {thing + 0.0!r}\n".encode())
    elif isinstance(thing, _SINGLE):
        text.update(f"{type(thing).__name__} {thing!r}\n".encode())
    elif isinstance(thing, np.ndarray) and not thing.dtype.hasobject:
        text.update(f"array {thing.dtype.str} {thing.shape}\n".encode())
        text.update((thing + 0.0 if thing.dtype.kind == "f" else thing).tobytes())
    elif isinstance(thing, shapely.Polygon) and _is_one_ring(thing):
        _feed(text, ("ring", shapely.get_coordinates(thing)), known)
    elif isinstance(thing, BaseGeometry):
        plain = shapely.transform(thing, lambda corners: corners + 0.0)
        _feed(text, ("outline", shapely.to_wkb(plain)), known)
    elif isinstance(thing, (list, tuple)):
        if _PLAIN.issuperset(map(type, thing)):
            # Most rows are the coordinates of a point or texts; their words tell them apart.
            words = [repr(one + 0.0 if type(one) is float else one) for one in thing]
            text.update(f"plain {len(thing)} {' '.join(words)}\n".encode())
            return
        text.update(f"row {len(thing)}\n".encode())
        for one in thing:
            _feed(text, one, known)
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        if id(thing) not in known:
            names = _names_of(type(thing))
            values = [getattr(thing, name) for name in names]
            known[id(thing)] = _told((type(thing).__qualname__, names, values), known)
        text.update(b"object " + known[id(thing)])
    elif isinstance(thing, Mapping):
        _feed_sorted(text, "mapping", list(thing.items()), known)
    elif isinstance(thing, (set, frozenset)):
        _feed_sorted(text, "set", list(thing), known)
    elif isinstance(thing, Path):
        _feed(text, ("file", thing.read_bytes()), known)
    else:
        raise TypeError(f"cannot tell what a {type(thing).__name__} depends on")


def _is_one_ring(polygon: shapely.Polygon) -> bool:
    """Whether its corners tell all of it."""
    return not (shapely.get_num_interior_rings(polygon) or shapely.has_z(polygon))


_FLOATS = (float, np.floating)
_SINGLE = (type(None), bool, int, complex, str, bytes, np.generic)
_PLAIN = frozenset({float, int, bool, str, type(None)})


@lru_cache(maxsize=256)
def _names_of(kind: type) -> tuple[str, ...]:
    """The fields of a data class."""
    return tuple(field.name for field in dataclasses.fields(kind))


def _feed_sorted(text: Any, kind: str, items: list[Any], known: dict[int, bytes]) -> None:
    """In an order of their own: sets have none, and dictionaries are equal in any."""
    text.update(f"{kind} {sorted(_told((item,), known).hex() for item in items)}\n".encode())


def digest(data: bytes) -> str:
    """A digest of a file's bytes, to see whether it is as it was."""
    return hashlib.blake2b(data, digest_size=_DIGEST_BYTES).hexdigest()
