"""``foldstage engines`` says what draws here, and why something does not."""

from __future__ import annotations

import pytest

from preview.drawing.render import EngineState


@pytest.mark.parametrize(("ray", "gl", "code"), [(True, False, 0), (False, False, 1)])
def test_each_engine_has_a_line_with_its_reason(call, monkeypatch, ray, gl, code):
    states = [EngineState("ray", ray, "Embree"), EngineState("gl", gl, "install Mesa's libEGL")]
    monkeypatch.setattr("preview.drawing.render.engines", lambda: states)
    outcome = call("engines")
    assert outcome.code == code
    lines = outcome.out.splitlines()
    assert lines[1] == "gl: does not work here: install Mesa's libEGL"
    assert lines[0].startswith("ray: works" if ray else "ray: does not work here")


def test_the_engines_of_this_computer_are_told_as_json(call):
    outcome = call("engines", "--json")
    names = [engine["name"] for engine in outcome.json["engines"]]
    assert names == ["ray", "gl"]
    assert outcome.json["engines"][0]["works"]
