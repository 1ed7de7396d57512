"""The page is answered while a hand pulls, and nobody else is."""

from __future__ import annotations

import http.client
import json
import time
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.viewer.follow import Follower
from preview.viewer.server import MOST_A_SECOND, Reply, Server
from preview.viewer.watch import Watcher
from tests.viewer.serving import posted, running, unchecked

LEAF = """\
[spread]
page = "A5"
[values]
tall = 60
[pieces.leaf]
kind = "v-fold"
at = 84
page_angle = 48
panel_angle = 62
base = 20
outline = { shape = "leaf", length = "tall + 4", width = 42, base = 12 }
[pieces.twin]
kind = "flat"
on = "page.right"
x = 70
y = 150
outline = { shape = "leaf", length = "tall", width = 30 }
[pieces.dot]
kind = "flat"
on = "leaf.right"
x = 6
y = 30
outline = { shape = "ellipse", length = 6 }
"""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    file = tmp_path_factory.mktemp("pull") / "leaf.toml"
    file.write_text(LEAF)
    follower = unchecked(Follower(file, lambda: spread.read(file)))
    watcher = Watcher(follower.build)
    made = Server(watcher, answers={"/pull": Reply(follower.puller.answer)})
    with running(made):
        yield made
        watcher.stop()
    follower.close()


def post(server: Server, body: Any, path: str = "/pull") -> tuple[int, dict[str, Any]]:
    status, text = posted(server, path, json.dumps(body).encode(), {})
    return status, json.loads(text)


def request(server: Server, **more: Any) -> dict[str, Any]:
    """The tip of the leaf held, at 120°."""
    made = server.watcher.state.scene["made"]
    held = {"piece": "leaf", "body": "leaf.right", "local": tip(server), "opening": 120}
    return {"made": made, **held, **more}


def tip(server: Server) -> list[float]:
    body = next(b for b in server.watcher.state.scene["bodies"] if b["name"] == "leaf.right")
    ring = np.array(body["facets"][0]["rings"][0]).reshape(-1, 2)
    placed = body["facets"][0]["placed"]
    up = ring @ np.array(placed[:4]).reshape(2, 2)  # back to the sheet, but for its shift
    return [*map(float, ring[int(up[:, 1].argmax())]), 0.0]


def test_the_tip_of_a_leaf_that_is_pulled_grows_it_by_its_name(server: Server) -> None:
    status, first = post(server, request(server))
    assert status == 200
    held = np.array(first["held"])
    names = [".".join(key["path"]) for key in first["keys"]]
    assert "pieces.leaf.at" in names
    # Along the leaf, seen square to it.
    along = held - np.array([0, 84, 0])
    along /= np.linalg.norm(along)
    eye = held + np.cross(along, [1, 0, 0]) * 500
    target = held + 10 * along
    status, there = post(server, request(server, eye=eye.tolist(), target=target.tolist()))
    assert status == 200
    best = there["keys"][0]
    assert (there["path"], there["value"], there["stopped"]) == (["values", "tall"], 70, "")
    assert (best["value"], best["unit"], best["step"]) == (60, "mm", 1)
    assert best["through"] == ["pieces", "leaf", "outline", "length"]
    assert best["pieces"] == ["leaf", "twin"]
    assert np.linalg.norm(np.array(there["place"]) - target) < 1e-6
    # What moves with it: its own facets, the twin's on the page, and the dot that stands on it.
    assert {facet["facet"]["piece"] for facet in there["facets"]} == {"leaf", "twin", "dot"}
    assert {body["name"].partition(".")[0] for body in there["bodies"]} == {"leaf"}
    # It can be parted from its name instead.
    parted = next(key for key in there["keys"] if key["path"][-1] == "length")
    assert (parted["expression"], parted["value"]) == ("tall + 4", 64)
    status, own = post(
        server,
        request(server, eye=eye.tolist(), target=target.tolist(), path=parted["path"]),
    )
    assert (status, own["value"]) == (200, 74)
    assert {facet["facet"]["piece"] for facet in own["facets"]} == {"leaf", "dot"}


def test_a_number_that_is_typed_is_taken_exactly_and_ends_where_it_is_allowed(
    server: Server,
) -> None:
    at = ["pieces", "leaf", "at"]
    status, there = post(server, request(server, path=at, value=91.37))
    assert (status, there["value"], there["stopped"]) == (200, 91.37, "")
    moved = np.array(there["place"]) - there["held"]
    assert moved == pytest.approx([0, 7.37, 0], abs=1e-6)
    status, there = post(server, request(server, path=at, value=5000))
    assert status == 200
    assert there["stopped"] == "allowed are -2000 to 2000 mm"
    # The crease is 210 mm long, which only the piece itself knows.
    status, there = post(server, request(server, path=at, value=300))
    assert status == 200
    assert "beyond the end of the crease" in there["stopped"]
    assert 150 < there["value"] <= 210


def test_what_the_page_shows_no_more_is_not_pulled(server: Server) -> None:
    status, said = post(server, request(server) | {"made": "before"})
    assert (status, said) == (422, {"mistake": "the design has changed meanwhile"})


@pytest.mark.parametrize(
    "wrong",
    [
        {"piece": "nobody"},
        {"body": "nothing"},
        {"local": [500, 500, 0]},
        {"opening": 200},
        {"opening": "NaN"},
        {"path": ["pieces", "twin", "x"]},
        {"eye": [0, 0, 1e30], "target": [0, 0, 0]},
        {"eye": [0, 0, 1], "target": [0, 0, 1]},
        {"more": 1},
    ],
)
def test_a_request_that_makes_no_sense_is_refused_in_one_line(
    server: Server, wrong: dict[str, Any]
) -> None:
    status, said = post(server, request(server) | wrong)
    assert status == 422
    assert "\n" not in said["mistake"]


@pytest.mark.parametrize(
    ("changed", "status"),
    [
        ({"X_Foldstage_Secret": None}, 403),
        ({"X_Foldstage_Secret": "guessed"}, 403),
        ({"Origin": None}, 403),
        ({"Origin": "https://evil.example"}, 403),
        ({"Host": "evil.example"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Content_Type": "text/plain"}, 415),
        ({"Content_Length": "-1"}, 411),
        ({"Content_Length": "10e9"}, 411),
        ({"Content_Length": "1000000"}, 413),
    ],
)
def test_only_the_page_itself_is_answered(
    server: Server, changed: dict[str, str | None], status: int
) -> None:
    assert posted(server, "/pull", b"{}", changed)[0] == status


def test_nothing_else_takes_a_request(server: Server) -> None:
    assert post(server, {}, path="/scene.json")[0] == 404


def test_the_secret_is_in_the_page_and_nowhere_else(server: Server) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=5)
    texts = {}
    for path in ("/", "/scene.json"):
        connection.request("GET", path)
        texts[path] = connection.getresponse().read().decode()
    assert server.secret in texts["/"]
    assert server.secret not in texts["/scene.json"]


def test_more_than_a_page_ever_asks_is_refused(server: Server) -> None:
    while not server.too_much():
        pass
    assert len(server._asked) == MOST_A_SECOND
    server._asked.extend([time.monotonic() + 60] * MOST_A_SECOND)  # however slow this computer is
    assert post(server, {})[0] == 429
    server._asked.clear()
