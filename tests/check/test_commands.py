"""``foldstage check`` and ``foldstage tune`` as they are called."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from preview.schemas import schema as schema_of

from .gallery import CARRIER, art, design, tent, v_fold

SOUND = design(v_fold("v", 45, 60, 80, 100))
OUT = design(v_fold("petal", 40, 50, 152, 80, extra='paper = "stiff"'), "[papers.stiff]\n"
             "grammage = 250\n")  # fmt: skip
CLASH = design(CARRIER, art("leaf", "t.left", [[-45, -10], [-5, -10], [-5, 10], [-45, 10]]))
LIGHT = design(v_fold("v", 45, 60, 80, 80, extra='paper = "thin"'), "[papers.thin]\ngrammage = 80")

# Stops at 72.61 degrees: sin 60 cos x = cos 75.
JAM = design(
    '[pieces.j]\nkind = "v-fold"\nat = 60\npage_angle = [50, 60]\npanel_angle = [75, 40]\n'
    "base = 40\nridge = 60\n"
)


@pytest.fixture
def written(tmp_path):
    def write(text):
        (tmp_path / "case.toml").write_text(text, encoding="utf-8")
        return "case.toml"

    return write


def test_sound_design_is_ready_to_cut(call, written):
    done = call("check", written(SOUND))
    assert done.code == 0
    assert "Ready to cut" in done.out
    assert done.err == ""


@pytest.mark.parametrize(
    ("text", "words", "code", "line"),
    [
        (OUT, ["--only", "makeable"], 0, "No problems in the one question of 7"),
        (SOUND, ["--skip", "looks"], 0, "No problems in the 6 questions of 7"),
        (SOUND + "\n[check]\nclash = false\n", [], 0, "No problems in the 6 questions of 7"),
        (LIGHT, ["--only", "makeable"], 0, "No problems, but 1 warning, in the one question of 7"),
        (JAM, ["--only", "inside"], 1, "Nothing was asked that could be answered"),
        (JAM, ["--only", "inside", "--only", "makeable"], 1, "in the one question of 7"),
    ],
)
def test_what_was_not_asked_or_answered_is_not_called_ready(call, written, text, words, code, line):
    """`OUT` sticks out of the page, and `JAM` never closes, whatever was asked."""
    done = call("check", written(text), *words)
    assert line in " ".join(done.out.split())
    assert "eady to cut" not in done.out
    assert done.code == code
    report = call("check", written(text), *words, "--json").json
    assert report["whole"] is False
    assert report["passes"] is (code == 0)
    jsonschema.validate(report, schema_of("check"))


def test_faulty_design_exits_1_and_says_what_to_change(call, written):
    done = call("check", written(OUT), "--only", "inside")
    assert done.code == 1
    words = " ".join(done.out.split())
    assert "sticks out past the fore-edge of the closed page by 4.00 mm" in words
    # It closes square to the gutter, on a page 148 mm wide.
    assert "pieces.petal.ridge = 148 (now 152)" in words
    assert "not asked" in words


def test_worst_comes_first(call, written):
    text = CLASH + tent("wide", 60, 92, 20, 150)
    findings = call("check", written(text), "--json").json["findings"]
    ranks = [("problem", "warning", "note").index(f["severity"]) for f in findings]
    assert ranks == sorted(ranks)
    assert ranks[0] == 0


@pytest.mark.parametrize("text", [SOUND, OUT, CLASH, LIGHT], ids=["sound", "out", "clash", "light"])
def test_json_is_as_the_published_schema_describes_it(call, written, text):
    done = call("check", written(text), "--json")
    jsonschema.validate(done.json, schema_of("check"))
    assert done.json["passes"] == (done.code == 0)


@pytest.mark.night
def test_json_of_a_jammed_design_is_valid_too(call, written):
    done = call("check", written(design(tent("t", 30, [40, 28], 30, 100))), "--json")
    jsonschema.validate(done.json, schema_of("check"))
    assert done.code == 1
    assert {f["question"] for f in done.json["findings"]} >= {"flat", "moves"}


def test_schema_is_printed_without_a_design(call):
    done = call("check", "--schema")
    assert done.code == 0
    schema = json.loads(done.out)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema == schema_of("check")


def test_warning_counts_only_when_asked(call, written):
    name = written(LIGHT)
    assert call("check", name, "--only", "makeable").code == 0
    assert call("check", name, "--only", "makeable", "--strict").code == 1


# A long roof over a low one whose tabs lie on its own: through a tunnel of 140 mm no finger reaches
# those of what is glued later, whichever that is.
TUNNEL = design(tent("roof", 17, 35, 140, 105), tent("beam", 15, 28, 140, 105))
CIRCLE = "roof, beam: can't be built: roof waits for beam waits for roof"


def test_what_no_order_of_building_puts_together_is_not_ready_to_cut(call, written):
    """Nothing else is wrong with it; `tests/building` has what is refused, and why."""
    name = written(TUNNEL)
    done = call("check", name, "--strict")
    words = " ".join(done.out.split())
    assert done.code == 1
    assert "1 problem to solve before cutting" in words
    assert CIRCLE in words
    (finding,) = [
        f for f in call("check", name, "--json").json["findings"] if f["severity"] != "note"
    ]
    assert (finding["question"], finding["kind"]) == ("makeable", "no order")
    without = call("check", name, "--skip", "makeable")
    assert without.code == 0
    assert "6 questions of 7" in without.out
    shorter = written(TUNNEL.replace("width = 140", "width = 40"))
    assert call("check", shorter, "--strict").code == 0


@pytest.mark.parametrize(
    "words", [("guide",), ("pattern",), ("film", "--course", "build"), ("pack", "-o", "pack")]
)
def test_what_can_not_be_built_is_said_in_one_line_and_leaves_no_file(
    call, written, tmp_path, words
):
    name = written(TUNNEL)
    done = call(words[0], name, *words[1:])
    assert done.code == 1
    (line,) = [line for line in (done.err + done.out).splitlines() if CIRCLE in line]
    assert "Traceback" not in done.err + done.out
    assert [path.name for path in tmp_path.iterdir()] == [name], line


def test_question_can_be_left_out_on_the_command_line_and_in_the_design(call, written):
    assert call("check", written(OUT), "--skip", "inside").code == 0
    off = OUT.replace("[pieces.petal]", "[check]\ninside = false\n[pieces.petal]")
    assert call("check", written(off)).code == 0


def test_limit_can_be_set_on_the_command_line_and_in_the_design(call, written):
    wide = ("--only", "clash", "--limit", "clash_push=6")
    assert call("check", written(CLASH), "--only", "clash").code == 1
    assert call("check", written(CLASH), *wide).code == 0
    eased = CLASH.replace("[pieces.t]", "[check]\nclash_push = 6\n[pieces.t]")
    assert call("check", written(eased), "--only", "clash").code == 0


@pytest.mark.parametrize(
    ("limit", "words"),
    [("clash_pus=1", "did you mean clash_push?"), ("clash_push=x", "clash_push=x"),
     ("thickest=-1", "allowed: 0.1 to 200 mm")],
)  # fmt: skip
def test_wrong_limit_is_one_line_and_exit_2(call, written, limit, words):
    done = call("check", written(SOUND), "--limit", limit)
    assert done.code == 2
    assert words in done.err
    assert done.err.count("\n") == 1


def test_wrong_key_in_the_check_table_is_the_designs_mistake(call, written):
    done = call("check", written(SOUND + "\n[check]\nthicknes = 3\n"))
    assert done.code == 1
    assert "check.thicknes" in done.err
    assert "thickness" in done.err


def test_page_stands_by_itself_and_draws_the_place(call, written, tmp_path):
    done = call("check", written(CLASH), "--html", "page.html", "--only", "clash")
    page = (tmp_path / "page.html").read_text("utf-8")
    assert done.code == 1
    assert "wrote page.html" in done.err
    assert not re.findall(r'(?:src|href)="(?!data:)', page)
    assert 'class="ring"' in page
    assert page.count("data:image/jpeg;base64,") == 1
    assert "cut 5.00 mm off leaf.art" in page


def test_page_of_a_closed_state_fault_is_a_plan(call, written, tmp_path):
    call("check", written(OUT), "--html", "page.html", "--skip", "looks")
    page = (tmp_path / "page.html").read_text("utf-8")
    assert page.count("<svg") == 2, "the closed plan and the height map"
    assert "fore-edge" in page


def test_fit_prints_a_patch_and_leaves_the_file_alone(call, written, tmp_path):
    name = written(OUT)
    done = call("tune", name, "--vary", "petal.ridge=120..160")
    assert done.code == 0
    assert "-ridge = 152" in done.out
    assert "+ridge = 148" in done.out
    assert (tmp_path / name).read_text("utf-8") == OUT


def test_fit_writes_the_file_when_told_to(call, written, tmp_path):
    name = written(OUT)
    assert call("tune", name, "--vary", "petal.ridge=120..160", "--write").code == 0
    assert (tmp_path / name).read_text("utf-8") == OUT.replace("ridge = 152", "ridge = 148")
    assert call("check", name, "--only", "inside").code == 0


def test_fit_says_when_nothing_fits(call, written):
    done = call(
        "tune", written(SOUND), "--vary", "v.ridge=20..50", "--want", "v.height >= 80",
        "--tries", "10", "--json",
    )  # fmt: skip
    assert done.code == 1
    assert done.json["passes"] is False
    assert "v.height >= 80 is missed" in done.json["problems"][0]
    assert done.json["patch"] == ""


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--vary", "w.ridge=1..2"], "no such piece"),
        (["--vary", "v.rigde=1..2"], "try: ridge"),
        (["--vary", "v.ridge=2..1"], "is empty"),
        (["--vary", "v.ridge=1-2"], "expected NAME=LOW..HIGH"),
        (["--vary", "v.ridge=40..60", "--want", "v.tall >= 3"], "has no tall"),
        (["--vary", "v.ridge=40..60", "--want", "tall"], "is not a wish"),
    ],
)
def test_fit_refuses_what_it_does_not_know(call, written, words, told):
    done = call("tune", written(SOUND), *words)
    assert done.code == 2
    assert told in done.err
