"""Words that must not appear in designs, documents, code, drawings and captions.

The list holds salted hashes, of one word or of several in a row, so it names nothing itself.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Set
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SALT = "foldstage words 2"
FOLDERS = (".ci", "meshes", "preview", "renders", "tests")
KINDS = {".css", ".html", ".js", ".json", ".md", ".mjs", ".py", ".svg", ".toml"}
# A library's code, and the lists of what it needs, are not ours to word.
NOT_OURS = {"bundle", "node_modules", "package-lock.json"}
LONGEST = 3
LISTED = """
081a14f8f57c0048 09074e0bd022989c 12cd9d0d31e01724 1f5a25521df9bdb4 255d9ea6d926c5c9
26eaa0cba46b6bb9 2908512ebefae2e3 2ca212a552775a26 2cd8c1e14aab8769 36cae7444cbaa5f8
3b8fa3332d7b3a8b 3ea7439848de5efb 426575441563f568 46ef78f60ddd9b56 4d3d7c45bf467df1
4fae3ac9759d5d3d 4fe969a9eb0614a2 50436052ee2e9277 5a6ab57f5b2398c7 6825f765072b4803
6aa2ac5383cd405c 6bbb81024b94dcd3 6e88a51940098ed2 7532a2c2e76854ac 798876796362262d
7b19b03d7191d4ae 8021389f8d6093eb 8862ee9ea14c1adc 88a64622b51aecfc 8a8945f0a9f85f0a
8c0549e48e98e472 8e32e17274fc258f 910f6234be5ceaa1 94872e90a72acf0c 9bd6e6e967dbbdd0
9f71941e4d079b20 ae96d905df736dfb b48bf84ae25a5078 bbd0961ccc91006c be8b1f6ea277e39e
c1f23ef3353876e7 c756619d04e4c17a cc9842176b9ee45a cdb82c3a9cf6a205 ce5fa78bed1a3109
d9b4740813824115 e1fea9c00cbe94cc e880d30c941e9553 eaa3f228c59269f1 f410e9f3b07f1765
f52a0859b0206d74 f7aa8fef0cd48873 f916f4e811edb1ad
"""
HASHES = frozenset(LISTED.split())


def hashed(words: str) -> str:
    """The hash of words parted by single spaces, in small letters."""
    return hashlib.sha256(f"{SALT}:{words}".encode()).hexdigest()[:16]


def words_of(text: str) -> list[str]:
    """Words in small letters; names written with hyphens, underscores or humps come apart."""
    apart = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", text)
    return re.findall(r"[a-z0-9]+", apart.lower())


def phrases(text: str) -> Iterator[str]:
    """Every word, and every two and three in a row, parted by spaces; whole humped words too."""
    yield from re.findall(r"[a-z0-9]+", text.lower())
    words = words_of(text)
    for count in range(1, LONGEST + 1):
        for k in range(len(words) - count + 1):
            yield " ".join(words[k : k + count])


def found_in(text: str, hashes: Set[str]) -> list[str]:
    """The words of a text that a list of hashes forbids."""
    return sorted(words for words in set(phrases(text)) if hashed(words) in hashes)


def files() -> list[Path]:
    """Everything written by us that a person may read, the names of pictures included."""
    inside = [path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if path.is_file()]
    return sorted(
        path
        for path in [*inside, *ROOT.glob("*.md"), ROOT / "pyproject.toml"]
        if not NOT_OURS & set(path.parts) and "__pycache__" not in path.parts
    )


def text_of(path: Path) -> str:
    """Its name, and what it says if it is a text."""
    name = path.relative_to(ROOT).as_posix()
    return f"{name}\n{path.read_text(encoding='utf-8')}" if path.suffix in KINDS else name


def test_no_forbidden_word_is_written_anywhere():
    looked_at = files()
    kinds = {path.suffix for path in looked_at}
    assert {".gif", ".jpg", ".md", ".py", ".svg", ".toml"} <= kinds
    names = {path.name for path in looked_at}
    assert {"README.md", "DEVELOPERS.md", "church.svg", "start.toml"} <= names
    told = {
        path.relative_to(ROOT).as_posix(): words
        for path in looked_at
        if (words := found_in(text_of(path), HASHES))
    }
    assert not told


@pytest.mark.parametrize(
    "text",
    [
        "A Brimbletwist on the page.",
        "pieces.brimbletwist-left",
        'title = "old_brimbletwist_2"',
        "![brimbletwist](renders/a.jpg)",
        "class BrimbletwistBed:",
    ],
)
def test_a_planted_word_is_found(text):
    planted = frozenset({hashed("brimbletwist")})
    assert found_in(text, planted) == ["brimbletwist"]
    assert not found_in(text.lower().replace("brimbletwist", "brimble"), planted)


@pytest.mark.parametrize("text", ["grunk velm\ntor", "the Grunk-Velm-Tor", "grunkVelmTor_1"])
def test_planted_words_in_a_row_are_found(text):
    assert found_in(text, frozenset({hashed("grunk velm tor")})) == ["grunk velm tor"]


def test_a_planted_file_is_read(tmp_path, monkeypatch):
    (tmp_path / "meshes").mkdir()
    (tmp_path / "meshes" / "leaf.svg").write_text("<title>brimbletwist</title>", encoding="utf-8")
    (tmp_path / "meshes" / "brimbletwist.gif").write_bytes(b"GIF")
    (tmp_path / "pyproject.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr("tests.test_never_written.ROOT", tmp_path)
    told = [path.name for path in files() if found_in(text_of(path), {hashed("brimbletwist")})]
    assert told == ["brimbletwist.gif", "leaf.svg"]
