"""Files that come beside a design: copied under a safe name, never over another file."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from contextlib import suppress
from pathlib import Path

from meshes.export import write_whole
from preview.errors import UseError

# Letters of a name that are kept, and bytes of it: file systems allow 255. Our choice.
_LETTERS, _BYTES = 40, 120
# Names that Windows keeps for devices (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)
_MOST_ALIKE = 1000  # our choice


def safe_stem(name: str, else_: str) -> str:
    """What a file may be called after a name that somebody else has given it, without its ending.

    Letters and digits of any writing stay, all else becomes a hyphen; folders in it are left out.
    """
    last = unicodedata.normalize("NFC", name).replace("\\", "/").rpartition("/")[2]
    stem = last.rpartition(".")[0] or last
    kept = re.sub(r"[^\w]+|_+", "-", stem).strip("-")[:_LETTERS].strip("-")
    while len(kept.encode(errors="replace")) > _BYTES:
        kept = kept[:-1]
    if not kept or not kept.isprintable():
        return else_
    return f"{else_}-{kept}" if _DEVICES.fullmatch(kept) else kept


class Beside:
    """Files that this session has put beside a design.

    Parameters
    ----------
    folder : of the design, or one in it, which is made if need be and goes again with its files.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._put: dict[str, str] = {}
        self._made = False  # whether the folder is ours

    def put(self, stem: str, ending: str, data: bytes) -> tuple[str, bool]:
        """Write a file under a name that no other has; one that holds the same is used as it is.

        Returns
        -------
        Its name, and whether it is new.

        Raises
        ------
        UseError
            If the folder may not be written.
        """
        self._make_folder()
        for number in range(1, _MOST_ALIKE):
            path = self._folder / (f"{stem}{ending}" if number == 1 else f"{stem}-{number}{ending}")
            if path.is_file() and _holds(path, data):
                return path.name, False
            if self._claim(path):
                try:
                    write_whole(path, data)
                except OSError as error:
                    path.unlink(missing_ok=True)
                    raise _no_room(error) from None
                self._put[path.name] = _digest(data)
                return path.name, True
        raise UseError(f"there are too many files called {stem} beside the design")

    def take_back(self, name: str) -> None:
        """Remove a file that was put here and is not wanted after all."""
        digest = self._put.pop(name, "")
        path = self._folder / name
        with suppress(OSError):
            if not path.is_symlink() and _digest(path.read_bytes()) == digest:
                path.unlink()
                if self._made:
                    self._folder.rmdir()  # what else lies in the folder keeps it

    def unused(self, text: str) -> list[str]:
        """Files put here that a design's text does not name."""
        return [name for name in self._put if name not in text]

    def tidy(self) -> None:
        """Remove what was put here and no design in the folder names."""
        texts = []
        for design in self._folder.glob("*.toml*"):
            with suppress(OSError):
                texts.append(design.read_text("utf-8", errors="replace"))
        for name in self.unused("\n".join(texts)):
            self.take_back(name)

    def _make_folder(self) -> None:
        try:
            self._folder.mkdir()
            self._made = True
        except FileExistsError:
            pass
        except OSError as error:
            raise _no_room(error) from None

    def _claim(self, path: Path) -> bool:
        """Take a name that nobody has; whether that went well. Not by looking, but by making it."""
        try:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        except FileExistsError:
            return False
        except OSError as error:
            raise _no_room(error) from None
        return True


def _no_room(error: OSError) -> UseError:
    why = (error.strerror or "it cannot be written").lower()
    return UseError(f"nothing could be put beside the design: {why}")


def _holds(path: Path, data: bytes) -> bool:
    try:
        return path.stat().st_size == len(data) and path.read_bytes() == data
    except OSError:
        return False


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
