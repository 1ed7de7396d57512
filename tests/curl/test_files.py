"""Curled paper in files: glTF that others play, and the marks of pattern and guide."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import numpy as np
import pytest

from meshes.curl import bent
from meshes.gltf import write_glb
from meshes.spread import Spread
from preview.guide.words import told
from preview.pattern.glue import glue_areas
from preview.pattern.template import templates
from tests.curl.designs import WAVE, written
from tests.outside.test_gltf_format import validated
from tests.outside.test_gltf_played import PLAYER


@pytest.fixture(scope="module")
def spread(tmp_path_factory: pytest.TempPathFactory) -> Spread:
    return written(WAVE, tmp_path_factory.mktemp("files"))


def test_three_js_plays_the_curl_as_it_is_and_the_validator_is_content(
    spread: Spread, tmp_path: Path
) -> None:
    path = tmp_path / "wave.glb"
    write_glb(path, spread, spread.solve(np.radians(np.arange(0.0, 181.0))))
    issues = validated(path)
    assert (issues["numErrors"], issues["numWarnings"], issues["messages"]) == (0, 0, [])
    openings = (0.0, 31.4, 90.0, 180.0)
    seconds = [str(opening / 180 * 4) for opening in openings]
    run = subprocess.run(
        ["node", str(PLAYER), str(path), *seconds],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    poses = json.loads(run.stdout)["opening"]
    paper, _ = spread.curling
    for opening, pose in zip(openings, poses, strict=True):
        played = [
            corner
            for name, node in pose.items()
            if name.startswith("leaf.art curl") or name.startswith("leafart_curl")
            for corner in node["corners"]
        ]
        assert len(played) > 20
        x, y, z = 1000 * np.array(played).T
        places = np.column_stack([x, -z, y])
        # Each lies half a caliper from the middle of some strip, whose planes are known.
        seen = bent(spread, spread.solve(np.radians([opening])))
        first = len(paper.linkage.bodies) - len(paper.parents)
        off = []
        for k, body in enumerate(seen.linkage.bodies):
            if k >= first and body.parts[0].sheet.piece == "leaf":
                local = (places - seen.motion.translations[0, k]) @ seen.motion.rotations[0, k]
                low, _, high, _ = body.parts[0].polygon.bounds
                assert low < high
                height = np.abs(local[:, 2] - body.parts[0].height)
                beyond = paper.beyond(k - first, local)
                within = (beyond > -0.05) & (beyond < paper.width[k - first] + 0.05)
                off.append(
                    np.where(within, np.abs(height - body.parts[0].sheet.paper.caliper / 2), 9)
                )
        assert np.min(off, axis=0).max() < 0.05, opening


def test_glue_ends_where_the_roll_begins(spread: Spread) -> None:
    areas = [a for a in glue_areas(spread.sheets, spread.joins) if a.facet == "leaf.art"]
    (area,) = areas
    assert area.polygon.bounds[3] == pytest.approx(2.0)  # the line is at y = 2


def test_the_pattern_marks_where_and_how_it_is_rolled(spread: Spread, call, tmp_path: Path) -> None:
    marks = {
        (template.sheet.piece, mark.facet, mark.over, mark.words[0])
        for template in templates(spread.sheets, spread.joins)
        for mark in template.rolls
    }
    assert marks == {
        ("wave", "right", 9.0, "roll over 9 mm, printed side in"),
        ("wave", "left", 14.0, "roll over 14 mm, printed side in"),
        ("leaf", "art", 20.0, "roll over 20 mm, printed side in"),
    }
    design = tmp_path / "design.toml"
    design.write_text(WAVE, encoding="utf-8")
    # Each format is read back and held against the sheets before it is written.
    for kind, out in (("pdf", "wave.pdf"), ("svg", "svg"), ("machine", "machine")):
        assert call("pattern", design, "--format", kind, "-o", tmp_path / out).code == 0


def test_the_guide_says_how(spread: Spread) -> None:
    from meshes.building import order

    steps = order(
        spread.sheets,
        spread.joins,
        spread.linkage,
        spread.solve(np.radians(np.arange(0, 181, 5.0))),
    )
    said = " ".join(" ".join(words.sentences) for words in told(steps, spread.sheets, spread.joins))
    assert "Roll the right half, from the line with two dots on, over something 9 mm thick" in said
    assert "towards the printed side; it springs back a little." in said
    assert "Glue only as far as the line; what is rolled stays free." in said


def test_what_shows_it_flat_says_so(call, tmp_path: Path) -> None:
    design = tmp_path / "design.toml"
    design.write_text(WAVE, encoding="utf-8")
    made = call("pattern", design, "--format", "draft", "-o", tmp_path / "drafts.pdf")
    assert made.code == 0
    assert "drafting sheets do not mark where paper is rolled (wave, leaf)" in made.err
