"""The page's server lets nobody in but this machine's own browser, and gives out nothing else."""

from __future__ import annotations

import http.client
import json
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from preview.viewer.server import Server
from preview.viewer.watch import Build, Watcher

SCENE = {"title": "A spread", "live": False, "version": 0, "secret": None}


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    file = tmp_path / "spread.toml"
    file.write_text("")
    watcher = Watcher(lambda: Build(dict(SCENE), (file,)))
    made = Server(watcher)
    thread = threading.Thread(target=made.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    yield made
    watcher.stop()
    made.shutdown()
    thread.join()
    made.server_close()


def ask(
    server: Server, path: str = "/", method: str = "GET", **headers: str
) -> http.client.HTTPResponse:
    connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=5)
    connection.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        connection.putheader(name.replace("_", "-"), value)
    connection.endheaders()
    return connection.getresponse()


def raw(server: Server, text: str) -> str:
    with socket.create_connection(("127.0.0.1", server.server_port), timeout=5) as line:
        line.sendall(text.encode())
        line.shutdown(socket.SHUT_WR)
        return b"".join(iter(lambda: line.recv(4096), b"")).decode()


def test_it_listens_on_the_loopback_interface_only(server: Server) -> None:
    assert server.server_address[0] == "127.0.0.1"
    # 127.0.0.2 is this machine too, but another address: nobody listens there.
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.2", server.server_port), timeout=2)


def test_the_page_and_its_scene_are_served(server: Server) -> None:
    page = ask(server)
    assert page.status == 200
    text = page.read().decode()
    assert "<title>A spread</title>" in text
    assert '"live":true' in text
    assert json.loads(ask(server, "/scene.json").read())["title"] == "A spread"


def test_a_page_is_told_what_has_changed_since_what_it_shows(server: Server) -> None:
    def told(question: str) -> dict[str, object]:
        found: dict[str, object] = json.loads(ask(server, f"/scene.json?{question}").read())
        return found

    assert told(f"after=1&run={server.run}") == {"version": 1}
    for question in ("after=1", "after=1&run=other", f"after=-1&run={server.run}", "after=%00"):
        assert told(question)["title"] == "A spread"
    assert told(f"after={'9' * 5000}&run={server.run}")["title"] == "A spread"


@pytest.mark.parametrize("name", ["localhost", "127.0.0.1", "[::1]", "LocalHost"])
def test_its_own_names_are_welcome(server: Server, name: str) -> None:
    assert ask(server, Host=f"{name}:{server.server_port}").status == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:{port}",
        "localhost.evil.example:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "127.0.0.1:{port}@evil.example",
        "0.0.0.0:{port}",
        "",
    ],
)
@pytest.mark.parametrize("path", ["/", "/scene.json", "/events"])
def test_other_names_for_this_machine_are_refused(server: Server, host: str, path: str) -> None:
    answer = ask(server, path, Host=host.format(port=server.server_port))
    assert answer.status == 403
    assert b"A spread" not in answer.read()


def test_a_request_without_or_with_two_hosts_is_refused(server: Server) -> None:
    own = f"Host: 127.0.0.1:{server.server_port}\r\n"
    assert " 403 " in raw(server, "GET / HTTP/1.0\r\n\r\n").split("\r\n")[0]
    assert " 403 " in raw(server, f"GET / HTTP/1.0\r\n{own}{own}\r\n").split("\r\n")[0]
    assert " 200 " in raw(server, f"GET / HTTP/1.0\r\n{own}\r\n").split("\r\n")[0]


def test_it_is_no_proxy(server: Server) -> None:
    own = f"Host: 127.0.0.1:{server.server_port}\r\n\r\n"
    assert " 404 " in raw(server, f"GET http://evil.example/ HTTP/1.0\r\n{own}").split("\r\n")[0]
    assert ask(server, "http://evil.example/").status == 403  # its name comes along as the host


def test_pages_of_other_sites_are_refused(server: Server) -> None:
    assert ask(server, Origin="https://evil.example").status == 403
    assert ask(server, Origin="null").status == 403
    assert ask(server, Sec_Fetch_Site="cross-site").status == 403
    assert (
        ask(server, Origin=server.address.rstrip("/"), Sec_Fetch_Site="same-origin").status == 200
    )


@pytest.mark.parametrize(
    "path",
    [
        "/spread.toml",
        "/../spread.toml",
        "/..%2fspread.toml",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/../../../../etc/passwd",
        "//etc/passwd",
        "/etc/passwd",
        "/scene.json/../../etc/passwd",
        "/.git/config",
        "\\..\\..\\windows\\win.ini",
        "file:///etc/passwd",
        "/index.html",
        "/scene.json%00",
    ],
)
def test_no_path_leads_anywhere_else(server: Server, path: str) -> None:
    assert ask(server, path).status == 404


@pytest.mark.parametrize(
    ("method", "status"),
    [
        ("POST", 403),  # without the page's secret
        ("PUT", 501),
        ("DELETE", 501),
        ("PATCH", 501),
        ("OPTIONS", 501),
        ("TRACE", 501),
        ("CONNECT", 501),
    ],
)
def test_nothing_can_be_written_or_asked_for_in_other_ways(
    server: Server, method: str, status: int, tmp_path: Path
) -> None:
    before = {path: path.read_bytes() for path in tmp_path.rglob("*")}
    assert ask(server, "/scene.json", method).status == status
    assert {path: path.read_bytes() for path in tmp_path.rglob("*")} == before


def test_serving_writes_no_file(server: Server, tmp_path: Path) -> None:
    for path in ("/", "/scene.json", "/nothing"):
        ask(server, path).read()
    assert [path.name for path in tmp_path.iterdir()] == ["spread.toml"]


def test_every_answer_carries_the_strict_headers(server: Server) -> None:
    for path in ("/", "/scene.json", "/nothing", "/events"):
        headers = ask(server, path).headers
        policy = dict(
            part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";")
        )
        assert policy["default-src"] == "'none'"
        assert policy["script-src"].startswith("'sha256-")
        assert policy["connect-src"] == "'self'"
        assert policy["frame-ancestors"] == "'none'"
        assert "unsafe" not in headers["Content-Security-Policy"]
        assert headers["Access-Control-Allow-Origin"] is None
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert headers["Referrer-Policy"] == "no-referrer"
        assert "Python" not in headers["Server"]


def test_head_answers_without_a_body(server: Server) -> None:
    answer = ask(server, "/", "HEAD")
    assert answer.status == 200
    assert answer.read() == b""


def test_events_tell_the_state_at_once(server: Server) -> None:
    answer = ask(server, "/events")
    assert answer.headers["Content-Type"].startswith("text/event-stream")
    line = answer.readline().decode()
    told = {"version": 1, "mistake": "", "run": server.run}
    assert json.loads(line.removeprefix("data: ")) == told
    answer.close()
