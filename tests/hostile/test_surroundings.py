"""Each command once where the world is hostile; all of them: `python -m tests.hostile world`."""

from __future__ import annotations

import errno
import pwd

import pytest

from meshes import cache
from meshes.export import whole_file

from .cell import warm
from .surroundings import COMMANDS, NAMES, matrix, play

# Every command and every condition is met; what starts processes or takes seconds is for the night.
_QUICK = [
    ("new", "no room"), ("new", "no rights"), ("still", "no room"), ("tune", "no rights"),
    ("angles", "no home"), ("angles", "closed pipe"), ("mesh", "no rights"), ("mesh", "it's"),
    ("drawing", "no room"), ("catalog", "no room"), ("pack", "no home"), ("drawing", 'a "card"'),
    ("view", "<script>alert(1)<script>"), ("check", "no rights"), ("angles", "-o"),
    ("drawing", "Grüße-Ñ"), ("angles", "%s{}"), ("still", "a b"), ("angles", "two\nlines"),
    ("mesh", "interrupted as it begins a file"), ("drawing", "interrupted as it moves a file"),
    ("angles", "interrupted after 0.05 s"), ("angles", "killed as it fills the cache"),
    ("new", "killed as it moves a file"), ("mesh", "killed as it begins a file"),
    ("angles", "two at once"), ("new", "two at once"),
    ("new", "C locale, no UTF-8"), ("new", "results to a full disk"), ("new", "no results"),
    ("new", "messages to a full disk"),
]  # fmt: skip
_WRITES_NOTHING = ("angles", "engines", "help")


@pytest.fixture(scope="module", autouse=True)
def _warm():
    warm()


def test_the_matrix_has_every_command():
    from preview.cli import COMMANDS as ALL

    assert set(COMMANDS) == set(ALL)
    assert set(_QUICK) <= set(matrix())


@pytest.mark.parametrize(("command", "condition"), _QUICK)
def test_a_command_keeps_to_the_rules_wherever_it_is(command, condition):
    outcome = play(command, condition)
    assert outcome.good, f"{outcome.kind}: {outcome.text}"
    if condition in ("no room", "no rights") and command not in _WRITES_NOTHING:
        assert outcome.kind == "wrong use"
        # The file is called what the user called it, not by the name that it is made under.
        assert "spring" in outcome.text
        assert ".part" not in outcome.text
    if condition in NAMES:
        assert outcome.kind == "done"


def test_every_command_meets_each_kind_of_trouble():
    conditions = {condition for command, condition in matrix() if command == "film"}
    for word in ("room", "rights", "interrupted", "killed", "two at once", "home", "C locale"):
        assert any(word in condition for condition in conditions), word
    assert len(matrix()) == len(COMMANDS) * len(conditions)


def test_without_a_home_nothing_is_kept(monkeypatch):
    for name in ("HOME", "XDG_CACHE_HOME", cache.VARIABLE):
        monkeypatch.delenv(name, raising=False)

    def unknown(uid):
        raise KeyError(uid)

    monkeypatch.setattr(pwd, "getpwuid", unknown)
    assert cache.user_folder() is None


def test_a_tilde_of_nobody_is_one_line(call):
    outcome = call("check", "~nobody-of-that-name/a.toml")
    assert outcome.code == 1
    assert "a.toml" in outcome.err
    assert "Traceback" not in outcome.err


@pytest.mark.parametrize("named", [True, False])
def test_an_error_of_the_disk_names_the_file_that_was_asked_for(tmp_path, named):
    def full(part):
        with whole_file(part) as inner:
            words = (errno.ENOSPC, "No space left on device")
            raise OSError(*words, str(inner)) if named else OSError(*words)

    with pytest.raises(OSError, match="No space left") as caught:
        full(tmp_path / "a")
    assert caught.value.filename == str(tmp_path / "a")
