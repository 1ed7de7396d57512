"""What is kept on disk comes back whole and as it was, or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import cache, spread
from meshes.cache import Shelf
from tests import designs

ROOT = Path(__file__).parents[1]
posix = pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX")


def test_an_entry_comes_back_as_it_was_put(tmp_path):
    shelf = Shelf(tmp_path / "shelf", 10_000)
    assert shelf.get("a") is None
    shelf.put("a", b"first")
    shelf.put("a", b"second\n\0")
    shelf.put("../b", b"")
    assert shelf.get("a") == b"second\n\0"
    assert shelf.get("../b") == b""
    assert not list(tmp_path.glob("b*"))


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.data())
def test_a_damaged_entry_is_none(tmp_path_factory, data):
    """A bit turned over anywhere, a file cut short anywhere, or grown: all are noticed."""
    shelf = Shelf(tmp_path_factory.mktemp("shelf"), 10_000)
    shelf.put("name", data.draw(st.binary(min_size=1, max_size=60)))
    (file,) = shelf.folder.iterdir()
    whole = file.read_bytes()
    place = data.draw(st.integers(0, len(whole) - 1))
    how = data.draw(st.sampled_from(["turned", "short", "long"]))
    turned = bytes([whole[place] ^ (1 << data.draw(st.integers(0, 7)))])
    file.write_bytes(
        {
            "turned": whole[:place] + turned + whole[place + 1 :],
            "short": whole[:place],
            "long": whole + whole[: place + 1],
        }[how]
    )
    assert shelf.get("name") is None
    assert not file.exists()


def test_an_entry_of_another_name_is_none(tmp_path):
    shelf = Shelf(tmp_path, 10_000)
    shelf.put("a", b"of a")
    (of_a,) = tmp_path.iterdir()
    shelf.put("b", b"of b")
    of_b = next(file for file in tmp_path.iterdir() if file != of_a)
    of_b.write_bytes(of_a.read_bytes())
    assert shelf.get("b") is None


def test_what_was_not_used_for_longest_makes_room(tmp_path):
    shelf = Shelf(tmp_path, 4000)
    for k in range(3):
        shelf.put(f"{k}", bytes(1000))
        (file,) = (f for f in tmp_path.iterdir() if f.stat().st_mtime > 1e9)
        os.utime(file, (k + 1, k + 1))
    assert shelf.get("0") is not None  # used just now
    shelf.put("3", bytes(1500))
    assert [shelf.get(f"{k}") is not None for k in range(4)] == [True, False, True, True]
    assert sum(file.stat().st_size for file in tmp_path.iterdir()) <= 4000


def test_arrays_and_json_come_back(tmp_path):
    arrays = {"a": np.arange(6.0).reshape(2, 3), "b": np.array([], np.uint8)}
    for squeeze in (True, False):
        data = cache.pack(arrays, {"angle": 1.5, "names": ["x"]}, squeeze)
        back, about = cache.unpack(data)
        assert about == {"angle": 1.5, "names": ["x"]}
        assert back.keys() == arrays.keys()
        assert all((back[k] == arrays[k]).all() for k in arrays)
        assert data == cache.pack(dict(reversed(arrays.items())), about, squeeze)


@pytest.mark.parametrize("data", [b"", b"PK\3\4", cache.pack({})[:-3]])
def test_other_bytes_are_no_packed_entry(data):
    with pytest.raises(ValueError, match="not a packed entry"):
        cache.unpack(data)


def test_objects_are_neither_packed_nor_unpacked():
    import io
    import zipfile

    with pytest.raises(ValueError, match="allow_pickle"):
        cache.pack({"a": np.array([object()])})
    out, one = io.BytesIO(), io.BytesIO()
    np.save(one, np.array([print], object), allow_pickle=True)
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("about.json", "null")
        archive.writestr("a.npy", one.getvalue())
    with pytest.raises(ValueError, match="allow_pickle"):
        cache.unpack(out.getvalue())


@dataclass(frozen=True)
class Thing:
    name: str
    part: object


def test_a_fingerprint_changes_with_anything_and_with_nothing_else(tmp_path):
    picture = tmp_path / "art.png"
    picture.write_bytes(b"one")
    square = shapely.box(0, 0, 1, 1)
    things = [
        None, 0, False, 0.0, "", b"", "0", (), ((),), {}, set(), np.zeros(1), np.zeros(1, int),
        np.zeros((1, 1)), square, square.buffer(1), Thing("a", 1), Thing("a", "1"), picture,
        ("a", "b"), ("ab",), {"a": 1}, {1: "a"}, {"a", "b"},
    ]  # fmt: skip
    assert len({cache.fingerprint(thing) for thing in things}) == len(things)
    lines = [shapely.LineString([(zero, 1), (2, 3)]) for zero in (0.0, -0.0)]
    for one, other in ((0.0, -0.0), (np.array([1, 0.0]), np.array([1, -0.0])), lines):
        assert cache.fingerprint(one) == cache.fingerprint(other)
    assert cache.fingerprint({"a": 1, "b": 2}) == cache.fingerprint({"b": 2, "a": 1})
    before = cache.fingerprint(picture)
    picture.write_bytes(b"two")
    assert cache.fingerprint(picture) != before
    with pytest.raises(TypeError, match="cannot tell what a function depends on"):
        cache.fingerprint(lambda: None)


def test_a_design_has_the_same_fingerprint_in_every_process():
    """Texts hash differently in each (PYTHONHASHSEED), and with them sets are in another order."""
    code = (
        "from meshes import cache, spread\n"
        "from tests import designs\n"
        "made = spread.read(designs.path('moon-wheel'))\n"
        "print(cache.fingerprint(made.linkage, {f'piece-{k}' for k in range(50)}))"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    made = spread.read(designs.path("moon-wheel"))
    names = {f"piece-{k}" for k in range(50)}
    assert found == {cache.fingerprint(made.linkage, names) + "\n"}


@pytest.mark.parametrize("name", ["", "relative/folder"])
def test_without_a_place_nothing_is_kept(name, monkeypatch):
    monkeypatch.setenv(cache.VARIABLE, name)
    assert cache.user_folder() is None


@posix
def test_a_folder_that_others_may_write_to_is_not_used(tmp_path, monkeypatch):
    monkeypatch.setenv(cache.VARIABLE, str(tmp_path / "own"))
    assert cache.user_folder() == tmp_path / "own"
    (tmp_path / "own").chmod(0o770)
    assert cache.user_folder() is None


def test_nothing_is_ever_unpickled_from_disk():
    """One module opens what its own process has sent to another; see `preview.parallel.Sealed`."""
    text = {
        path.relative_to(ROOT).as_posix(): path.read_text()
        for package in ("meshes", "preview")
        for path in (ROOT / package).rglob("*.py")
    }
    words = ("pickle.load", "Unpickler", "import shelve", "import marshal", "joblib", "dill")
    found = [name for name, code in text.items() if any(word in code for word in words)]
    assert found == ["preview/parallel.py"]
    assert not [
        name for name, code in text.items() if "np.load" in code or "allow_pickle=True" in code
    ]
