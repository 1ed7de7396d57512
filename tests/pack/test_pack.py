"""A pack holds what it says, in the sizes that were asked for, and only what changed is made anew.

Files are opened with libraries that did not write them.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from dataclasses import replace

import ezdxf
import imageio_ffmpeg
import numpy as np
import pypdfium2
import pytest
from PIL import Image

from meshes import program
from preview.errors import UseError
from preview.pack.folder import Folder
from preview.pack.parts import PARTS, PackPart, squeezed, step_seconds

from ..conftest import LEAF

SMALL = ("--longer-side", "320", "--heaviest", "12", "--film-size", "96x96", "--jobs", "1")
SKIPPED = [
    word
    for part in ("draft", "guide", "still", "film", "build", "view")
    for word in ("--skip", part)
]
QUICK = (*SKIPPED, "--page", "A4", "--jobs", "1")


@pytest.fixture
def quick(call, leaf, tmp_path):
    """Pack the sheets of a leaf, and how often that was done."""

    def pack(*more):
        return call("pack", leaf, "-o", tmp_path / "own", *QUICK, *more)

    return pack


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def made_anew(outcome):
    return {row["name"]: row["made_anew"] for row in outcome.json["contents"]}


def test_a_whole_pack_is_what_its_list_says(call, leaf, tmp_path):
    (tmp_path / "terms.txt").write_text("For your own table.\n", encoding="utf-8")
    outcome = call("pack", leaf, *SMALL, "--terms", "terms.txt")
    assert outcome.code == 0, outcome.err
    folder = tmp_path / "renders" / "fresh-pack"
    files = everything(folder)
    text = files["CONTENTS.txt"].decode()
    inside = set(files) - {".made.json"}
    assert all(name in text for name in inside - {"CONTENTS.txt"})
    assert files["TERMS.txt"] == b"For your own table.\n"
    # Source: ISO 216 (A4, 210 mm × 297 mm); ANSI/ASME Y14.1 (Letter, 8.5 in × 11 in).
    for page, (wide, high) in {"A4": (210, 297), "Letter": (215.9, 279.4)}.items():
        for name in (
            f"print/fresh-{page}.pdf",
            f"draft/fresh-drafts-{page}.pdf",
            f"guide/fresh-guide-{page}.pdf",
        ):
            size = np.array(pypdfium2.PdfDocument(files[name])[0].get_size()) * 25.4 / 72
            assert sorted(size) == pytest.approx(sorted((wide, high)), abs=0.1)
    for aspect, size in {"1x1": (320, 320), "4x3": (320, 240), "9x16": (180, 320)}.items():
        picture = files[f"pictures/fresh-{aspect}.jpg"]
        assert len(picture) <= 12_000
        with Image.open(io.BytesIO(picture)) as image:
            assert image.width / image.height == pytest.approx(size[0] / size[1], rel=0.02)
    drawing = ezdxf.readfile(folder / "machine" / "fresh-01.dxf")
    assert not drawing.audit().errors
    assert b"ftyp" in files["film/fresh.mp4"][:12]  # source: ISO/IEC 14496-12, 4.3
    assert "how it is built" in text
    reader = imageio_ffmpeg.read_frames(str(folder / "film" / "fresh-build.mp4"))
    steps = int(re.search(r"(\d+) steps?", text)[1])
    assert next(reader)["duration"] == pytest.approx(steps * step_seconds(steps), abs=0.3)
    reader.close()
    with zipfile.ZipFile(folder.with_name("fresh-pack.zip")) as archive:
        packed = {name: archive.read(name) for name in archive.namelist()}
    assert packed == {f"fresh-pack/{name}": files[name] for name in inside}


def test_a_film_of_the_building_is_of_bounded_length():
    """Three seconds a step where they fit, two and a half minutes in all, then the least a step."""
    assert step_seconds(5) == 3.0
    assert [count * step_seconds(count) for count in (50, 60, 100)] == [150.0] * 3
    assert step_seconds(200) == 1.5


def test_a_second_run_makes_nothing_and_the_same_archive(quick, tmp_path):
    assert quick().code == 0
    before = (tmp_path / "own.zip").read_bytes()
    again = quick()
    assert "nothing, all was as it is" in again.err
    assert (tmp_path / "own.zip").read_bytes() == before


def test_only_what_is_missing_or_asked_for_differently_is_made_anew(quick, tmp_path):
    quick()
    (tmp_path / "own" / "machine" / "fresh-01.dxf").unlink()
    made = made_anew(quick("--json"))
    assert made == {"pattern": False, "machine": True}
    made = made_anew(quick("--page", "A3", "--json"))
    assert made == {"pattern": True, "machine": True}
    assert not (tmp_path / "own" / "print" / "fresh-A4.pdf").exists()


def test_the_film_of_the_building_alone_is_made_anew_where_only_it_is_concerned(
    call, leaf, tmp_path, monkeypatch
):
    """Its own file, and the size of the films; what it is made of lies in tests/course."""

    def filmed(bench):
        name = f"film/{bench.name}-build.mp4"
        return [bench.write(name, repr(bench.wishes.film).encode())], {"seconds": 1.0}

    monkeypatch.setitem(PARTS, "build", replace(PARTS["build"], make=filmed))

    (tmp_path / "terms.txt").write_text("For your own table.")
    skipped = [word for part in PARTS if part != "build" for word in ("--skip", part)][:-2]

    def pack(*more):
        words = [*skipped, "--terms", "terms.txt", "--json", *more]
        return made_anew(call("pack", leaf, "-o", tmp_path / "own", *words))

    every = {"build": True, "terms": True}
    alone = {"build": True, "terms": False}
    film = tmp_path / "own" / "film" / "fresh-build.mp4"
    assert pack() == every
    assert not any(pack().values())
    film.write_bytes(b"spoilt")
    assert pack() == alone
    film.unlink()
    assert pack() == alone
    assert pack("--film-size", "96x96") == alone
    assert film.read_bytes() == b"(96, 96)"


def test_pictures_are_in_the_light_that_is_asked_for(call, leaf, tmp_path):
    """By night they are darker by more than half of sRGB's middle grey; in all else the same."""
    words = [word for part in PARTS if part not in ("still", "terms") for word in ("--skip", part)]
    means = []
    for mood in ("daylight", "night"):
        look = ("--aspects", "1:1", "--longer-side", "160", "--jobs", "1", "--mood", mood)
        outcome = call("pack", leaf, "-o", tmp_path / "own", *words, *look, "--json")
        assert made_anew(outcome)["still"]
        with Image.open(tmp_path / "own" / "pictures" / "fresh-1x1.jpg") as image:
            means.append(np.asarray(image.convert("L")).mean())
    assert means[1] < means[0] - 60


