"""Numbers that claim something about the world say where they come from; see DEVELOPERS.md."""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest

from meshes.check.limits import Limits
from meshes.design.reference import models
from tests.sources import MARKS, unmarked

ROOT = Path(__file__).resolve().parents[1]
# Modules of which every number is looked at, and those whose constants and defaults are: what they
# hold is of paper, glue, knives, printers, lenses, eyes and hands. Tolerances of the arithmetic are
# judged by the tests of what they are for.
EVERY = ("meshes/check/limits.py", "preview/shot/optics.py")
SCOPE = (
    *EVERY,
    "meshes/art.py",
    "meshes/building/paper.py",
    "meshes/check/held.py",
    "meshes/check/looks.py",
    "meshes/check/makeable.py",
    "meshes/check/narrow.py",
    "meshes/check/slits.py",
    "meshes/check/thickness.py",
    "meshes/design/*.py",
    "meshes/drive.py",
    "meshes/measure.py",
    "meshes/outline.py",
    "meshes/pieces/**/*.py",
    "preview/drawing/colour.py",
    "preview/drawing/contrast.py",
    "preview/drawing/render/ray/clear.py",
    "preview/drawing/render/ray/material.py",
    "preview/films/encode.py",
    "preview/guide/plan.py",
    "preview/guide/words.py",
    "preview/pattern/*.py",
    "preview/plan/*.py",
    "preview/shot/*.py",
)


def files():
    return sorted({path for pattern in SCOPE for path in ROOT.glob(pattern)})


def name(path):
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", files(), ids=name)
def test_every_number_says_where_it_comes_from(path):
    found = unmarked(path.read_text(encoding="utf-8"), every=name(path) in EVERY)
    assert not found, f"{name(path)}: say one of {', '.join(MARKS)}: {found}"


def test_every_table_of_defaults_is_looked_at():
    """What the README prints as defaults is written in the modules above."""
    looked_at = {path.resolve() for path in files()}
    shown = models()
    assert Limits in shown
    assert len(shown) > 40
    for model in shown:
        assert Path(inspect.getfile(model)).resolve() in looked_at, model


HEAD = "from pydantic import BaseModel, Field\n"
MODEL = f"{HEAD}class Keys(BaseModel):\n"


@pytest.mark.parametrize(
    ("text", "every"),
    [
        ("CALIPER_MM = 0.3\n", False),
        ("SIZES = {'a': (3, 4)}\n", False),
        ("ANGLE: float = float(radians(35))\n", False),
        ("# Our choice.\nA = 3\n# The next one.\nB = 4\n", False),
        (MODEL + "    wide: float = Field(8.5, description='wide')\n", False),
        (MODEL + "    wide: float = Field(default=8.5, description='wide')\n", False),
        (MODEL + "    at: list = Field(default_factory=lambda: [30], description='x')\n", False),
        (MODEL + "    wide: float = 8.5\n", False),
        # A mark on one field says nothing of the next.
        (MODEL + "    # Our choice.\n    a: float = 3\n    b: float = 4\n", False),
        (MODEL + "    wide: Annotated[float, mm(0.5, 90)] = Field(1, description='w')\n", True),
        ("def area(side):\n    return 3.25 * side\n", True),
    ],
)
def test_a_planted_number_is_found(text, every):
    (found,) = unmarked(text, every=every)
    assert any(digit in found for digit in "345")


@pytest.mark.parametrize(
    "text",
    [
        "CALIPER_MM = 0.3  # from memory\n",
        "# Source: ISO 216.\nWIDE = 210\n",
        "# Height over width: common practice, no\n# source.\nWIDE = 0.66\n",
        MODEL + "    wide: float = Field(8.5, description='wide (our choice)')\n",
        MODEL + "    # Measured: ten of them.\n    wide: float = Field(8.5)\n",
        "COUNT = 1\nPAIR = (0, 2)\nWORD = 'A4'\nTRUE = True\n",
        "Side = Literal[3, 4]\n",
    ],
)
def test_a_marked_number_is_not(text):
    assert unmarked(text) == []


@pytest.mark.parametrize("path", EVERY)
def test_the_real_modules_fail_without_their_marks(path):
    """The scan does look: with the marks struck out, the numbers of the module are found."""
    text = (ROOT / path).read_text(encoding="utf-8")
    for mark in MARKS:
        for said in (mark, mark.capitalize()):
            text = text.replace(said, "-" * len(said))
    assert unmarked(text, every=True)
