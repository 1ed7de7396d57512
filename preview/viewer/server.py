"""The page's server on this machine: a few addresses, for this machine alone.

Whatever asks for more than to read must come from the page itself: it knows a secret that is made
anew with each server, and its browser says that it is of the same origin.
"""

from __future__ import annotations

import contextlib
import json
import secrets
import socket
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import MappingProxyType
from typing import Any, Protocol
from urllib.parse import parse_qs, quote, urlsplit

from meshes.errors import DesignError
from preview.errors import UseError

from .page import as_data, assemble, policy
from .watch import State, Watcher

# A sign of life keeps the browser's line open and shows when it is gone.
HEARTBEAT_S = 10.0
SECRET_HEADER = "X-Foldstage-Secret"
# Requests that are answered within one second; a hand that pulls makes some 60. Our choice.
MOST_A_SECOND = 120
# Of what is made for a page. A page that was made (a plan, a guide) is saved like any other file.
FILE_KINDS = {
    ".apng": "image/apng",
    ".gif": "image/gif",
    ".json": "application/json",
    ".mp4": "video/mp4",
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".webp": "image/webp",
}


class MadeFiles(Protocol):
    """Files that pages have had made; see :mod:`preview.viewer.errands.queue`."""

    def news(self) -> dict[str, Any]:
        """What pages must know of them."""

    def file_at(self, path: str) -> Path | None:
        """The file of an address; None if there is none."""


@dataclass(frozen=True)
class Reply:
    """What answers the page at an address.

    Parameters
    ----------
    of : from the bytes of a request to what can stand in JSON; UseError or DesignError, with a line
        for a person, if that can't be done.
    most : bytes that a request may have.
    kind : of what it holds.
    """

    of: Callable[[bytes], Any]
    most: int = 16_000
    kind: str = "application/json"


