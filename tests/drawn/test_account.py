"""What lines are taken for: by label as by class, and nothing left alone without a word."""

from __future__ import annotations

import json

import numpy as np
import pytest
from PIL import Image

from meshes.drawn import DrawingError, account, read

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="100mm" viewBox="0 0 120 100" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape">'
)
LAYERS = """<g inkscape:label="Cut lines"><path d="M10 10H110V90H10Z"/></g>
<g inkscape:label="Mountain folds"><path d="M60 10V90"/><path d="M80 10V90"/></g>
<g inkscape:label="valleys"><path d="M35 10V90" id="path77"/></g>
<g inkscape:label="glue-A"><path id="path5" d="M14 20h15v50h-15z"/></g>
<g inkscape:label="Glue B"><path id="path6" d="M64 50h12v30h-12z"/></g>
<g inkscape:label="Sketch"><path d="M5 5L100 60"/><text x="4" y="4">hello</text></g>
<g inkscape:label="Notes for me"><g><path d="M20 95H100"/></g></g>
<path d="M5 50H8" style="display:none"/>"""


def drawing(body: str) -> bytes:
    return f"{HEAD}{body}</svg>".encode()


def test_the_first_word_of_a_layer_says_what_its_lines_are():
    found = account(drawing(LAYERS))
    assert [(s.role, s.name) for s in found.strokes] == [
        ("cut", ""),
        ("mountain", ""),
        ("mountain", ""),
        ("valley", "path77"),
        ("glue", "A"),
        ("glue", "B"),
    ]
    (sheet,) = read(drawing(LAYERS)).sheets
    assert [area.letter for area in sheet.glue] == ["A", "B"]
    assert sorted(fold.sign for fold in sheet.folds) == [-1, 1, 1]


@pytest.mark.parametrize(
    ("label", "letter"), [("glue-A", "A"), ("Glue A", "A"), ("glue: A", "A"), ("GLUE_A", "A")]
)
def test_a_line_may_carry_the_label_itself(label, letter):
    body = (
        f'<path class="cut" d="M10 10H90V90H10Z"/><path inkscape:label="{label}" d="M20 20h9v9z"/>'
    )
    (_, glue) = account(drawing(body)).strokes
    assert (glue.role, glue.name) == ("glue", letter)


def test_all_that_is_left_alone_is_told_with_its_layer():
    found = account(drawing(LAYERS))
    assert [(item.layer, item.reason) for item in found.left] == [
        ("Sketch", "no word"),
        ("Sketch", "no line"),
        ("Notes for me", "in notes"),
        ("", "hidden"),
    ]
    assert np.allclose(found.left[0].lines[0], [[5, 95], [100, 40]])  # y up from the foot


def test_every_line_is_in_the_account():
    """Counted by a reader of XML that knows nothing of us."""
    from xml.etree import ElementTree

    shapes = [
        e for e in ElementTree.fromstring(drawing(LAYERS)).iter() if e.tag[-4:] in ("path", "text")
    ]
    found = account(drawing(LAYERS))
    assert len(found.strokes) + len(found.left) == len(shapes)


@pytest.mark.parametrize("word", ["Montain folds", "valleyy", "Guter"])
def test_a_misspelt_layer_is_told(word):
    with pytest.raises(DrawingError, match="is not a known word; try: "):
        account(drawing(f'<g inkscape:label="{word}"><path d="M0 0H9"/></g>'))


def test_the_command_tells_and_draws(call, tmp_path):
    (tmp_path / "card.svg").write_bytes(drawing(LAYERS))
    outcome = call("drawing", "card.svg", "-o", "card.png")
    assert outcome.code == 0
    assert "mountain     2" in outcome.out
    assert "layer 'Sketch', no word says what it is: path in line 6" in outcome.out
    assert "4 facets, 3 folds, glue A, B" in outcome.out
    pixels = np.asarray(Image.open(tmp_path / "card.png").convert("RGB"), int)
    blue = (pixels[..., 2] - pixels[..., 0] > 60).any(axis=0)
    red = (pixels[..., 0] - pixels[..., 2] > 110).any(axis=0)
    columns = np.arange(pixels.shape[1]) < 1400
    # The one valley lies left of both mountains, as it is drawn.
    assert np.flatnonzero(blue & columns).max() < np.flatnonzero(red & columns).min()


def test_a_drawing_without_sheets_is_told_and_exits_with_1(call, tmp_path):
    (tmp_path / "card.svg").write_bytes(drawing('<path class="valley" d="M0 0H9"/>'))
    outcome = call("drawing", "card.svg", "--json")
    assert outcome.code == 1
    told = json.loads(outcome.out)
    assert told["meanings"] == {"valley": 1}
    assert "no sheet" in told["refusal"]
    assert "card.svg: " in outcome.err.splitlines()[-1]
