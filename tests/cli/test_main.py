"""The command line as a whole: help, exit codes, and one clear line for every mistake."""

from __future__ import annotations

import io
import re

import pytest

from preview import cli
from preview.cli import COMMANDS, ExitCode
from preview.cli.terminal import Terminal
from preview.errors import UseError

HEAD = """\
usage: foldstage [-h] [--version] [--traceback] COMMAND ...

Preview a pop-up spread before any paper is cut: how it folds, whether it
fits, how it films.

positional arguments:
  COMMAND
"""

TAIL = """\

options:
  -h, --help   show this help message and exit
  --version    show the version and exit
  --traceback  show where in the program an error arose (or set
               FOLDSTAGE_TRACEBACK=1)

Start with: foldstage new my-spread && foldstage film my-spread.toml
"""


def test_help_is_exactly_this(call):
    outcome = call("--help")
    commands = "".join(f"    {name:<10} {text}\n" for name, (_, text) in COMMANDS.items())
    wrapped = re.sub(r"\n {15,}", " ", outcome.out)  # long lines of help are folded
    assert (outcome.code, outcome.err) == (ExitCode.DONE, "")
    assert wrapped.replace("  ", " ") == (HEAD + commands + TAIL).replace(
        "\n               ", " "
    ).replace("  ", " ")


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself_and_all_of_its_options(call, command):
    outcome = call(command, "--help")
    assert outcome.code == ExitCode.DONE
    assert outcome.out.startswith(f"usage: foldstage {command} ")
    options = re.findall(r"^  (-[^\n]*)(?:\n {20,}(\S[^\n]*))?", outcome.out, flags=re.MULTILINE)
    assert options
    for line, below in options:
        assert below or "  " in line.strip(), f"{line} has no help"


@pytest.mark.parametrize("command", COMMANDS)
def test_help_lines_of_the_table_are_short_and_start_small(command):
    text = COMMANDS[command][1]
    assert text[0].islower()
    assert not text.endswith(".")
    assert len(text) <= 90


def test_the_version_is_that_of_the_distribution(call):
    from importlib.metadata import version

    assert call("--version").out == f"foldstage {version('foldstage')}\n"


@pytest.mark.parametrize(
    ("argv", "reason"),
    [
        ([], "required: COMMAND"),
        (["flim"], "there is no command 'flim'; did you mean film?"),
        (["zzz"], "there is no command 'zzz'; commands: "),
        (["angles"], "required: DESIGN"),
        (["angles", "x.toml", "--opening", "190"], "expected a number from 0 to 180 degrees"),
        (["angles", "x.toml", "--opening", "nan"], "got 'nan'"),
        (["angles", "x.toml", "--every", "30", "--opening", "9"], "not allowed with"),
        (["angles", "x.toml", "--set", "petal"], "expected NAME=VALUE, got 'petal'"),
        (["angles", "x.toml", "--jsn"], "unrecognized arguments: --jsn"),
        (["angles", "toadstol-glade"], "did you mean toadstool-glade?"),
        (["angles", "toadstool-glade.toml"], "the shipped design is called toadstool-glade"),
        (["mesh", "x.toml", "--format", "xyz"], "invalid choice: 'xyz'"),
        (["still", "x.toml", "--mood", "evening"], "no mood 'evening'; did you mean dusk?"),
        (["still", "x.toml", "--mood", "xyzzy"], "invalid choice: 'xyzzy'"),
        (["plan", "x.toml", "--mood", "pink"], "did you mean rose?"),
        (["help", "circle"], "did you mean ellipse?"),
        (["new", "x", "--kind", "bloosom"], "did you mean blossom?"),
        (["new", "x", "--kind", "house"], "there is no kind 'house'; did you mean box?"),
        (["new", "x", "--like", "kite-day", "--page", "A5"], "leave out --page"),
        (["film", "x.toml", "--size", "9x9"], "expected WIDTHxHEIGHT in pixels"),
        (["film", "x.toml", "--size", "640x480x3"], "expected WIDTHxHEIGHT in pixels"),
        (["film", "x.toml", "--jobs", "0"], "expected a whole number from 1 to 256"),
    ],
)
def test_wrong_use_gets_exit_code_2_and_says_what_is_wrong(call, argv, reason, tmp_path):
    outcome = call(*argv)
    assert outcome.code == ExitCode.WRONG_USE
    assert outcome.out == ""
    assert reason in outcome.err.splitlines()[-1]
    assert list(tmp_path.iterdir()) == []


def test_a_missing_design_is_one_line(call, tmp_path):
    outcome = call("angles", "missing.toml")
    assert outcome.code in (ExitCode.DESIGN_HAS_PROBLEMS, ExitCode.WRONG_USE)
    assert len(outcome.err.splitlines()) == 1
    assert "missing.toml" in outcome.err
    assert list(tmp_path.iterdir()) == []


def failing(error):
    """A stand-in for a command's module."""

    class Module:
        @staticmethod
        def add_arguments(parser):
            """Take none."""

        @staticmethod
        def run(args, terminal):
            raise error

    return Module


@pytest.mark.parametrize(
    ("error", "code", "line"),
    [
        (UseError("no such engine"), 2, "foldstage: no such engine"),
        (
            PermissionError(13, "Permission denied", "x.gif"),
            2,
            "foldstage: x.gif: Permission denied",
        ),
        (OSError("odd"), 2, "foldstage: odd"),
        (KeyboardInterrupt(), 130, "foldstage: interrupted"),
        # The reader of the results has had enough; any other pipe that breaks is an error.
        (BrokenPipeError(32, "Broken pipe", "standard output"), 0, ""),
        (BrokenPipeError(32, "Broken pipe"), 2, "foldstage: [Errno 32] Broken pipe"),
    ],
)
def test_an_error_becomes_one_line_and_an_exit_code(call, monkeypatch, error, code, line):
    monkeypatch.setattr(cli.importlib, "import_module", lambda _: failing(error))
    outcome = call("angles")
    assert (outcome.code, outcome.err.strip()) == (code, line)


@pytest.mark.parametrize("argv", [["--traceback", "angles"], ["angles", "--traceback"]])
def test_a_traceback_is_shown_only_when_asked_for(call, monkeypatch, argv):
    monkeypatch.setattr(cli.importlib, "import_module", lambda _: failing(UseError("no")))
    with pytest.raises(UseError):
        call(*argv)
    monkeypatch.setenv("FOLDSTAGE_TRACEBACK", "1")
    with pytest.raises(UseError):
        cli.main(["angles"], Terminal(io.StringIO(), io.StringIO(), cli.Terminal.here().folder))


def test_a_program_error_is_not_dressed_up_as_the_users(call, monkeypatch):
    monkeypatch.setattr(cli.importlib, "import_module", lambda _: failing(ZeroDivisionError()))
    with pytest.raises(ZeroDivisionError):
        call("angles")
