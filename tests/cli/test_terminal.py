"""Progress shows where a person watches, and nowhere else gets in the way."""

from __future__ import annotations

import contextlib
import io
import threading
import time
from dataclasses import replace

import pytest

from preview.cli import pace
from preview.cli import terminal as terminals
from preview.cli.terminal import Terminal


@pytest.fixture
def streams():
    return io.StringIO(), io.StringIO()


def test_results_and_messages_go_to_their_own_streams(streams, tmp_path):
    terminal = Terminal(*streams, tmp_path)
    terminal.show("result")
    terminal.say("message")
    assert [stream.getvalue() for stream in streams] == ["result\n", "message\n"]


def test_a_process_without_streams_has_a_terminal_too(monkeypatch):
    """A stream that was closed before the start (`>&-`) is None (Python, sys.stdout)."""
    monkeypatch.setattr("sys.stdout", None)
    monkeypatch.setattr("sys.stderr", None)
    terminal = Terminal.here()
    assert not terminal.live
    terminal.show("result")
    terminal.say("message")
    terminal.flush()


@pytest.fixture
def full_disk(tmp_path):
    """A terminal whose streams can take nothing (full(4))."""
    with open("/dev/full", "w") as out, open("/dev/full", "w") as err:
        yield Terminal(out, err, tmp_path)


def test_messages_that_nobody_can_hear_are_no_failure(full_disk):
    full_disk.say("message")


def test_results_that_get_lost_are_a_failure_of_the_standard_output(full_disk):
    full_disk.show("result")
    with pytest.raises(OSError, match="No space") as caught:
        full_disk.flush()
    assert caught.value.filename == "standard output"


def test_a_short_job_is_silent_off_a_terminal(streams, tmp_path):
    with Terminal(*streams, tmp_path).progress(3, "drawing") as advance:
        for _ in range(3):
            advance()
    assert [stream.getvalue() for stream in streams] == ["", ""]


def test_a_long_job_gives_a_sign_of_life_off_a_terminal(streams, tmp_path, monkeypatch):
    clock = iter([0.0, 4.0, 11.0, 11.0, 12.0])
    monkeypatch.setattr(terminals.time, "monotonic", lambda: next(clock))
    with Terminal(*streams, tmp_path).progress(3, "drawing") as advance:
        for _ in range(3):
            advance()
    assert streams[1].getvalue() == "drawing: 2 of 3\n"


def test_a_bar_is_drawn_on_a_terminal_and_stdout_stays_clean(streams, tmp_path):
    with Terminal(*streams, tmp_path, live=True).progress(3, "drawing") as advance:
        advance()
        advance(2)
    assert streams[0].getvalue() == ""
    assert "drawing" in streams[1].getvalue()


def test_a_job_of_unknown_length_says_what_it_does_once_it_takes_long(
    streams, tmp_path, monkeypatch
):
    monkeypatch.setattr(terminals, "PATIENCE_S", 0.0)
    started = threading.Event()
    pulse = Terminal._pulse

    @contextlib.contextmanager
    def seen(self, label, start):
        with pulse(self, label, start):
            started.set()
            yield

    monkeypatch.setattr(Terminal, "_pulse", seen)
    with Terminal(*streams, tmp_path, live=True).busy("solving"):
        assert started.wait(20)
    assert "solving" in streams[1].getvalue()
    assert streams[0].getvalue() == ""


def test_a_job_that_was_done_before_says_how_long_it_may_still_take(streams, tmp_path, monkeypatch):
    monkeypatch.setenv("FOLDSTAGE_CACHE", str(tmp_path))
    monkeypatch.setattr(terminals, "PATIENCE_S", 0.0)
    terminal = Terminal(*streams, tmp_path, live=True, about=("check", "a.toml"))
    with terminal._pulse("checking", time.monotonic()):
        pass
    assert "left" not in streams[1].getvalue()
    pace.keep(("check", "a.toml", "checking"), 40.0)
    for other in ("b.toml", "a.toml"):
        streams[1].truncate(0)
        about = replace(terminal, about=("check", other))
        with about._pulse("checking", time.monotonic() - 10):
            pass
        assert ("about 30 s left" in streams[1].getvalue()) is (other == "a.toml")


def test_only_jobs_that_took_long_and_came_to_their_end_tell_of_the_next(
    streams, tmp_path, monkeypatch
):
    monkeypatch.setenv("FOLDSTAGE_CACHE", str(tmp_path))
    terminal = Terminal(*streams, tmp_path, live=True, about=("check", "a.toml"))
    job = ("check", "a.toml", "checking")
    with terminal.busy("checking"):
        pass
    assert pace.last_time(job) is None
    monkeypatch.setattr(terminals, "PATIENCE_S", 0.0)
    with pytest.raises(KeyboardInterrupt), terminal.busy("checking"):
        raise KeyboardInterrupt
    assert pace.last_time(job) is None
    with terminal.busy("checking"):
        time.sleep(0.01)
    assert 0 < pace.last_time(job) < 60


@pytest.mark.parametrize(
    ("left", "said"),
    [
        (-3, "longer than last time"),
        (0.4, "nearly done"),
        (7.4, "about 7 s left"),
        (200, "about 3 min left"),
    ],
)
def test_the_time_left_is_told_no_more_exactly_than_it_is_known(left, said):
    assert pace.words(left) == said


@pytest.mark.parametrize("live", [True, False])
def test_a_job_that_is_soon_done_shows_nothing(streams, tmp_path, monkeypatch, live):
    monkeypatch.setattr(terminals, "PATIENCE_S", 600.0)
    with (
        pytest.raises(KeyboardInterrupt),
        Terminal(*streams, tmp_path, live=live).busy("solving"),
    ):
        raise KeyboardInterrupt
    assert [stream.getvalue() for stream in streams] == ["", ""]
    assert not [one for one in threading.enumerate() if isinstance(one, threading.Timer)]


def test_names_of_files_are_seen_from_the_working_folder(streams, tmp_path):
    terminal = Terminal(*streams, tmp_path)
    assert terminal.path("a/b.gif") == tmp_path / "a" / "b.gif"
    assert terminal.name(tmp_path / "a" / "b.gif") in ("a/b.gif", "a\\b.gif")
    assert terminal.name(tmp_path.parent / "c") == str(tmp_path.parent / "c")


@pytest.mark.parametrize(
    ("environment", "colour"),
    [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)],
)
def test_colour_is_off_where_it_is_not_wanted(monkeypatch, environment, colour):
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    for stream in ("stdout", "stderr"):
        screen = io.StringIO()
        screen.isatty = lambda: True  # type: ignore[method-assign]
        monkeypatch.setattr(f"sys.{stream}", screen)
    assert Terminal.here().colour is colour


def test_nothing_is_live_when_results_are_piped_away(monkeypatch):
    screen = io.StringIO()
    screen.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setattr("sys.stderr", screen)
    monkeypatch.setattr("sys.stdout", io.StringIO())
    assert not Terminal.here().live


def test_an_old_code_page_shows_a_question_mark_instead_of_failing(monkeypatch):
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding="cp1252", write_through=True))
    Terminal.here().show("90° → flat")
    assert raw.getvalue().decode("cp1252").split() == ["90°", "?", "flat"]
