"""The shop: what the maker says is read with care, and what is published tells nothing else."""

from __future__ import annotations

import html
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.errors import DesignError
from preview.catalog import publish, shop
from preview.catalog.run import Watch, run
from preview.catalog.store import Store
from preview.catalog.work import Product, plain_row
from tests.test_readme import ROOT

from .conftest import BROKEN, sound
from .test_catalog import FIGURES, HereAndNow

FOUR = ("month-0/a.toml", "b.toml", "c.toml#small", "c.toml#large")


def said(tmp_path, text):
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return shop.read(path, "shop.toml")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("title = 3", "shop.toml: title: should be text; found 3"),
        ("titel = 'x'", "shop.toml: titel: is not a known key; try: title"),
        (f"title = '{'x' * 81}'", "title: string should have at most 80 characters"),
        ("pack = ['patern']", "pack.1: is not one of its choices; found 'patern'"),
        ("pack = ['terms']", "pack.1: is not one of its choices"),
        ("contact = 'javascript:alert(1)'", "contact: is not a link that a page may have"),
        ("[designs.b]\nprice = 6", "designs.b.price: should be text; found 6"),
        ("[designs.b]\nmood = 'dark'", "designs.b.mood: is not one of its choices"),
        ("[designs.b]\nopening = 200", "designs.b.opening: should be"),
        ("[designs.b]\nshow = 'maybe'", "designs.b.show: should be true or false"),
        ("[designs]\nb = 3", "designs.b: should be a table; found 3"),
        ("designs = 3", "designs: should be a table"),
        ("[designs", "shop.toml"),
        ("\x00", "is a binary file"),
    ],
)
def test_a_mistake_is_one_line_that_names_file_and_key(tmp_path, text, told):
    with pytest.raises(DesignError) as error:
        said(tmp_path, text)
    assert told in str(error.value)
    assert str(error.value).startswith("shop.toml: ")
    assert "\n" not in str(error.value)


def test_all_mistakes_are_told_at_once(tmp_path):
    with pytest.raises(DesignError) as error:
        said(tmp_path, "title = 3\n[designs.b]\nprice = 6\nlink = 'ftp://x.org'")
    assert len(error.value.mistakes) == 3


def test_a_design_that_is_not_there_is_a_mistake(tmp_path):
    with pytest.raises(DesignError, match=r"designs\.bb: there is no such design.*try: b$"):
        said(tmp_path, "[designs.bb]\nprice = '6'").check_names(FOUR)
    said(tmp_path, "[designs.b]\n['designs'.'month-0/a']\n").check_names(FOUR)
    said(tmp_path, "[designs.c]\n['designs'.'c#small']\n").check_names(FOUR)


# Source: WHATWG URL standard, "special schemes", of which a page may link to the first two, and
# RFC 6068 (mailto). A browser drops tabs and line ends inside an address and spaces around it.
@pytest.mark.parametrize(
    "link",
    [
        *("javascript:alert(1)", "JaVaScRiPt:alert(1)", " javascript:alert(1)", "java\tscript:x()"),
        *("data:text/html,<script>", "vbscript:x", "file:///etc/passwd", "ftp://a.org", "blob:x"),
        *("//a.org", "/a", "a.html", "https:", "https://", "http:a", "https:///a", "https://[a"),
        *("https://a.org/ b", "https://a.org/\nb", "https://a.org\u2028", "mailto:", "mailto:a"),
    ],
)
def test_no_other_link_than_to_the_web_or_to_a_mailbox(link):
    with pytest.raises(ValueError, match="is not a link"):
        shop.Offer(link=link)


@pytest.mark.parametrize("link", ["", "https://a.org/b?c=d#e", "http://a.org", "mailto:me@a.org"])
def test_links_to_the_web_and_to_a_mailbox(link):
    assert shop.Offer(link=link).link == link


@settings(deadline=None, derandomize=True, max_examples=200)
@given(st.text(max_size=40), st.sampled_from(["", "javascript:", "https://", "mailto:", "\x01"]))
def test_whatever_is_taken_for_a_link_begins_like_one(text, begin):
    try:
        link = shop.Offer(link=begin + text).link
    except ValueError:
        return
    assert link == "" or re.match(r"(?i)(https?://[^/\s]|mailto:[^\s@]*@)", link)


def test_prices_and_words_make_nothing_again_but_light_does(tmp_path, shop_folder):
    output = tmp_path / "out"

    def again(text):
        workers = HereAndNow(_quick)
        run(shop_folder, output, FIGURES, workers, shop=said(tmp_path, text))
        return workers.names

    assert len(again("title = 'One'")) == 3
    assert again("title = 'Two'\n[designs.'month-0/design-000']\nprice = '6 €'\n") == []
    assert again("[designs.'month-1/design-001']\nmood = 'dusk'") == ["month-1/design-001.toml"]


