"""The catalog: complete, only what changed, and nothing stops it."""

from __future__ import annotations

import json
import multiprocessing
import os
import random
import threading
import time

import jsonschema
import numpy as np
import pytest

from meshes.errors import DesignError
from preview.catalog import index, variants
from preview.catalog.run import Watch, run
from preview.catalog.shop import Offer, Shop, ShopSettings
from preview.catalog.store import Store
from preview.catalog.task import Settings, find_designs, gather
from preview.catalog.work import Product, make, plain_row
from preview.catalog.workers import ItemOutcome, LocalWorkers
from preview.schemas import schema

from .conftest import BROKEN, sound

FIGURES = Settings(pictures=False)
SMALL = Settings(film="gif", size=(64, 64), seconds=0.5, quality="draft")


class HereAndNow:
    """Works in this process, and counts."""

    def __init__(self, task=make):
        self.task, self.names = task, []

    def outcomes(self, items):
        for item in items:
            self.names.append(item.name)
            yield ItemOutcome(item, self.task(item))


def quick(task):
    return Product(plain_row(task, "passes", []), {"note.txt": task.key.encode()})


@pytest.fixture
def quickly(tmp_path):
    """Bring a catalog up to date without the real work; gives the names that were made."""

    def bring(folder, settings=FIGURES, tables=()):
        workers = HereAndNow(quick)
        summary = run(folder, tmp_path / "out", settings, workers, tables)
        return summary, workers.names

    return bring


