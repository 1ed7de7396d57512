"""What the documents have from the code: ``python -m preview.reference`` renews it.

Each stands between two comments, ``<!-- NAME: … -->`` and ``<!-- end of NAME -->``.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from functools import partial
from pathlib import Path


def commands_markdown() -> str:
    """The table of commands."""
    from preview.cli import COMMANDS

    rows = [f"| `foldstage {name}` | {text} |" for name, (_, text) in COMMANDS.items()]
    return "\n".join(["| command | what it does |", "| --- | --- |", *rows])


def renewed(text: str, parts: Mapping[str, str]) -> str:
    """The text with each part put between its two comments.

    Raises
    ------
    ValueError
        If a part's comments are not there exactly once, in order.
    """
    for name, part in parts.items():
        pattern = re.compile(
            rf"(<!-- {name}: [^>]*-->\n).*?(<!-- end of {name} -->)", flags=re.DOTALL
        )
        if len(pattern.findall(text)) != 1:
            raise ValueError(f"expected the comments of {name!r} exactly once")
        # A function, since a string would have its backslashes read.
        text = pattern.sub(partial(_between, part), text)
    return text


def _between(part: str, found: re.Match[str]) -> str:
    return f"{found[1]}{part}\n{found[2]}"


def parts() -> dict[Path, dict[str, str]]:
    """Every part that is made from the code, by document and name."""
    from meshes.design.reference import reference_markdown

    from .gallery import gallery_markdown

    return {
        Path("README.md"): {"gallery": gallery_markdown(), "commands": commands_markdown()},
        Path("meshes", "designs", "REFERENCE.md"): {"design file": reference_markdown()},
    }


def main() -> int:
    """Renew the documents below the working folder."""
    for document, made in parts().items():
        text = renewed(document.read_text(encoding="utf-8"), made)
        document.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