@pytest.fixture
def shop_folder(shop):
    return shop(good=3)


def _quick(task):
    row = {**plain_row(task, "passes", []), "title": "Meadow"}
    return Product({**row, "film": "film.gif"}, {"film.gif": task.key.encode()})


def files_in(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_the_shop_holds_what_is_on_show_and_leaves_alone_what_is_the_makers(tmp_path, shop_folder):
    output = tmp_path / "out"

    def again(text):
        run(shop_folder, output, FIGURES, HereAndNow(_quick), shop=said(tmp_path, text))
        return set(files_in(output / "shop"))

    first = again("title = 'One'")
    assert {re.sub(r"-[a-z2-7]{8}/", "-*/", name) for name in first} == {
        "index.html",
        "meadow-*/film.gif",
    }
    assert len(first) == 4
    (output / "shop" / "CNAME").write_text("hers")
    two = again("['designs'.'month-0/design-000']\nshow = false")
    assert len(two) == 4
    assert two < first | {"CNAME"}
    renamed = again("['designs'.'month-0/design-000']\ntitle = 'Glade & brook'")
    assert any(name.startswith("glade-brook-") for name in renamed)
    assert len(renamed) == 5
    assert again("title = 'One'") == first | {"CNAME"}


def test_a_result_that_changed_is_published_anew(tmp_path, shop_folder):
    output = tmp_path / "out"
    run(shop_folder, output, FIGURES, HereAndNow(_quick))
    before = files_in(output / "shop")
    path = shop_folder / "month-0" / "design-000.toml"
    path.write_text(path.read_text() + "\n# changed\n")
    run(shop_folder, output, FIGURES, HereAndNow(_quick))
    after = files_in(output / "shop")
    assert before.keys() == after.keys()
    assert sum(before[name] != after[name] for name in before) == 1


def test_a_run_that_is_stopped_leaves_the_shop_as_it_was(tmp_path, shop_folder):
    output = tmp_path / "out"
    run(shop_folder, output, FIGURES, HereAndNow(_quick))
    before = files_in(output / "shop")
    for path in shop_folder.rglob("*.toml"):
        path.write_text(path.read_text() + "\n# changed\n")

    def stop(row):
        raise KeyboardInterrupt

    summary = run(shop_folder, output, FIGURES, HereAndNow(_quick), watch=Watch(done=stop))
    assert (summary.finished, len(summary.rows)) == (False, 1)
    assert files_in(output / "shop") == before
    run(shop_folder, output, FIGURES, HereAndNow(_quick))
    after = files_in(output / "shop")
    assert all(before[name] != after[name] for name in before if name != "index.html")


def test_where_files_have_one_name_only_they_are_copied(tmp_path, shop_folder, monkeypatch):
    def no_link(source, target):
        raise OSError("not on this disk")

    run(shop_folder, tmp_path / "one", FIGURES, HereAndNow(_quick))
    monkeypatch.setattr("os.link", no_link)
    run(shop_folder, tmp_path / "two", FIGURES, HereAndNow(_quick))
    run(shop_folder, tmp_path / "two", FIGURES, HereAndNow(_quick))
    assert files_in(tmp_path / "one" / "shop") == files_in(tmp_path / "two" / "shop")


def test_only_what_passes_is_shown_unless_the_maker_says_so(tmp_path):
    rows = {status: {**_row(f"{status}.toml"), "status": status} for status in _STATUSES}
    hers = said(tmp_path, "".join(f"[designs.{name}]\nshow = true\n" for name in _STATUSES))
    usual = shop.Shop()
    assert [name for name in rows if publish.shown(rows[name], usual)] == ["passes"]
    assert [name for name in rows if publish.shown(rows[name], hers)] == ["passes", "problems"]


_STATUSES = ("passes", "problems", "broken", "crashed")


def _row(name, **more):
    return {"name": name, "title": "", "status": "passes", "reasons": [], **more}


def page_of(tmp_path, rows, hers):
    publish.publish(tmp_path / "shop", Store(tmp_path / "private"), rows, hers)
    return (tmp_path / "shop" / "index.html").read_text("utf-8")


def test_designs_stand_in_the_order_of_the_file_then_by_name(tmp_path):
    rows = [_row(name) for name in FOUR]
    hers = said(tmp_path, "['designs'.'c#large']\ntitle = 'L'\n[designs.b]\ntitle = 'B'\n")
    page = page_of(tmp_path, rows, hers)
    titles = ["L", "B", "Untitled spread, small", "Untitled spread"]
    assert re.findall("<h2>(.*)</h2>", page) == titles


def test_nothing_that_a_maker_writes_becomes_markup(tmp_path):
    evil = "<i>{{CARDS}}</i>\\\"'&"
    offer = "\n".join(f'{key} = "{evil}"' for key in ("title", "about", "price", "time"))
    hers = said(tmp_path, f'title = "{evil}"\nintroduction = "{evil}"\n[designs.b]\n{offer}')
    row = _row("b.toml", title="<u>", words=["<u>"], page="<u>", minutes=1)
    page = page_of(tmp_path, [row], hers)
    for mark in ("<i>", "<u>"):
        assert mark not in page
    assert page.count(html.escape("<i>{{CARDS}}</i>")) >= 4
    assert page.count('class="card"') == 1


def test_the_page_tells_no_name_of_a_file_and_no_reason(tmp_path):
    folder = tmp_path / "client-brown"
    (folder / "secret-shelf").mkdir(parents=True)
    text = sound(3)
    (folder / "secret-shelf" / "brief-1234.toml").write_text(text.partition("\n")[2])
    (folder / "brief-5678.toml").write_text(text)
    spoil, _ = BROKEN["bad-colour"]
    (folder / "brief-9999.toml").write_text(spoil(text))
    assert "title" not in (folder / "secret-shelf" / "brief-1234.toml").read_text()
    run(folder, tmp_path / "out", FIGURES, HereAndNow())
    private = (tmp_path / "out" / "private" / "index.html").read_text("utf-8")
    told = ("client-brown", "secret-shelf/brief-1234.toml", "brief-5678", "brief-9999", "red-ish")
    assert [word for word in told if word not in private] == []
    published = files_in(tmp_path / "out" / "shop")
    assert list(published) == ["index.html"]
    page = published["index.html"].decode()
    assert re.findall("<h2>(.*)</h2>", page) == ["design 3", "Untitled spread"]
    for word in (*told, "brief", "secret", "private", ".toml", str(tmp_path)):
        assert word not in page, word


def test_a_title_that_is_the_name_of_the_file_is_a_title_all_the_same(tmp_path):
    folder = tmp_path / "designs"
    folder.mkdir()
    (folder / "fox.toml").write_text(sound(0).replace("design 0", "fox"))
    (row,) = run(folder, tmp_path / "out", FIGURES, HereAndNow()).rows
    assert row["title"] == "fox"


def test_what_no_hand_moves_is_told_in_a_line(tmp_path, shop_folder):
    hers = said(tmp_path, "['designs'.'month-0/design-000']\nby_hand = 'tulip'")
    row, *_ = run(shop_folder, tmp_path / "out", FIGURES, HereAndNow(), shop=hers).rows
    assert row["status"] == "broken"
    (reason,) = row["reasons"]
    assert reason.startswith("month-0/design-000.toml: by_hand: no hand moves what")
    assert "found 'tulip'; allowed: nothing" in reason


def test_the_command_reads_the_shop_of_the_folder_or_another(call, tmp_path):
    folder = tmp_path / "designs"
    folder.mkdir()
    (folder / "b.toml").write_text(sound(3))
    (folder / "shop.toml").write_text("title = 'The folder'")
    (tmp_path / "other.toml").write_text("title = 'Another'")
    words = ("catalog", "designs", "--figures-only", "--jobs", "1")
    page = folder / "catalog" / "shop" / "index.html"
    assert call(*words).code == 0
    assert "<h1>The folder</h1>" in page.read_text()
    second = call(*words, "--shop", "other.toml")
    assert "<h1>Another</h1>" in page.read_text()
    assert "1 designs: 1 pass, 0 do not; 0 made, 1 up to date" in second.out
    assert "for you alone" in second.out
    missing = call(*words, "--shop", "none.toml")
    assert (missing.code, missing.err.count("\n")) == (2, 1)
    (tmp_path / "other.toml").write_text("[designs.bee]\nprice = '3'")
    wrong = call(*words, "--shop", "other.toml", "-o", "new")
    assert wrong.code == 1
    assert wrong.err == ("other.toml: designs.bee: there is no such design in the folder; try: b\n")
    assert not (tmp_path / "new").exists()


def test_the_shops_in_the_documents_have_no_mistakes(tmp_path):
    text = (ROOT / "preview" / "COMMANDS.md").read_text("utf-8")
    blocks = re.findall(r"```toml shop\n(.*?)```", text, re.DOTALL)
    assert blocks
    for block in blocks:
        said(tmp_path, block)
    shop.read(ROOT / "renders" / "gallery" / "shop.toml", "shop.toml")
