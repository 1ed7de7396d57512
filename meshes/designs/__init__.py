"""The designs that come with the package, by name, and the one that a new design starts from.

Beside them lies a specimen of each kind of piece, a design like any other called ``kinds/NAME``,
which is not listed: ``foldstage help NAME --sheet`` draws it with its measures.
"""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).parent


def names() -> list[str]:
    """Names of all shipped designs, sorted."""
    return sorted(path.stem for path in _HERE.glob("*.toml"))


def specimens() -> list[str]:
    """Names of the specimens of kinds of piece, sorted, such as ``kinds/v-fold``."""
    return sorted(f"kinds/{path.stem}" for path in (_HERE / "kinds").glob("*.toml"))


def path(name: str) -> Path:
    """The file of a shipped design or of a specimen; KeyError if there is none of that name."""
    if name not in names() and name not in specimens():
        raise KeyError(name)
    return _HERE / f"{name}.toml"


def snippet(kind: str) -> str:
    """The tables of pieces of a kind's specimen, to be pasted into a design that has none yet."""
    text = path(f"kinds/{kind}").read_text(encoding="utf-8")
    return text[text.index("[pieces.") :].rstrip()


def drawings() -> list[Path]:
    """The drawings that shipped designs use, sorted; a design names them by folder and name."""
    return sorted((_HERE / "drawings").glob("*.svg"))


def start(name: str, file: str, which: str = "start") -> str:
    """The text of a small commented design.

    Parameters
    ----------
    name : becomes its title.
    file : the name it will have, for the commands in its comments.
    which : ``start``, a flower, or ``scene``, a balloon over hills.
    """
    title = name.replace("-", " ").replace("_", " ").capitalize()
    title = title.replace("\\", "\\\\").replace('"', '\\"')
    text = (_HERE / "start" / f"{which}.toml").read_text(encoding="utf-8")
    return text.replace("{title}", title).replace("{file}", file)