@pytest.mark.skipif(os.name != "posix", reason="names of files are bytes")
def test_a_name_that_is_no_utf_8_is_a_name_too(quickly, tmp_path):
    """As zip archives of old systems leave them; the name stays what it is (PEP 383)."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / os.fsdecode(b"Gr\xfc\xdfe.toml")).write_text('title = "Grüße"')
    summary, names = quickly(folder)
    assert [os.fsencode(name) for name in names] == [b"Gr\xfc\xdfe.toml"]
    assert len(summary.rows) == 1
    page = (tmp_path / "out" / "private" / "index.html").read_bytes()
    assert b"Gr\xfc\xdfe.toml" in page
    row = {"name": names[0], "still": "a.webp"}
    assert index.address(row, "still", index._place(row)) == "items/Gr%FC%DFe.toml/a.webp"


def test_every_design_below_the_folder_gets_a_row_and_every_broken_one_its_reason(shop, tmp_path):
    folder = shop(good=2, bad=len(BROKEN))
    summary = run(folder, tmp_path / "out", FIGURES, HereAndNow())
    rows = {row["name"]: row for row in summary.rows}
    assert len(rows) == 2 + len(BROKEN)
    for name, (_, word) in BROKEN.items():
        row = rows[f"{name}.toml"]
        assert row["status"] == "broken"
        assert word in " ".join(row["reasons"]), row["reasons"]
        assert str(tmp_path) not in " ".join(row["reasons"])
    good = rows["month-0/design-000.toml"]
    assert good["status"] == "passes"
    assert (good["page"], good["page_width_mm"], good["page_height_mm"]) == ("A5", 148, 210)
    assert 40 < good["standing_height_mm"] < 120
    # four calipers of 0.23 mm card and two pages of 0.1 mm at the thickest
    assert 0.2 + 0.23 < good["closed_thickness_mm"] < 0.2 + 8 * 0.23
    assert good["pieces"] == 5


def test_a_second_run_makes_nothing(shop, quickly):
    folder = shop(good=4)
    assert len(quickly(folder)[1]) == 4
    summary, names = quickly(folder)
    assert names == []
    assert summary.kept == 4


def test_only_what_changed_is_made_again(shop, quickly):
    folder = shop(good=4)
    quickly(folder)
    path = folder / "month-1" / "design-001.toml"
    path.write_text(path.read_text().replace("tall = 61", "tall = 66"))
    assert quickly(folder)[1] == ["month-1/design-001.toml"]


def test_a_changed_image_makes_just_its_designs_again(shop, quickly):
    folder = shop(good=3)
    (folder / "month-0" / "leaf.png").write_bytes(b"one")
    path = folder / "month-0" / "design-000.toml"
    path.write_text(path.read_text() + '\n# image = "leaf.png"\n[extra]\nimage = "leaf.png"\n')
    quickly(folder)
    assert quickly(folder)[1] == []
    (folder / "month-0" / "leaf.png").write_bytes(b"two")
    assert quickly(folder)[1] == ["month-0/design-000.toml"]


def test_a_folder_of_drawings_is_taken_along_and_watched(shop, quickly):
    """Once a design that draws its sheets from a folder was catalogued without them."""
    folder = shop(good=2)
    sheets = folder / "month-0" / "sheets"
    sheets.mkdir()
    (sheets / "a.svg").write_text("one")
    path = folder / "month-0" / "design-000.toml"
    path.write_text(path.read_text() + '\n[extra]\nfile = "sheets"\n')
    names = [name for name, _ in gather(folder, path, FIGURES).files]
    assert names == ["month-0/design-000.toml", "month-0/sheets/a.svg"]
    quickly(folder)
    (sheets / "a.svg").write_text("two")
    assert quickly(folder)[1] == ["month-0/design-000.toml"]


def test_a_file_outside_the_folder_is_not_taken_along(shop, tmp_path):
    folder = shop(good=1)
    (tmp_path / "secret.txt").write_text("no")
    path = folder / "month-0" / "design-000.toml"
    path.write_text(path.read_text() + '\n[extra]\na = "../../secret.txt"\nb = "/etc/hostname"\n')
    assert [name for name, _ in gather(folder, path, FIGURES).files] == ["month-0/design-000.toml"]


def test_other_settings_make_everything_again(shop, quickly):
    folder = shop(good=2)
    quickly(folder)
    assert len(quickly(folder, Settings(pictures=False, mood="dusk"))[1]) == 2


def test_a_result_that_was_spoilt_or_deleted_is_made_again(shop, quickly, tmp_path):
    folder = shop(good=2)
    quickly(folder)
    items = tmp_path / "out" / "private" / "items"
    (items / "month-0" / "design-000.toml" / "note.txt").write_text("spoilt")
    assert quickly(folder)[1] == ["month-0/design-000.toml"]
    (items / "month-1" / "design-001.toml" / "note.txt").unlink()
    assert quickly(folder)[1] == ["month-1/design-001.toml"]


def test_the_results_of_a_design_that_is_gone_are_removed(shop, quickly, tmp_path):
    folder = shop(good=2)
    quickly(folder)
    (folder / "month-1" / "design-001.toml").unlink()
    summary, _ = quickly(folder)
    assert [row["name"] for row in summary.rows] == ["month-0/design-000.toml"]
    assert not (tmp_path / "out" / "private" / "items" / "month-1" / "design-001.toml").exists()


def test_the_catalog_does_not_catalog_itself(shop):
    folder = shop(good=1)
    (folder / "catalog").mkdir()
    (folder / "catalog" / "x.toml").write_text("")
    (folder / ".hidden").mkdir()
    (folder / ".hidden" / "y.toml").write_text("")
    assert [path.name for path in find_designs(folder, folder / "catalog")] == ["design-000.toml"]


def test_nor_what_it_keeps_of_designs_where_another_place_is_asked_for(shop):
    folder = shop(good=1)
    (folder / "catalog" / "private" / "items" / "design-000.toml").mkdir(parents=True)
    assert [path.name for path in find_designs(folder)] == ["design-000.toml"]


def test_an_interrupted_run_leaves_a_whole_catalog_and_goes_on_later(shop, tmp_path):
    folder, output = shop(good=5), tmp_path / "out"
    done = []

    def stop_after_two(row):
        done.append(row)
        if len(done) == 2:
            raise KeyboardInterrupt

    summary = run(folder, output, FIGURES, HereAndNow(quick), watch=Watch(done=stop_after_two))
    assert not summary.finished
    assert len(json.loads((output / "private" / "catalog.json").read_text())["designs"]) == 2
    again = HereAndNow(quick)
    summary = run(folder, output, FIGURES, again)
    assert len(again.names) == 3
    assert len(summary.rows) == 5


def test_a_fault_of_the_program_costs_one_design_only(shop, tmp_path, monkeypatch):
    folder = shop(good=2)
    monkeypatch.setattr("meshes.check.case_of", lambda *_: 1 / 0)
    summary = run(folder, tmp_path / "out", FIGURES, HereAndNow())
    assert [row["status"] for row in summary.rows] == ["crashed", "crashed"]
    assert "ZeroDivisionError" in summary.rows[0]["reasons"][0]
    monkeypatch.undo()
    # What crashed is tried again, though nothing has changed.
    summary = run(folder, tmp_path / "out", FIGURES, HereAndNow())
    assert [row["status"] for row in summary.rows] == ["passes", "passes"]


def test_two_runs_at_once_on_one_folder_do_not_spoil_each_other(shop, tmp_path):
    folder, output = shop(good=6), tmp_path / "out"
    workers = [HereAndNow(quick), HereAndNow(quick)]
    threads = [
        threading.Thread(target=run, args=(folder, output, FIGURES, workers[k])) for k in range(2)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(len(w.names) for w in workers) == [0, 6]
    data = json.loads((output / "private" / "catalog.json").read_text())
    jsonschema.validate(data, schema("catalog"))
    assert len(data["designs"]) == 6


def test_killed_workers_cost_nothing_but_a_second_try():
    """At least 30 kills; every item comes back once, or is reported after two tries."""
    stop, kills, chance = threading.Event(), [], random.Random(7)

    def kill():
        while not stop.wait(chance.uniform(0.02, 0.12)):
            children = [c for c in multiprocessing.active_children() if c.pid]
            if children:
                os.kill(chance.choice(children).pid, 9)
                kills.append(1)
            if len(kills) >= 32:
                return

    killer = threading.Thread(target=kill)
    killer.start()
    naps = [0.02 + k * 1e-6 for k in range(150)]
    outcomes = list(LocalWorkers(time.sleep, 2).outcomes(naps))
    stop.set()
    killer.join()
    assert sorted(outcome.item for outcome in outcomes) == naps
    lost = [outcome for outcome in outcomes if outcome.reason]
    assert all("killed or ran out of memory, 2 times" in outcome.reason for outcome in lost)
    assert len(lost) <= len(kills) // 2


def test_a_worker_that_takes_too_long_is_ended_and_reported():
    (outcome,) = LocalWorkers(time.sleep, 1, seconds=1.0).outcomes([60])
    assert outcome.result is None
    assert outcome.reason == "took longer than 1 s, 2 times"


def test_workers_that_cannot_start_end_the_run():
    with pytest.raises(RuntimeError, match="as soon as they start"):
        list(LocalWorkers(os._exit, 1).outcomes(_Unsendable() for _ in range(3)))


class _Unsendable:
    """Breaks the pipe as a dead worker would."""

    def __reduce__(self):
        raise BrokenPipeError


@pytest.mark.night
def test_results_are_the_same_for_one_process_and_two(shop, tmp_path):
    folder = shop(good=1, bad=1)
    found = []
    for jobs in (1, 2):
        output = tmp_path / f"out-{jobs}"
        run(folder, output, SMALL, LocalWorkers(make, jobs))
        files = {
            path.relative_to(output): path.read_bytes()
            for path in output.rglob("*")
            if path.is_file() and path.name != ".lock"
        }
        found.append(files)
    assert found[0] == found[1]
    names = {path.name for path in found[0]}
    made = {"film.gif", "still.webp", "stages.webp", "view.html"}
    assert made | {"result.json", "index.html"} <= names


def test_a_table_of_variants_gives_a_row_for_each_line(shop, quickly, tmp_path):
    folder = shop(good=1)
    path = folder / "month-0" / "design-000.toml"
    table = tmp_path / "sizes.csv"
    table.write_text("name,tall,spread.page\nsmall,50,A6\nlarge,80,\n")
    found = variants.read(table, path)
    assert found.rows == {"small": {"tall": "50", "spread.page": "A6"}, "large": {"tall": "80"}}
    _, names = quickly(folder, tables=[found])
    assert sorted(names) == ["month-0/design-000.toml#large", "month-0/design-000.toml#small"]
    task = gather(folder, path, FIGURES, "small", found.rows["small"])
    assert make(task).row["page"] == "A6"
    tables = tmp_path / "sizes.toml"
    tables.write_text("[small]\ntall = 50\n")
    assert variants.read(tables, path).rows == {"small": {"tall": 50}}


@pytest.mark.parametrize(
    ("name", "text", "word"),
    [
        ("a.csv", "", "name"),
        ("a.csv", "tall\n50\n", "name"),
        ("a.csv", "name,tall\n", "no variants"),
        ("a.csv", "name,tall\nx,1\nx,2\n", "appears twice"),
        ("a.csv", "name,tall\nx,1,2\n", "cells"),
        ("a.csv", "name,tall\n../x,1\n", "allowed in names"),
        ("a.toml", "a = 3\n", "not a list of values"),
        ("a.toml", "[a", "not a table of variants"),
    ],
)
def test_a_wrong_table_of_variants_is_refused_in_one_line(tmp_path, name, text, word):
    (tmp_path / name).write_text(text)
    with pytest.raises(DesignError, match=word):
        variants.read(tmp_path / name, tmp_path / "design.toml")


def test_the_table_for_spreadsheets_runs_no_formulas():
    row = {**plain_row(_Named("=cmd()"), "broken", ["a", "b"]), "title": "@sum"}
    text = index.as_csv([row])
    assert "'=cmd()" in text
    assert "'@sum" in text
    assert "a | b" in text


class _Named:
    def __init__(self, name):
        self.name = name


def test_titles_cannot_put_markup_into_the_page():
    row = {**plain_row(_Named("<b>.toml"), "broken", ["<script>alert(1)</script>"]), "title": "<i>"}
    page = index.as_page("<u>", [row])
    for evil in ("<b>.toml", "<script>alert(1)", "<i>", "<u>"):
        assert evil not in page


def test_the_page_works_without_a_network():
    page = index.as_page("shop", [plain_row(_Named("a.toml"), "broken", ["x"])])
    assert "http:" not in page
    assert "https:" not in page
    assert "default-src 'none'" in page


def test_the_command_makes_a_catalog_and_says_what_does_not_pass(call, tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "good.toml").write_text(sound(3))
    (folder / "bad.toml").write_text("title = 3\n")
    first = call("catalog", "shop", "--figures-only", "--jobs", "1")
    assert first.code == 1
    assert "bad.toml: can't be read" in first.out
    assert "2 designs: 1 pass, 1 do not; 2 made, 0 up to date" in first.out
    second = call("catalog", "shop", "--figures-only", "--jobs", "1")
    assert "0 made, 2 up to date" in second.out
    (folder / "bad.toml").unlink()
    third = call("catalog", "shop", "--figures-only", "--jobs", "1")
    assert third.code == 0
    assert (folder / "catalog" / "private" / "index.html").is_file()
    assert (folder / "catalog" / "shop" / "index.html").is_file()


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("nowhere",), "is not a folder"),
        (("empty",), "has no designs"),
        (("full", "--variants", "x"), "expected DESIGN=TABLE"),
    ],
)
def test_wrong_use_is_one_line(call, tmp_path, words, line):
    (tmp_path / "empty").mkdir()
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "a.toml").write_text("")
    result = call("catalog", *words)
    assert result.code == 2
    assert line in result.err
    assert result.err.count("\n") == 1


def test_the_stored_record_is_written_last(tmp_path):
    store = Store(tmp_path)
    store.keep("a.toml", "key", {"name": "a.toml"}, {"film.gif": b"x"})
    assert store.good("a.toml", "key") == {"name": "a.toml"}
    assert store.good("a.toml", "other") is None
    (store.item("a.toml") / "result.json").write_text("{")
    assert store.good("a.toml", "key") is None


def test_pictures_of_a_catalog_are_what_they_say(shop, tmp_path):
    from PIL import Image

    folder = shop(good=1)
    hers = Shop(ShopSettings(designs={"month-0/design-000": Offer(title="Two tulips")}))
    (row,) = run(folder, tmp_path / "out", SMALL, HereAndNow(), shop=hers).rows
    item = tmp_path / "out" / "private" / "items" / row["name"]
    with Image.open(item / row["still"]) as picture:
        assert picture.size == (128, 128)
        assert np.asarray(picture.convert("RGB")).std() > 10
    with Image.open(item / row["film"]) as film:
        assert film.size == (64, 64)
        assert film.n_frames > 3
    assert row["steps"] > row["pieces"]
    assert (row["printed_on"], row["words"]) == ("A4", ["leaf", "meadow", "tulip"])
    # What is published is the same, and no file of it tells what the design's is called.
    (place,) = [path for path in (tmp_path / "out" / "shop").iterdir() if path.is_dir()]
    assert {path.name for path in place.iterdir()} == {"still.webp", "film.gif", "view.html"}
    for path in place.iterdir():
        content = path.read_bytes()
        assert content == (item / path.name).read_bytes()
        assert (b"Two tulips" in content) is (path.name == "view.html")
        for word in (
            b"design 0",
            b"design-000",
            b"month-0",
            b".toml",
            str(tmp_path).encode(),
            b"foldstage-",
        ):
            assert word not in content, (path.name, word)
