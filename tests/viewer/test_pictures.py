"""Pictures come beside a design and onto its paper; nothing of a file is trusted but its pixels."""

from __future__ import annotations

import base64
import io
import json
import struct
import sys
import threading
import tomllib
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import Point

from meshes import spread
from preview.errors import UseError
from preview.viewer.beside import Beside, safe_stem
from preview.viewer.desk import Desk
from preview.viewer.follow import Follower
from preview.viewer.prints import prints
from preview.viewer.server import SECRET_HEADER, Server
from preview.viewer.tray import MOST_BYTES, Tray
from preview.viewer.watch import Build, Watcher
from tests.viewer.serving import posted, running, unchecked

SCRIPT = b"<script>alert(document.domain)</script>"


def picture(size: tuple[int, int] = (60, 40), kind: str = "PNG", colour: str = "#c23b22") -> bytes:
    data = io.BytesIO()
    Image.new("RGB", size, colour).save(data, kind)
    return data.getvalue()


def asked(of: Callable[[bytes], Any], **question: Any) -> Any:
    return of(json.dumps({"made": "", **question}).encode())


def spot(file: Path, part: str, back: bool = False) -> dict[str, Any]:
    """The middle of a facet, seen from one of its sides."""
    for body in spread.read(file).linkage.bodies:
        for one in body.parts:
            if one.id == part:
                x, y = one.polygon.representative_point().coords[0]
                seen = -one.placement.up if back else one.placement.up
                where = {"piece": part.partition(".")[0], "body": body.name}
                return {**where, "local": [x, y, one.height], "seen": seen}
    raise AssertionError(part)


def printed(desk: Desk, where: dict[str, Any], name: str = "bird.png", data: bytes = b"") -> Any:
    answers = desk.answers()
    brought = answers["/picture"].of(data or picture())
    return asked(answers["/picture/print"].of, picture=brought["picture"], name=name, spot=where)


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd.png",
        "C:\\windows\\win.ini",
        "",
        ".",
        "..",
        ".htaccess",
        "con.jpg",
        "a" * 5000 + ".png",
        "鳥" * 400 + ".png",
        "Mein schöner Vögel.jpg",
        "exe\u202egnp.png",
        "a\0b\n.png",
        "<img src=x onerror=alert(1)>.png",
        "\ud800.png",
        "-rf.png",
    ],
)
def test_any_name_becomes_a_plain_one_in_the_folder(tmp_path: Path, name: str) -> None:
    stem = safe_stem(name, "picture")
    put, new = Beside(tmp_path).put(stem, ".png", b"x")
    assert new
    assert [path.name for path in tmp_path.iterdir()] == [put]
    assert 0 < len(put.encode()) <= 255
    assert all(letter.isalnum() or letter in "-." for letter in put)
    assert put[0] not in "-."
    assert put.partition(".")[0].lower() not in {"con", "nul", "aux", "prn"}


def test_names_that_people_give_stay() -> None:
    assert safe_stem("Mein schöner Vögel.jpg", "picture") == "Mein-schöner-Vögel"
    assert safe_stem("鳥.png", "picture") == "鳥"
    assert safe_stem("scan_012.final.png", "picture") == "scan-012-final"


def test_no_file_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "bird.png").write_bytes(b"hers")
    (tmp_path / "link.png").symlink_to(tmp_path / "nowhere.png")
    beside = Beside(tmp_path)
    assert beside.put("bird", ".png", b"one") == ("bird-2.png", True)
    assert beside.put("bird", ".png", b"two") == ("bird-3.png", True)
    assert beside.put("bird", ".png", b"one") == ("bird-2.png", False)
    assert beside.put("link", ".png", b"one") == ("link-2.png", True)
    assert (tmp_path / "bird.png").read_bytes() == b"hers"
    assert not (tmp_path / "nowhere.png").exists()
    beside.tidy()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bird.png", "link.png"]


