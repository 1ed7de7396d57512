"""The page's server on this machine: three addresses, reading only, for this machine alone."""

from __future__ import annotations

import contextlib
import json
import socket
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import urlsplit

from .page import as_data, assemble, policy
from .watch import State, Watcher

# A sign of life keeps the browser's line open and shows when it is gone.
HEARTBEAT_S = 10.0


class Server(ThreadingHTTPServer):
    """Serves one watched design on the loopback interface.

    Parameters
    ----------
    port : 0 lets the system choose a free one.

    Raises
    ------
    OSError
        If the port is taken.
    """

    daemon_threads = True
    # On Windows the option would let two servers share a port.
    allow_reuse_address = hasattr(socket, "AF_UNIX")

    def __init__(self, watcher: Watcher, port: int = 0) -> None:
        self.watcher = watcher
        super().__init__(("127.0.0.1", port), Handler)

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

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that hangs up is no error worth a traceback."""


class Handler(BaseHTTPRequestHandler):
    """Answers GET and HEAD for the page, its scene and its events; anything else is refused."""

    server: Server
    server_version = "foldstage"
    sys_version = ""
    protocol_version = "HTTP/1.1"
    timeout = 30

    def do_GET(self) -> None:
        """Serve one of the three addresses."""
        self._answer(body=True)

    def do_HEAD(self) -> None:
        """As GET, without the body."""
        self._answer(body=False)

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
            self._send(HTTPStatus.FORBIDDEN, "text/plain", b"Not for you.\n", True)
        return not allowed

    def _page(self, state: State) -> tuple[str, str]:
        scene = {**state.scene, "live": True, "version": state.version}
        return "text/html", assemble(scene)

    def _scene(self, state: State) -> tuple[str, str]:
        return "application/json", as_data({**state.scene, "version": state.version})

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
                    text = json.dumps({"version": state.version, "mistake": state.mistake})
                    self.wfile.write(f"data: {text}\n\n".encode())
                else:
                    self.wfile.write(b": still here\n\n")
                news = state.news

    def _send(self, status: HTTPStatus, kind: str, data: bytes, body: bool) -> None:
        self.send_response(status)
        self._headers(kind)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        if body:
            self.wfile.write(data)

    def _headers(self, kind: str) -> None:
        """Headers of every answer: nothing is kept, guessed, framed or lent to other sites."""
        for name, value in {
            "Content-Type": f"{kind}; charset=utf-8",
            "Cache-Control": "no-store",
            "Content-Security-Policy": f"{policy('self')}; frame-ancestors 'none'",
            "Cross-Origin-Opener-Policy": "same-origin",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Referrer-Policy": "no-referrer",
            "X-Content-Type-Options": "nosniff",
            "X-Frame-Options": "DENY",
        }.items():
            self.send_header(name, value)

    def log_message(self, format: str, *args: object) -> None:
        """Stay silent: the terminal belongs to the messages of the command."""