class Loopback(ThreadingHTTPServer):
    """A server on the loopback interface, with a secret that its page knows.

    Parameters
    ----------
    port : 0 lets the system choose a free one.
    handler : answers its requests.
    listening : an address that is listened at already, to go on with.

    Raises
    ------
    OSError
        If the port is taken.
    """

    daemon_threads = True
    # On Windows the option would let two servers share a port.
    allow_reuse_address = hasattr(socket, "AF_UNIX")

    def __init__(
        self,
        port: int,
        handler: type[BaseHTTPRequestHandler],
        listening: socket.socket | None = None,
    ) -> None:
        self.secret = secrets.token_urlsafe(24)
        # By which a page tells that it is shown by this server and not by one before it.
        self.run = secrets.token_hex(8)
        self._asked: deque[float] = deque(maxlen=MOST_A_SECOND)
        super().__init__(("127.0.0.1", port), handler, bind_and_activate=listening is None)
        if listening is not None:
            self.socket.close()
            self.socket = listening
            self.server_address = listening.getsockname()
            self.server_name, self.server_port = "localhost", self.server_address[1]

    @property
    def address(self) -> str:
        """Where the page is."""
        return f"http://127.0.0.1:{self.server_port}/"

    @property
    def names(self) -> frozenset[str]:
        """Host headers that mean this server. Any other name has been made to point here.

        A page of another site can have its own name resolve to this machine (DNS rebinding); the
        browser then sends that name, and nothing is served.
        """
        hosts = ("127.0.0.1", "localhost", "[::1]")
        return frozenset(f"{host}:{self.server_port}" for host in hosts)

    def make_room(self) -> None:
        """Stop serving, from one of its own requests; who asks meanwhile waits for the next."""
        threading.Thread(target=self.shutdown, daemon=True).start()

    def too_much(self) -> bool:
        """Whether more is asked within a second than a page ever does; counts this request."""
        now = time.monotonic()
        full = len(self._asked) == MOST_A_SECOND and now - self._asked[0] < 1.0
        if not full:
            self._asked.append(now)
        return full

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that hangs up is no error worth a traceback."""


class Server(Loopback):
    """Serves one watched design.

    Parameters
    ----------
    port, listening : see :class:`Loopback`.
    answers : what answers the page, by address.
    desk : what pages must know of the changes that they make; left out, they make none.
    made : files that pages have had made, by address, and what they must know of them.
    """

    def __init__(
        self,
        watcher: Watcher,
        port: int = 0,
        answers: Mapping[str, Reply] | None = None,
        desk: Callable[[], Mapping[str, Any]] | None = None,
        listening: socket.socket | None = None,
        made: MadeFiles | None = None,
    ) -> None:
        self.watcher = watcher
        self.made = made
        self.answers = dict(answers or {})
        self._desk = desk
        super().__init__(port, Handler, listening)

    def told(self, state: State) -> dict[str, Any]:
        """What pages are told at every change; the scene they fetch then."""
        found: dict[str, Any] = {
            "version": state.version,
            "mistake": state.mistake,
            "run": self.run,
        }
        if self._desk is not None:
            found["desk"] = dict(self._desk())
        if self.made is not None:
            found["files"] = self.made.news()
        return found


class Handler(BaseHTTPRequestHandler):
    """Answers GET and HEAD for the page, its scene and its events, and what the page itself asks.

    Anything else is refused.
    """

    server: Server
    server_version = "foldstage"
    sys_version = ""
    referrer = "no-referrer"
    protocol_version = "HTTP/1.1"
    timeout = 30

    def do_GET(self) -> None:
        """Serve one of the three addresses."""
        self._answer(body=True)

    def do_HEAD(self) -> None:
        """As GET, without the body."""
        self._answer(body=False)

    def do_POST(self) -> None:
        """Answer the page."""
        if self._refused() or not self._from_the_page():
            return
        answer = self.server.answers.get(self.path)
        if answer is None:
            self._refuse(HTTPStatus.NOT_FOUND, "There is nothing here.")
            return
        data = self._content(answer)
        if data is None:
            return
        try:
            found = answer.of(data)
        except (UseError, DesignError) as error:
            self._refuse(HTTPStatus.UNPROCESSABLE_ENTITY, str(error))
            return
        except OSError as error:  # no room, or no right: what writes leaves the file as it was
            where = Path(error.filename).name if isinstance(error.filename, str) else "the file"
            why = (error.strerror or "cannot be written").lower()
            self._refuse(HTTPStatus.INSUFFICIENT_STORAGE, f"{where}: {why}; nothing is changed")
            return
        if isinstance(found, dict) and "made" in found:  # the page has changed the file
            self.server.watcher.hurry()
        self._send(HTTPStatus.OK, "application/json", json.dumps(found).encode(), True)

    def _from_the_page(self) -> bool:
        """Whether a request comes from this page; it is refused if not."""
        said = self.headers.get_all(SECRET_HEADER) or []
        known = len(said) == 1 and secrets.compare_digest(
            said[0].encode(), self.server.secret.encode()
        )
        if not known or self.headers.get("Origin") is None:
            self._refuse(HTTPStatus.FORBIDDEN, "Not for you.")
            return False
        if self.server.too_much():
            self._refuse(HTTPStatus.TOO_MANY_REQUESTS, "Too much is asked at once.")
            return False
        return True

    def _content(self, answer: Reply) -> bytes | None:
        """What a request holds; None, and refused, if it is of another kind or too much."""
        length = self.headers.get("Content-Length", "")
        kind = self.headers.get("Content-Type", "").partition(";")[0].strip().lower()
        if kind != answer.kind:
            wanted = "JSON" if answer.kind == "application/json" else "a file"
            self._refuse(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, f"Only {wanted} is understood.")
        elif not (length.isascii() and length.isdecimal() and len(length) < 12):
            self._refuse(HTTPStatus.LENGTH_REQUIRED, "How long it is must be said.")
        elif int(length) > answer.most:
            self._refuse(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "That is too much at once.")
        else:
            data = self.rfile.read(int(length))
            if len(data) == int(length):
                return data
            self.close_connection = True
        return None

    def _refuse(self, status: HTTPStatus, reason: str) -> None:
        """Say no, in a line for a person; what else the request holds is not read."""
        self.close_connection = True
        text = json.dumps({"mistake": reason})
        self._send(status, "application/json", text.encode(), True)

    def _answer(self, body: bool) -> None:
        if self._refused():
            return
        # No file is ever looked up: an address is one of these or it is not there.
        routes = {"/": self._page, "/scene.json": self._scene}
        path = self.path.split("?", 1)[0]
        if path == "/events" and body:
            self._events()
        elif path in routes:
            kind, text = routes[path](self.server.watcher.state)
            self._send(HTTPStatus.OK, kind, text.encode(), body)
        elif self.server.made is not None and (file := self.server.made.file_at(path)) is not None:
            self._file(file, body)
        else:
            self._send(HTTPStatus.NOT_FOUND, "text/plain", b"There is nothing here.\n", body)

    def _refused(self) -> bool:
        """Refuse other hosts' names and requests that another site's page has made."""
        host = self.headers.get_all("Host") or []
        origin = self.headers.get("Origin")
        site = self.headers.get("Sec-Fetch-Site", "none")
        allowed = (
            len(host) == 1
            and host[0].lower() in self.server.names
            and (origin is None or urlsplit(origin).netloc.lower() in self.server.names)
            and site in ("none", "same-origin")
        )
        if not allowed:
            # What else it holds is not read, so it must not be taken for the next request.
            self.close_connection = True
            self._send(HTTPStatus.FORBIDDEN, "text/plain", b"Not for you.\n", True)
        return not allowed

    def _page(self, state: State) -> tuple[str, str]:
        secret = self.server.secret
        told = self.server.told(state)
        scene = {**state.scene, "desk": None, **told, "live": True, "secret": secret}
        return "text/html", assemble(scene)

    def _scene(self, state: State) -> tuple[str, str]:
        """The scene, or what has changed of it since a version that a page shows."""
        asked = parse_qs(urlsplit(self.path).query)
        after, run = (asked.get(key, [""])[-1] for key in ("after", "run"))
        known = run == self.server.run and after.isascii() and after.isdecimal() and len(after) < 9
        scene = state.after(int(after)) if known else state.scene
        return "application/json", as_data({**scene, "version": state.version})

    def _file(self, path: Path, body: bool) -> None:
        """Hand out a file that was made, to be saved and never to be shown as a page of ours."""
        try:
            data = path.read_bytes()
        except OSError:  # thrown away just now
            self._send(HTTPStatus.NOT_FOUND, "text/plain", b"It is gone.\n", body)
            return
        kind = FILE_KINDS.get(path.suffix, "application/octet-stream")
        # RFC 6266 with the encoding of RFC 8187, for letters of all languages.
        name = f"attachment; filename*=UTF-8''{quote(path.name)}"
        self._send(HTTPStatus.OK, kind, data, body, {"Content-Disposition": name})

    def _events(self) -> None:
        """Server-sent events (HTML standard, section 9.2): the state now and at every change."""
        self.close_connection = True
        self.send_response(HTTPStatus.OK)
        self._headers("text/event-stream")
        self.send_header("Connection", "close")
        self.end_headers()
        news = 0
        with contextlib.suppress(OSError):  # the browser has gone
            while not self.server.watcher.stopped:
                state = self.server.watcher.wait(news, HEARTBEAT_S)
                if state.news > news:
                    text = json.dumps(self.server.told(state))
                    self.wfile.write(f"data: {text}\n\n".encode())
                else:
                    self.wfile.write(b": still here\n\n")
                news = state.news

    def _send(
        self,
        status: HTTPStatus,
        kind: str,
        data: bytes,
        body: bool,
        more: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        self.send_response(status)
        self._headers(kind)
        for name, value in more.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        if body:
            self.wfile.write(data)

    def _policy(self) -> str:
        return policy("self")

    def _headers(self, kind: str) -> None:
        """Headers of every answer: nothing is kept, guessed, framed or lent to other sites."""
        for name, value in {
            "Content-Type": kind
            if kind.startswith(("image", "video"))
            else f"{kind}; charset=utf-8",
            "Cache-Control": "no-store",
            "Content-Security-Policy": f"{self._policy()}; frame-ancestors 'none'",
            "Cross-Origin-Opener-Policy": "same-origin",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Referrer-Policy": self.referrer,
            "X-Content-Type-Options": "nosniff",
            "X-Frame-Options": "DENY",
        }.items():
            self.send_header(name, value)

    def log_message(self, format: str, *args: object) -> None:
        """Stay silent: the terminal belongs to the messages of the command."""
