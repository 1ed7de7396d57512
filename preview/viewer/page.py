"""The page itself: sources of the package put together into one file that fetches nothing."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from meshes.export import write_whole

from ..roles import plain, role

# Parts of the page that a page to send does not have.
_SHAPING = re.compile(r"<!--shaping-->\n(.*?)<!--/shaping-->\n", re.DOTALL)


def assemble(scene: Mapping[str, Any]) -> str:
    """One self-contained HTML page for a scene (see :func:`preview.viewer.payload.payload`)."""
    live = bool(scene["live"])
    scene = scene if live else _said(scene)
    script, style = script_and_style(live)
    parts = {
        "policy": f'<meta http-equiv="Content-Security-Policy" content="{policy("none")}">',
        "title": html.escape(scene["title"]),
        "style": style,
        "poster": "",
        "scene": as_data(scene),
        "script": script,
    }
    page = _SHAPING.sub(r"\1" if live else "", source("source/page.html"))
    if not live and "poster" in scene:
        # Before the rest, so that it is seen while that is read and drawn; and once.
        source_of = html.escape(scene["poster"], quote=True)
        parts["poster"] = f'<img id="poster" alt="The spread, open" src="{source_of}">'
        parts["scene"] = as_data({key: scene[key] for key in scene if key != "poster"})
    if live:
        parts["policy"] = ""  # the server sends its own in the header
    # One pass, so that nothing in a design can stand for another part.
    pieces = page.split("{{")
    return pieces[0] + "".join(
        parts[name] + rest for name, rest in (piece.split("}}", 1) for piece in pieces[1:])
    )


def _said(scene: Mapping[str, Any]) -> dict[str, Any]:
    """A scene for a page to send: there things are called as the guide says them, not by keys."""

    def called(things: Sequence[Mapping[str, Any]], say: Callable[[str], str]) -> list[Any]:
        return [{**each, "called": say(each["name"].rpartition(".")[2])} for each in things]

    folds = called(scene.get("folds", ()), role)
    named = {key: called(scene.get(key, ()), plain) for key in ("pieces", "hands")}
    return {**scene, "folds": folds, **named}


def as_data(scene: Mapping[str, Any]) -> str:
    """A scene as JSON that can stand in a script element."""
    text = json.dumps(scene, separators=(",", ":"), ensure_ascii=False)
    # No tag can begin, and no line separator can break the text.
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return text


def script_and_style(live: bool) -> tuple[str, str]:
    """What a page runs and looks like; of one to send, nothing that could change a design."""
    style = source("source/viewer.css")
    if not live:
        return source("bundle/saved.js"), style
    return source("bundle/live.js"), style + source("source/shaping.css")


def policy(connect: str) -> str:
    """The content security policy: nothing but the page's own script and style may run.

    Parameters
    ----------
    connect : where the script may ask for data: ``self`` for the page of a server, ``none`` for one
        to send.
    """
    script, style = map(_hash, script_and_style(connect == "self"))
    return "; ".join(
        [
            "default-src 'none'",
            f"script-src 'sha256-{script}'",
            f"style-src 'sha256-{style}'",
            "img-src data: blob:",
            "media-src blob:",
            f"connect-src '{connect}'",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def save(path: Path, scene: Mapping[str, Any]) -> None:
    """Write the page, whole or not at all."""
    write_whole(path, assemble(scene).encode())


@cache
def source(name: str) -> str:
    """The text of a file of the page, such as ``source/viewer.css``."""
    text = files("preview.viewer").joinpath(name).read_text(encoding="utf-8")
    if name.endswith(".js"):
        # What would end the script element, or hide its end, written so that it can't.
        text = text.replace("</script", "<\\/script").replace("<!--", "<\\!--")
    return text


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
