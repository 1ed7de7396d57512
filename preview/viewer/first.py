"""The first page, where there is no design yet: a blank notebook, a copy, or one seen lately.

It is a page of forms without any script. What is chosen is written and read before the page goes;
then the server of the design takes over at the same address.
"""

from __future__ import annotations

import base64
import hashlib
import html
import secrets
from http import HTTPStatus
from pathlib import Path
from urllib.parse import parse_qs

from meshes import designs
from meshes.errors import DesignError
from preview import begin
from preview.errors import UseError

from .page import source
from .recent import recent
from .server import Handler, Loopback

_PAGES = ("A5", "A4", "A6", "B5", "B6", "letter", "half-letter")
_MOST_BYTES = 4000  # our choice


class First(Loopback):
    """Serves the first page until a design is chosen.

    Parameters
    ----------
    folder : where new designs are written.

    Attributes
    ----------
    chosen : the design file, once there is one.
    """

    def __init__(self, folder: Path, port: int = 0) -> None:
        self.folder, self.recent = folder, recent()
        self.chosen: Path | None = None
        super().__init__(port, FirstHandler)

    def begin(self, form: dict[str, str]) -> Path:
        """Write or open what a form asks for.

        Raises
        ------
        UseError, DesignError
            If that can't be done; a line for a person.
        """
        from meshes.spread import read

        kind = form.get("do")
        if kind == "open":
            number = form.get("number", "")
            if not number.isdecimal() or int(number) >= len(self.recent):
                raise UseError("that file is not there any more")
            path = self.recent[int(number)]
        else:
            path = self._new(form, kind == "like")
        read(path, blank=True)
        return path

    def _new(self, form: dict[str, str], copy: bool) -> Path:
        name = form.get("name", "").strip().removesuffix(".toml")
        sound = name and name.isprintable() and name[0] not in ".-" and len(name.encode()) < 200
        if not sound or Path(name).name != name or "\\" in name:
            raise UseError(f"{name!r} is not a name for a file; try: my-spread")
        path = self.folder / f"{name}.toml"
        if not copy:
            begin.write(path, begin.blank(begin.titled(name), form.get("page", "A5")), {})
            return path
        if form.get("design") not in designs.names():
            raise UseError("choose one of the designs")
        text, files = begin.like(designs.path(form["design"]), begin.titled(name))
        begin.write(path, text, files)
        return path


class FirstHandler(Handler):
    """Answers with the first page, and to its forms."""

    server: First  # type: ignore[assignment]
    # No line is kept open: the next request may be for the server that takes over.
    protocol_version = "HTTP/1.0"
    # Without any, browsers say that a form comes from nowhere (Fetch standard, "Origin" header).
    referrer = "same-origin"

    def do_POST(self) -> None:
        """Take what a form asks for."""
        if self._refused():
            return
        length = self.headers.get("Content-Length", "")
        sound = length.isascii() and length.isdecimal() and len(length) < 8
        if not sound or int(length) > _MOST_BYTES or self.path != "/begin":
            self._refuse(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "That is too much at once.")
            return
        data = self.rfile.read(int(length)).decode(errors="replace")
        form = {key: values[0] for key, values in parse_qs(data).items()}
        known = secrets.compare_digest(
            form.get("secret", "").encode(errors="replace"), self.server.secret.encode()
        )
        if not known or self.headers.get("Origin") is None:
            self._refuse(HTTPStatus.FORBIDDEN, "Not for you.")
            return
        self.close_connection = True
        try:
            self.server.chosen = self.server.begin(form)
        except (UseError, DesignError, OSError) as error:
            page = self._first(str(error)).encode()
            self._send(HTTPStatus.UNPROCESSABLE_ENTITY, "text/html", page, True)
            return
        self._send(HTTPStatus.OK, "text/html", self._opening().encode(), True)

    def _answer(self, body: bool) -> None:
        if self._refused():
            return
        if self.path.split("?", 1)[0] != "/":
            self._send(HTTPStatus.NOT_FOUND, "text/plain", b"There is nothing here.\n", body)
            return
        # A line that the browser had opened early may still end here after the choice.
        page = self._first("") if self.server.chosen is None else self._opening()
        self._send(HTTPStatus.OK, "text/html", page.encode(), body)

    def _policy(self) -> str:
        style = base64.b64encode(hashlib.sha256(source("source/first.css").encode()).digest())
        return (
            f"default-src 'none'; style-src 'sha256-{style.decode()}'; base-uri 'none'; "
            "form-action 'self'"
        )

    def _first(self, mistake: str) -> str:
        pages = "".join(f"<option>{page}</option>" for page in _PAGES)
        copies = "".join(
            f'<option value="{name}">{html.escape(begin.titled(name))}</option>'
            for name in designs.names()
        )
        files = "".join(
            f'<li><form method="post" action="/begin">{self._secret("open")}'
            f'<input type="hidden" name="number" value="{k}">'
            f"<button><b>{html.escape(path.stem)}</b> {html.escape(str(path.parent))}</button>"
            "</form></li>"
            for k, path in enumerate(self.server.recent)
        )
        seen = f"<section><h2>Seen lately</h2><ul>{files}</ul></section>" if files else ""
        said = f'<p role="alert">{html.escape(mistake)}</p>' if mistake else ""
        text = source("source/first.html")
        for key, part in {
            "style": source("source/first.css"),
            "blank": self._secret("blank"),
            "like": self._secret("like"),
            "pages": pages,
            "copies": copies,
            "said": said,
            "seen": seen,
        }.items():
            text = text.replace(f"{{{{{key}}}}}", part)
        return text

    def _secret(self, what: str) -> str:
        hidden = '<input type="hidden" name="{}" value="{}">'
        return hidden.format("secret", self.server.secret) + hidden.format("do", what)

    def _opening(self) -> str:
        return (
            '<!doctype html><html lang="en"><head><meta charset="utf-8">'
            '<meta http-equiv="refresh" content="1; url=/"><title>Opening</title><style>'
            f"{source('source/first.css')}</style></head><body><main><h1>The notebook is being "
            'laid on the table …</h1><p><a href="/">Open it now</a></p></main></body></html>'
        )

    def finish(self) -> None:
        """After an answer: once a design is chosen, this server makes room."""
        super().finish()
        if self.server.chosen is not None:
            self.server.make_room()