def test_two_at_once_get_two_names(tmp_path: Path) -> None:
    beside, found = Beside(tmp_path), []
    gate = threading.Barrier(8)

    def put(k: int) -> None:
        gate.wait()
        found.append(beside.put("bird", ".png", b"%d" % k)[0])

    threads = [threading.Thread(target=put, args=(k,)) for k in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(found) == sorted({*found})
    assert sorted(p.read_bytes() for p in tmp_path.iterdir()) == [b"%d" % k for k in range(8)]


def bomb(side: int) -> bytes:
    """A small PNG that says that it is so large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes((side + 7) // 8 + 1) * 2000, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def wordy(kind: bytes, count: int, size: int) -> bytes:
    """A good PNG in which so many texts are packed, each of so many bytes (PNG 1.2, 4.2.3)."""
    whole = picture()
    head = {b"zTXt": b"k\0\0", b"iTXt": b"k\0\1\0\0\0", b"iCCP": b"k\0\0"}[kind]
    data = kind + head + zlib.compress(bytes(size), 9)
    part = struct.pack(">I", len(data) - 4) + data + struct.pack(">I", zlib.crc32(data))
    return whole[:33] + part * count + whole[33:]


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><image href="file:///etc/passwd"/>%s</svg>' % SCRIPT


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (SVG, "saved as PNG first"),
        (b"<!doctype html>" + SCRIPT, "not an image"),
        (b"%PDF-1.7\n", "saved as PNG first"),
        (b"GIF89a" + bytes(40), "not an image"),
        (picture()[:60], "decoded"),
        (bomb(30_000), "pixels"),
        (bomb(100_000), "pixels"),
        (b"\0\0\0\x18ftypheic" + bytes(50), "saved as JPEG first"),
        (wordy(b"zTXt", 1, 1 << 24), "can"),
        (wordy(b"iTXt", 1, 1 << 24), "can"),
        (wordy(b"zTXt", 100, 1_000_000), "can"),
        (wordy(b"zTXt", 20_001, 0), "chunks"),
    ],
    ids=[
        *("empty", "svg", "html", "pdf", "gif", "cut off", "bomb", "huge bomb", "heic"),
        *("a text that swells", "an international one", "many texts", "no end of texts"),
    ],
)
def test_what_is_no_picture_is_refused_in_one_line(data: bytes, said: str) -> None:
    with pytest.raises(UseError, match=said) as error:
        Tray().bring(data)
    assert "\n" not in str(error.value)


def test_the_bytes_tell_the_ending_not_the_name(design: Path) -> None:
    desk = Desk(design)
    where = spot(design, "tulip.left")
    for kind, ending in (("PNG", ".png"), ("JPEG", ".jpg"), ("WEBP", ".webp")):
        answer = printed(desk, where, "photo.svg", picture(kind=kind))
        assert answer["file"] == f"photo{ending}"
        assert (design.parent / answer["file"]).read_bytes() == picture(kind=kind)


def test_nothing_of_a_file_reaches_the_page_but_its_pixels(design: Path) -> None:
    """A picture that is a page and an archive too, with words in it and behind it."""
    from PIL.PngImagePlugin import PngInfo

    words, data = PngInfo(), io.BytesIO()
    words.add_text("Comment", SCRIPT.decode())
    Image.new("RGB", (30, 30), "#00ff00").save(data, "PNG", pnginfo=words)
    hostile = data.getvalue() + b"PK\x03\x04" + SCRIPT
    desk, name = Desk(design), "<script>alert(1)</script>.png"
    answer = printed(desk, spot(design, "tulip.left"), name, hostile)
    told = json.dumps(answer) + json.dumps(desk.answers()["/picture"].of(hostile))
    follower = unchecked(Follower(design, lambda: spread.read(design)))
    try:
        scene = follower.build().scene
    finally:
        follower.close()
    for text in (told, json.dumps(scene)):
        assert SCRIPT.decode() not in text
        assert "<script>" not in text
    urls = [a["image"] for b in scene["bodies"] for f in b["facets"] for a in f["art"]]
    assert urls
    for url in urls:
        raw = base64.b64decode(url.partition(",")[2])
        assert b"script" not in raw
        assert Image.open(io.BytesIO(raw)).info.get("Comment") is None


def test_a_picture_lies_where_it_was_let_go_and_undo_takes_it_back(design: Path) -> None:
    first = design.read_bytes()
    desk = Desk(design)
    answer = printed(desk, spot(design, "tulip.left"))
    assert (answer["piece"], answer["key"], answer["undo"]) == (
        "tulip",
        "images.1",
        "bird.png printed on tulip",
    )
    table = tomllib.loads(design.read_text())["pieces"]["tulip"]["images"][0]
    assert (table["file"], table["facet"], table["x"], table["y"]) == ("bird.png", "left", 0, 0)
    undone = desk.undo(b"{}")
    assert undone["unused"] == ["bird.png"]
    assert design.read_bytes() == first
    assert (design.parent / "bird.png").exists()
    desk.redo(b"{}")
    printed(desk, spot(design, "meadow.art"), "other.png", picture(colour="#112233"))
    assert desk.undo(b"{}")["unused"] == ["other.png"]
    desk.close()
    assert sorted(p.name for p in design.parent.iterdir()) == ["bird.png", "tulip.toml"]


def test_on_a_page_it_lies_on_paper_of_its_own_within_the_page(design: Path) -> None:
    desk = Desk(design)
    where = {"piece": "page", "body": "page.right", "local": [147, 209, 0], "seen": 1}
    answer = printed(desk, where, "Bird.PNG", picture((900, 300)))
    made = spread.read(design)
    assert answer["piece"] == "bird"
    (sheet,) = made.built["bird"].sheets
    (placed,) = [p for b in made.linkage.bodies for p in b.parts if p.sheet is sheet]
    page = next(p for p in made.linkage.bodies[1].parts if p.id == "page.right")
    assert page.polygon.contains(placed.polygon)
    low_x, low_y, high_x, high_y = placed.polygon.bounds
    assert (high_x - low_x) / (high_y - low_y) == pytest.approx(3, rel=0.05)


def test_a_print_moves_as_it_is_seen_on_either_side(design: Path) -> None:
    """To the right, up and anticlockwise for whoever reads that side."""
    design.write_text(
        design.read_text().replace("y = 74", "y = 74\nrepeat = { both_pages = true }")
    )
    desk = Desk(design)
    for part, back in (
        ("tulip.left", False),
        ("tulip.right", True),
        ("meadow-mirrored.art", False),
    ):
        answer = printed(desk, spot(design, part, back))
        piece = part.partition(".")[0]

        def one(piece: str = piece, key: str = answer["key"]) -> dict[str, Any]:
            found = prints(spread.read(design))
            return next(p for p in found if (p["piece"], p["key"]) == (piece, key))

        before = one()
        assert before["side"] == (-1 if back else 1)
        change = {"right": 5, "up": 3, "turn": 30, "scale": 1.5}
        asked(desk.answers()["/print/move"].of, piece=piece, key=answer["key"], **change)
        after = one()
        side = before["side"]
        moved = np.subtract(after["placed"][4:], before["placed"][4:])
        assert moved == pytest.approx([5 * side, 3], abs=1e-6)
        ways = [np.reshape(p["placed"][:4], (2, 2)) for p in (before, after)]
        turned = ways[1] @ ways[0].T
        angle = np.degrees(np.arctan2(turned[1, 0], turned[0, 0]))
        assert angle == pytest.approx(30 * side, abs=1e-6)
        assert after["size"][0] == pytest.approx(1.5 * before["size"][0], abs=0.51)


def test_an_expression_keeps_its_name_when_a_print_is_moved(design: Path) -> None:
    desk = Desk(design)
    printed(desk, spot(design, "meadow.art"))
    text = design.read_text().replace("x = 0, y = 0", 'x = "edge / 2", y = 0')
    design.write_text(text.replace("[spread]", "[values]\nedge = 8\n[spread]"))
    move = desk.answers()["/print/move"].of
    asked(move, piece="meadow", key="images.1", right=2.2, up=1.6)
    table = tomllib.loads(design.read_text())["pieces"]["meadow"]["images"][0]
    assert (table["x"], table["y"]) == ("edge / 2 + 2", 2)
    with pytest.raises(UseError, match="mm large"):
        asked(move, piece="meadow", key="images.1", scale=0.01)
    with pytest.raises(UseError, match="not there any more"):
        asked(move, piece="meadow", key="images.7", up=1)


def test_a_print_that_is_lifted_leaves_the_others(design: Path) -> None:
    desk = Desk(design)
    printed(desk, spot(design, "tulip.left"))
    asked(desk.answers()["/letter"].of, text="May", spot=spot(design, "tulip.left"))
    answer = desk.answers()["/print/lift"].of(b'{"piece": "tulip", "key": "images.1"}')
    look = Image.open(io.BytesIO(base64.b64decode(answer["look"].partition(",")[2])))
    assert look.width / look.height == pytest.approx(1.5, rel=0.02)
    assert np.asarray(look.convert("RGB")).reshape(-1, 3).mean(axis=0) == pytest.approx(
        [0xC2, 0x3B, 0x22], abs=2
    )
    (letters,) = answer["rest"]["tulip.left"]
    ink = np.asarray(Image.open(io.BytesIO(base64.b64decode(letters["image"].partition(",")[2]))))
    assert (ink[..., 3] > 128).any()
    assert not ((ink[..., 0] > 150) & (ink[..., 3] > 128)).any()


def test_words_stand_where_they_were_typed(design: Path) -> None:
    desk = Desk(design)
    letter = desk.answers()["/letter"].of
    assert (
        asked(letter, text=" May ", spot=spot(design, "tulip.right", True))["key"] == "lettering.1"
    )
    table = tomllib.loads(design.read_text())["pieces"]["tulip"]["lettering"][0]
    assert table == {"text": "May", "facet": "right", "side": "back", "x": 0, "y": 0, "size": 8}
    asked(letter, text='"x" = \\ <b>', piece="tulip", key="lettering.1")
    table = tomllib.loads(design.read_text())["pieces"]["tulip"]["lettering"][0]
    assert table["text"] == '"x" = \\ <b>'
    asked(letter, text="", piece="tulip", key="lettering.1")
    assert not tomllib.loads(design.read_text())["pieces"]["tulip"]["lettering"]
    where = {"piece": "page", "body": "page.left", "local": [-70, 150, 0], "seen": 1}
    assert asked(letter, text="for Anna", spot=where)["piece"] == "words"
    made = spread.read(design)
    (sheet,) = made.built["words"].sheets
    (line,) = prints(made)
    assert sheet.outline.bounds[2] - sheet.outline.bounds[0] > line["size"][0]
    with pytest.raises(UseError, match="nothing was typed"):
        asked(letter, text="  ", spot=where)


def test_only_the_page_hands_files_over_and_not_too_large_ones(design: Path) -> None:
    desk = Desk(design)
    watcher = Watcher(lambda: Build({"title": "t", "live": False}, (design,)))
    server = Server(watcher, 0, desk.answers(), desk.news)
    plain: dict[str, str | None] = {"Content_Type": "application/octet-stream"}
    with running(server):
        assert posted(server, "/picture", picture(), plain)[0] == 200
        assert posted(server, "/picture", picture(), {})[0] == 415
        assert posted(server, "/picture", picture(), {**plain, SECRET_HEADER: "no"})[0] == 403
        assert posted(server, "/picture", picture(), {**plain, "Origin": None})[0] == 403
        other: dict[str, str | None] = {**plain, "Origin": "https://elsewhere.example"}
        assert posted(server, "/picture", picture(), other)[0] == 403
        long: dict[str, str | None] = {**plain, "Content_Length": str(MOST_BYTES + 1)}
        assert posted(server, "/picture", b"x", long)[0] == 413
        status, said = posted(server, "/picture", SVG, plain)
        assert status == 422
        assert "saved as PNG first" in json.loads(said)["mistake"]
        watcher.stop()
    assert [p.name for p in design.parent.iterdir()] == ["tulip.toml"]


def middle(file: Path, piece: str, key: str) -> dict[str, Any]:
    """A print, and where its middle is in space at full opening, as solved from scratch."""
    made = spread.read(file)
    (one,) = [p for p in prints(made) if (p["piece"], p["key"]) == (piece, key)]
    sheet, place = made.sheets[one["sheet"]], one["placed"][4:]
    motion = made.solve(np.array([np.pi]))
    for number, body in enumerate(made.linkage.bodies):
        for part in body.parts:
            if part.sheet is sheet and part.facet.polygon.buffer(1e-6).covers(Point(place)):
                flat = part.placement.matrix @ place + part.placement.shift
                local = np.array([*flat, part.height])
                return {
                    **one,
                    "facet": part.id,
                    "space": motion.rotations[0, number] @ local + motion.translations[0, number],
                }
    raise AssertionError(f"{piece}.{key} lies on no facet")


@pytest.mark.parametrize("back", [False, True], ids=["front", "back"])
def test_a_print_is_carried_to_the_paper_under_the_hand(design: Path, back: bool) -> None:
    """To another piece, to another facet, to the other side, and home: middle and turn stay."""
    desk = Desk(design)
    printed(desk, spot(design, "meadow.art"))
    answer = printed(desk, spot(design, "meadow.art"), "other.png", picture(colour="#112233"))
    asked(desk.answers()["/print/move"].of, piece="meadow", key=answer["key"], turn=30, scale=0.3)
    first = middle(design, "meadow", "images.2")
    carry = desk.answers()["/print/carry"].of
    where = spot(design, "tulip.right", back)
    answer = asked(carry, piece="meadow", key="images.2", spot=where, right=0, up=0)
    assert (answer["piece"], answer["key"]) == ("tulip", "images.1")
    there = middle(design, "tulip", "images.1")
    assert (there["facet"], there["side"]) == ("tulip.right", -1 if back else 1)
    assert there["file"] == first["file"]
    assert there["size"] == first["size"]
    made = spread.read(design)
    number = [b.name for b in made.linkage.bodies].index(where["body"])
    motion = made.solve(np.array([np.pi]))
    at = motion.rotations[0, number] @ where["local"] + motion.translations[0, number]
    assert there["space"] == pytest.approx(at, abs=0.71)  # half a mm along and up
    read = -1 if back else 1
    a, _, c, _ = there["placed"][:4]
    assert np.degrees(np.arctan2(c, read * a)) == pytest.approx(30, abs=1e-6)
    # The hand had it a little beside its middle: it stays so for whoever reads it.
    asked(carry, piece="tulip", key="images.1", spot=where, right=4, up=3)
    aside = middle(design, "tulip", "images.1")
    moved = np.subtract(aside["placed"][4:], there["placed"][4:])
    assert moved == pytest.approx([-4 * read, -3], abs=1e-6)
    asked(carry, piece="tulip", key="images.1", spot=spot(design, "meadow.art"))
    home = middle(design, "meadow", "images.2")
    assert home["space"] == pytest.approx(first["space"], abs=0.71)
    assert "side" not in tomllib.loads(design.read_text())["pieces"]["meadow"]["images"][1]


def test_a_page_takes_no_print_that_is_carried(design: Path) -> None:
    desk = Desk(design)
    answer = asked(desk.answers()["/letter"].of, text="May", spot=spot(design, "tulip.left"))
    text = design.read_bytes()
    page = {"piece": "page", "body": "page.left", "local": [-70, 150, 0], "seen": 1}
    carry = desk.answers()["/print/carry"].of
    with pytest.raises(UseError, match="a piece of paper"):
        asked(carry, piece="tulip", key=answer["key"], spot=page)
    with pytest.raises(UseError, match="not there any more"):
        asked(carry, piece="tulip", key="images.1", spot=spot(design, "meadow.art"))
    assert design.read_bytes() == text


@contextmanager
def no_room_for_more_than(count: int) -> Iterator[None]:
    """The system refuses to write files of more than so many bytes, in the middle of writing."""
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    # A module that is compiled meanwhile would be kept half.
    compiles, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    resource.setrlimit(resource.RLIMIT_FSIZE, (count, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        sys.dont_write_bytecode = compiles


def test_where_there_is_no_room_nothing_is_left_half_written(design: Path) -> None:
    desk = Desk(design)
    pixels = np.random.default_rng(1).integers(0, 256, (60, 60, 3), np.uint8)
    noise = io.BytesIO()
    Image.fromarray(pixels).save(noise, "PNG")
    brought = desk.answers()["/picture"].of(noise.getvalue())["picture"]
    where, text = spot(design, "tulip.left"), design.read_bytes()
    watcher = Watcher(lambda: Build({"title": "t", "live": False}, (design,)))
    server = Server(watcher, 0, desk.answers(), desk.news)
    asks = {
        "/picture/print": {"picture": brought, "name": "n.png", "spot": where},
        "/letter": {"text": "May", "spot": where},
    }
    with running(server):
        for room in (len(text) // 2, len(text) + 40, 4000):
            for path, question in asks.items():
                if path == "/letter" and room > len(text):
                    continue
                with no_room_for_more_than(room):
                    data = json.dumps({"made": "", **question}).encode()
                    status, said = posted(server, path, data, {})
                assert status in (422, 507), said
                assert "too large" in json.loads(said)["mistake"]
                assert [p.name for p in design.parent.iterdir()] == ["tulip.toml"]
                assert design.read_bytes() == text
        for path, question in asks.items():  # and when there is room again, all goes on
            data = json.dumps({"made": "", **question}).encode()
            assert posted(server, path, data, {})[0] == 200
        watcher.stop()
    assert (design.parent / "n.png").read_bytes() == noise.getvalue()