def test_a_changed_design_is_made_anew(quick, leaf, tmp_path):
    quick()
    before = (tmp_path / "own" / "print" / "fresh-A4.pdf").read_bytes()
    leaf.write_text(LEAF.replace("#3f7a5a", "#7a3f5a"), encoding="utf-8")
    assert "made: pattern, machine" in quick().err
    assert (tmp_path / "own" / "print" / "fresh-A4.pdf").read_bytes() != before


def test_another_version_of_a_library_makes_all_anew(quick, monkeypatch):
    """Once only the source of the program counted."""
    quick()
    assert "made: nothing" in quick().err
    monkeypatch.setattr(program, "version", lambda name: "99.0")
    assert "made: pattern, machine" in quick().err


def test_what_was_made_before_a_stop_is_kept(quick, tmp_path, monkeypatch):
    def stop(_):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setitem(PARTS, "machine", PackPart("machine", (), 1, stop))
        assert quick().code == 130
    assert not (tmp_path / "own.zip").exists()
    assert "made: machine\n" in quick().err


def test_a_design_with_problems_is_not_packed_unless_told_so(quick, leaf, tmp_path):
    leaf.write_text(LEAF.replace("length = 80", "length = 180"), encoding="utf-8")
    refused = quick()
    assert refused.code == 1
    assert "problem: " in refused.err
    assert "--with-problems" in refused.err
    assert not (tmp_path / "own").exists()
    assert quick("--with-problems").code == 0


def test_a_record_cannot_have_files_elsewhere_removed(tmp_path):
    """A pack can come from anyone: what its record names is not trusted."""
    (tmp_path / "mine.txt").write_text("precious")
    path = tmp_path / "pack"
    path.mkdir()
    for wrong in ("", "c" * 32):
        row = {"key": "k", "files": {"../mine.txt": wrong}, "facts": {}}
        (path / ".made.json").write_text(json.dumps({"parts": {"cut": row}}))
        folder = Folder(path)
        assert not folder.good("cut", "k")
        folder.drop("cut")
        assert (tmp_path / "mine.txt").read_text() == "precious"


@pytest.mark.parametrize("text", ["", "[]", '{"parts": 3}', '{"parts": {"cut": []}}'])
def test_a_spoilt_record_is_no_record(text, tmp_path):
    (tmp_path / ".made.json").write_text(text)
    assert Folder(tmp_path).made == {}


def test_a_picture_is_squeezed_until_it_is_light_enough():
    noise = np.random.default_rng(5).integers(0, 256, (400, 600, 3), dtype=np.uint8)
    for heaviest in (200_000, 40_000, 15_000):
        assert len(squeezed(noise, heaviest)) <= heaviest
    with pytest.raises(UseError, match="allow more"):
        squeezed(noise, 100)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--skip", "films"), "invalid choice: 'films'"),
        ((*SKIPPED, "--skip", "pattern", "--skip", "machine"), "nothing is left"),
        (("--page", "A99"), "A99"),
        (("--terms", "none.txt"), "none.txt"),
        (("--aspects", "9"), "9"),
    ],
)
def test_wrong_use_is_told_in_one_line_and_nothing_is_written(words, said, call, leaf, tmp_path):
    outcome = call("pack", leaf, *words)
    assert outcome.code == 2
    assert said in outcome.err
    assert not (tmp_path / "renders").exists()
