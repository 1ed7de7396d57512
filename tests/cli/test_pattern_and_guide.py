"""``foldstage pattern`` and ``foldstage guide`` from the command line."""

from __future__ import annotations

import pytest

from preview.cli import ExitCode

DESIGN = """
title = "Arch"
[spread]
page = "A5"
[papers.leaf]
grammage = 160
front = "#6fa36a"
[pieces.arch]
kind = "tent"
on = "gutter"
at = 60
distance = 30
panel = 42
width = 36
[pieces.moss]
kind = "flat"
on = "page.left"
x = -80
y = 150
paper = "leaf"
outline = { shape = "ellipse", length = 30, width = 50 }
"""


ENDINGS = ("svg", "dxf", "pdf")


@pytest.fixture
def design(tmp_path):
    (tmp_path / "arch.toml").write_text(DESIGN)
    return "arch.toml"


def test_a_pdf_is_written_and_its_waste_is_said(call, tmp_path, design):
    outcome = call("pattern", design)
    assert outcome.code == ExitCode.DONE
    assert outcome.out == "renders/arch-pattern.pdf\n"
    assert "card: 1 cut-out on 1 sheet, waste" in outcome.err
    assert "in plain rows" in outcome.err
    assert (tmp_path / "renders" / "arch-pattern.pdf").read_bytes().startswith(b"%PDF-")


def test_each_page_is_an_svg_of_its_own(call, tmp_path, design):
    outcome = call("pattern", design, "--format", "svg", "-o", "out")
    assert outcome.out.split() == [
        "out/01-card-front.svg",
        "out/02-leaf-front.svg",
        "out/03-placing-sheets-front.svg",
        "out/04-placing-sheets-front.svg",
    ]
    assert 'class="mountain"' in (tmp_path / "out" / "01-card-front.svg").read_text()


def test_the_machine_gets_its_layers_in_the_colours_asked_for(call, tmp_path, design):
    outcome = call(
        "pattern",
        design,
        "--format",
        "machine",
        "--page",
        "304.8x304.8",
        "--stroke",
        "cuts=#00AA55",
    )
    assert outcome.code == ExitCode.DONE
    text = (tmp_path / "renders" / "arch-machine" / "01-card.svg").read_text()
    assert '<g id="cuts"' in text
    assert 'stroke="#00aa55"' in text
    assert 'width="304.8mm"' in text


def test_print_and_cut_share_their_sheets(call, tmp_path, design):
    words = ("--format", "machine", "--register", "crosses", "--colours", "-o", "cut")
    outcome = call("pattern", design, *words)
    assert outcome.code == ExitCode.DONE
    assert outcome.out.split() == [
        *(f"cut/{name}.{ending}" for name in ("01-card", "02-leaf") for ending in ENDINGS),
        "cut/print.pdf",
    ]
    assert "register marks: crosses of 6 mm, upper left corners at 10 10, 194 10" in outcome.err


def test_letters_that_cannot_be_printed_are_named(call, tmp_path, design):
    (tmp_path / design).write_text(DESIGN.replace('"Arch"', '"Arch 森の木"'))
    outcome = call("pattern", design)
    assert outcome.code == ExitCode.DONE
    assert "the typeface lacks 森 の 木 of 'the title', printed as 'Arch ???'" in outcome.err


def test_colours_keep_their_front_clean(call, design):
    outcome = call("pattern", design, "--colours", "--marks", "front")
    assert outcome.code == ExitCode.WRONG_USE
    assert "would draw lines over the colours" in outcome.err


def test_json_tells_a_script_what_was_made(call, design):
    report = call("pattern", design, "--json").json
    assert (report["schema"], report["version"]) == ("foldstage-pattern", 1)
    assert report["files"] == ["renders/arch-pattern.pdf"]
    assert [paper["paper"] for paper in report["papers"]] == ["card", "leaf"]
    assert 0 < report["waste"] <= report["plain_waste"] < 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--page", "A9"), "no sheet size 'A9'; allowed: A2, A3"),
        (("--page", "90x90"), "too little for the 100 mm check bars"),
        (("--page", "A5", "--set", "pieces.arch.width=200"), "does not fit on A5"),
        (("--printer-scale", "98.9"), "expected a number from 0.8 to 1.25, got '98.9'"),
        (("--printer-scale", "1,1,1"), "expected ACROSS,UPRIGHT such as 0.989,1.0"),
        (("--stroke", "cuts=red"), "expected pen, folds, cuts or register with a colour"),
        (("--format", "machine", "--marks", "both"), "a machine cuts from one side"),
        (("--format", "machine", "--colours"), "--register adds a PDF to print"),
        (("--register", "squares"), "add --format machine"),
        (("--format", "machine", "--stroke", "cuts=#d35d04"), "layers folds and cuts look alike"),
        (("-o", "arch.txt"), "a PDF's name ends in .pdf"),
        (("--format", "svg", "-o", "arch.toml"), "is a file; -o wants a folder"),
        (("--gap", "nan"), "expected a number from 0 to 50 mm"),
    ],
)
def test_wrong_use_of_pattern_is_one_line_and_writes_nothing(call, tmp_path, design, words, said):
    outcome = call("pattern", design, *words)
    assert outcome.code == ExitCode.WRONG_USE
    assert said in outcome.err
    assert "Traceback" not in outcome.err
    assert [file.name for file in tmp_path.iterdir()] == ["arch.toml"]


def test_a_guide_lists_its_steps_for_a_script(call, design):
    report = call("guide", design, "--json").json
    assert [step["title"] for step in report["steps"]] == [
        "Make the arch",
        "Glue the arch to the left page",
        "Close the notebook on the arch",
        "Glue the moss to the left page",
    ]
    assert report["steps"][1]["letters"] == ["A"]


def test_a_guide_is_written_with_its_pictures(call, tmp_path, design):
    outcome = call("guide", design, "-o", "arch.html", "--size", "64x48", "--jobs", "1")
    assert outcome.code == ExitCode.DONE
    assert outcome.out == "arch.html: 4 steps\n"
    assert (tmp_path / "arch.html").read_text().count("<img") == 5


def test_a_guide_to_a_design_that_cannot_close_is_refused(call, tmp_path, design):
    jammed = DESIGN.replace("panel = 42", "panel = [42, 55]")
    (tmp_path / design).write_text(jammed)
    outcome = call("guide", design)
    assert outcome.code == ExitCode.DESIGN_HAS_PROBLEMS
    assert "arch.toml: arch: can't be built" in outcome.err
    assert not (tmp_path / "renders").exists()


def test_a_guide_knows_its_endings(call, design):
    outcome = call("guide", design, "-o", "arch.docx")
    assert outcome.code == ExitCode.WRONG_USE
    assert "endings: .pdf, .html" in outcome.err
