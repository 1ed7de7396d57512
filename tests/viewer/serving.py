"""A server that runs beside a test, and what a page asks it, with any header changed."""

from __future__ import annotations

import http.client
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from preview.viewer.aside import Aside
from preview.viewer.follow import Follower
from preview.viewer.server import SECRET_HEADER, Loopback

# Who shows pages of a server leaves them before it ends: a page that asked once more were refused.
VISITORS: list[Callable[[str], None]] = []


class Unheard(Aside):
    """In the place of the process that checks."""

    def begin(self, *job: Any) -> None:
        pass


def unchecked(follower: Follower) -> Follower:
    """For what a hand does: each save would begin a process that loads everything anew."""
    follower._aside = Unheard()
    return follower


def left(server: Loopback) -> None:
    """Let all who show pages of a server leave them."""
    for leave in VISITORS:
        leave(server.address)


@contextmanager
def running(server: Loopback) -> Iterator[None]:
    """Serve until the end; what keeps answers waiting must be stopped before."""
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    try:
        yield
    finally:
        left(server)
        server.shutdown()
        thread.join()
        server.server_close()


def posted(
    server: Loopback, path: str, data: bytes, changed: dict[str, str | None]
) -> tuple[int, bytes]:
    """Ask as the page does; status and what is answered.

    Parameters
    ----------
    changed : headers in place of the page's own, with _ for -; None leaves one out.
    """
    headers: dict[str, str | None] = {
        "Origin": server.address.rstrip("/"),
        "Content-Type": "application/json",
        SECRET_HEADER: server.secret,
        **{name.replace("_", "-"): value for name, value in changed.items()},
    }
    line = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=20)
    line.request("POST", path, data, {k: v for k, v in headers.items() if v is not None})
    answer = line.getresponse()
    found = answer.status, answer.read()
    line.close()
    return found
