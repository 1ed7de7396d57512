"""``foldstage engines`` says what draws here, and why something does not."""

from __future__ import annotations

from types import SimpleNamespace

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


def test_what_the_probe_runs_imports_what_there_is():
    """It runs in a process of its own, so that no checker sees a module that has moved."""
    from preview.drawing.render.gl import probe

    state = probe()
    assert "ended the process" not in state.detail


def test_an_engine_that_does_not_work_is_one_line(call, leaf, monkeypatch):
    """Giving back what could not be drawn with fails as well, with a traceback once."""
    from preview.drawing.render import gl

    class Broken:
        _renderer = SimpleNamespace()

        def __init__(self, *size):
            pass

        def render(self, *args, **kwargs):
            raise TypeError("No array-type handler\nfor this numpy")

        delete = render

    monkeypatch.setattr(gl.GlEngine, "__init__", lambda self: _broken(self, Broken))
    monkeypatch.setattr(gl, "to_pyrender", lambda *args: None)
    outcome = call("still", leaf, "--engine", "gl", "--size", "64x48")
    assert outcome.code == 2
    (line,) = outcome.err.splitlines()
    assert line.startswith("foldstage: the gl engine can't draw (No array-type handler); ")
    assert line.endswith(gl.advice())


@pytest.mark.parametrize(
    ("missing", "told", "packages"),
    [
        (["GLU"], "libGLU", "libglu1-mesa"),
        (["EGL"], "libEGL", "libegl1"),
        (["EGL", "GL", "GLU"], "libEGL, libGL, libGLU", "libegl1 libgl1 libglu1-mesa"),
        ([], "", "libgl1-mesa-dri"),
    ],
)
def test_the_advice_names_the_libraries_that_are_missing(monkeypatch, missing, told, packages):
    """Packages by their names in Debian 12 (packages.debian.org)."""
    import ctypes.util
    import sys

    from preview.drawing.render import gl

    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(
        ctypes.util, "find_library", lambda name: None if name in missing else f"lib{name}.so.1"
    )
    start = f"missing: {told}; " if told else ""
    assert gl.advice() == f"{start}on Debian or Ubuntu: apt install {packages}"


def test_shadows_and_textures_are_drawn_with_the_opengl_that_pyrender_pins():
    """Python 3.12 gave the type of `ctypes.byref` another name, by which PyOpenGL finds it."""
    import ctypes

    arrays = pytest.importorskip("OpenGL.arrays.arraydatatype", reason="there is no OpenGL")
    from preview.drawing.render import gl

    gl._know_references()
    reference = ctypes.byref((ctypes.c_uint * 2)(3, 4))
    handler = arrays.ArrayDatatype.getHandler(reference)
    assert handler.from_param(reference, None) is reference


def test_where_no_engine_works_every_picture_says_so_in_one_line(call, leaf, monkeypatch):
    from preview.drawing.render import EngineError
    from preview.drawing.render.ray import engine

    def nothing():
        raise EngineError("the gl engine found no OpenGL (none); install one")

    monkeypatch.setattr(engine, "why_not", lambda: "no Embree for this computer")
    monkeypatch.setattr("preview.drawing.render.gl.prepare", nothing)
    for words in (["still", leaf], ["stages", leaf], ["film", leaf], ["thumbnail", leaf]):
        outcome = call(*words)
        assert outcome.code == 2, words
        assert "found no OpenGL" in outcome.err.splitlines()[-1]
        assert "Traceback" not in outcome.err


def _broken(engine, renderer):
    from types import SimpleNamespace

    engine._pyrender = SimpleNamespace(
        RenderFlags=SimpleNamespace(NONE=0, SHADOWS_DIRECTIONAL=1), OffscreenRenderer=renderer
    )
    engine._renderer, engine._size = None, (0, 0)
