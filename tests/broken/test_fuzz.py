"""Sound designs spoilt at random: the reader complains in single lines and never breaks down."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from meshes import spread
from meshes.errors import DesignError, Mistake

SOUND: dict[str, Any] = {
    "title": "Fern bank",
    "units": "cm",
    "spread": {"page": "A5", "margin": 0.3, "ruling": "dots", "paper": "#ffffff"},
    "papers": {"moss": {"grammage": 160, "caliper": 0.02, "front": "#5a8f69"}},
    "values": {"tall": 4, "wide": "tall / 2"},
    "pieces": {
        "fern": {
            "kind": "v-fold",
            "at": 6,
            "page_angle": [45, 50],
            "panel_angle": 60,
            "base": 2,
            "outline": {"shape": "fern", "length": "tall", "width": "wide"},
            "holes": [{"shape": "ellipse", "length": 0.3, "x": 0.4, "y": 1.5}],
            "folds": {"ridge": {"rest": 40, "stiffness": 2}},
        },
        "dot": {
            "kind": "flat",
            "on": "page.left",
            "x": -6,
            "y": 9,
            "outline": {"shape": "joined", "parts": [{"shape": "heart", "length": 2}]},
            "repeat": {"count": 3, "around": 2},
        },
        "strip": {"kind": "carrier", "at": 12, "distance": 5, "flap": 2.5, "width": 3},
        "house": {
            "kind": "box",
            "at": 15,
            "distance": 2,
            "height": 3,
            "width": 3,
            "holes": {"left": [{"shape": "rectangle", "length": 1, "width": 1, "y": 1}]},
        },
        "steps": {
            "kind": "stair",
            "reach": 6,
            "length": 8,
            "treads": [{"at": 1, "length": 3, "distance": [2, 3]}],
        },
        "tower": {"kind": "zigzag", "on": "strip.crease", "page_angle": 40, "panel_angle": 60}
        | {"base": 1, "ridge": 4},
        "band": {"kind": "strap", "distance": 3, "panels": [4, 1, 5], "width": 2},
    },
}

VALUES = st.one_of(
    st.sampled_from(
        [-1, 0, 1, 1e-9, 1e9, 10**30, math.nan, math.inf, -math.inf, True, False, "", " ", "x"]
    ),
    st.sampled_from(["tall", "1 in", "((", "1/0", "gutter", "page.left", "fern.ridge", "#123456"]),
    st.sampled_from(
        ["fern", "dot-1.art", "v-fold", "flat", "left", "back", "in", "\u2028", "a.b.c.d"]
    ),
    st.sampled_from([[], {}, [[]], [1, 2], [1, 2, 3], {"shape": "leaf"}, {"a": {"b": 1}}, [{}]]),
    st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=6),
)
KEYS = st.one_of(
    st.text(max_size=6),
    st.sampled_from(["at", "on", "kind", "outline", "x", "repeat", "__class__"]),
)


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Paths to everything in nested tables and lists."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in items:
        yield (*path, key)
        if isinstance(inner, dict | list):
            yield from places(inner, (*path, key))


PLACES = list(places(SOUND))


def spoil(tables: dict[str, Any], path: tuple[Any, ...], how: str, key: str, value: Any) -> None:
    inner: Any = tables
    for part in path[:-1]:
        try:
            inner = inner[part]
        except (KeyError, IndexError, TypeError):
            return
    if not isinstance(inner, dict | list):
        return
    if how == "drop":
        if isinstance(inner, dict):
            inner.pop(path[-1], None)
    elif how == "add" and isinstance(inner, dict):
        inner[key] = value
    elif isinstance(inner, dict) or path[-1] < len(inner):
        inner[path[-1]] = value


def mistakes_in(file: Path) -> tuple[Mistake, ...]:
    """What the reader has against a file; none if it reads it."""
    try:
        spread.read(file)
    except DesignError as error:
        return error.mistakes
    return ()


def test_the_design_is_sound_before_it_is_spoilt(tmp_path: Path) -> None:
    file = tmp_path / "sound.toml"
    file.write_text(tomlkit.dumps(SOUND), encoding="utf-8")
    assert len(spread.read(file).design.pieces) == 9


@settings(
    derandomize=True,
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    st.lists(
        st.tuples(st.sampled_from(PLACES), st.sampled_from(["set", "drop", "add"]), KEYS, VALUES),
        min_size=1,
        max_size=3,
    )
)
def test_a_spoilt_design_is_read_or_refused_in_single_lines(
    tmp_path: Path, changes: list[tuple[tuple[Any, ...], str, str, Any]]
) -> None:
    tables = copy.deepcopy(SOUND)
    for path, how, key, value in changes:
        spoil(tables, path, how, key, value)
    file = tmp_path / "spoilt.toml"
    file.write_text(tomlkit.dumps(tables), encoding="utf-8")
    for mistake in mistakes_in(file):
        assert str(mistake).startswith(str(file))
        assert mistake.problem
        assert len(str(mistake).splitlines()) == 1


@pytest.mark.parametrize("cut", range(0, 1400, 70))
def test_a_file_cut_short_is_read_or_refused(tmp_path: Path, cut: int) -> None:
    file = tmp_path / "cut.toml"
    file.write_text(tomlkit.dumps(SOUND)[:cut], encoding="utf-8")
    assert all(len(str(mistake).splitlines()) == 1 for mistake in mistakes_in(file))
