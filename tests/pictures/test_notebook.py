"""Stills and films from Python, shown by a notebook."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from preview.errors import UseError
from preview.films import film
from preview.pictures import still
from tests.spreads import MEADOW


def test_a_still_is_shown_as_the_picture_it_saves(start, tmp_path):
    taken = still.take(start, 120, (48, 36), quality="draft")
    with Image.open(io.BytesIO(taken._repr_png_())) as shown:
        assert shown.size == (48, 36)
    assert taken.save(tmp_path / "a.png").is_file()
    with Image.open(tmp_path / "a.png") as saved:
        assert saved.tobytes() == Image.fromarray(taken.pixels).tobytes()


@pytest.mark.parametrize(("ending", "tag"), [("gif", "<img"), ("mp4", "<video")])
def test_a_film_is_made_from_a_file_and_played(tmp_path, ending, tag):
    (tmp_path / "meadow.toml").write_text(MEADOW)
    made = film.make(
        tmp_path / "meadow.toml", tmp_path / f"a.{ending}", (48, 36), 1, 8, quality="draft"
    )
    assert made._repr_html_().startswith(tag)
    assert made.path.stat().st_size > 500


def test_an_opening_that_is_not_reached_is_refused(tmp_path):
    # Closure by the spherical law of cosines: this V-fold jams below 72.61 degrees.
    text = MEADOW + (
        '[pieces.wedge]\nkind = "v-fold"\npage_angle = [50, 60]\npanel_angle = [40, 75]\n'
        'base = 30\nridge = 40\nat = 20\ntabs = "out"\n'
    )
    (tmp_path / "jams.toml").write_text(text)
    with pytest.raises(UseError, match="does not reach an opening of 40°"):
        still.take(tmp_path / "jams.toml", 40, (48, 36), quality="draft")
    with pytest.raises(UseError, match="does not reach an opening"):
        film.make(tmp_path / "jams.toml", tmp_path / "a.gif", (48, 36), 1, 8, quality="draft")
    assert not (tmp_path / "a.gif").exists()
