"""What the page is told, and how it is put together."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from meshes import check, spread
from meshes.building import order
from meshes.motion.result import MotionFinding
from meshes.sheet import Join, Placement
from preview.roles import plain
from preview.viewer import page
from preview.viewer.build_steps import building_steps
from preview.viewer.payload import (
    check_findings,
    facet_data,
    film_cameras,
    motion_findings,
    payload,
    quick_payload,
)

STAGES = np.radians(np.arange(181.0))

FAN = """
title = "Sixty facets"
[spread]
page = "A5"
[pieces.fan]
kind = "v-fold"
on = "gutter"
at = 15
page_angle = 45
panel_angle = 60
base = 12
repeat = { count = 15, add = { at = 9 } }
outline = { shape = "petal", length = 50, width = 40 }
"""


def scene_of(text: str) -> dict:
    return json.loads(re.search(r'id="scene">(.*?)</script>', text, re.DOTALL)[1])


def test_a_page_of_sixty_facets_stays_below_one_and_a_half_megabytes(tmp_path: Path) -> None:
    file = tmp_path / "fan.toml"
    file.write_text(FAN)
    read = spread.read(file)
    text = page.assemble(payload(read, read.solve(STAGES)))
    facets = [f for body in scene_of(text)["bodies"] for f in body["facets"]]
    assert len(facets) >= 60
    assert len(text.encode()) <= 1_500_000


def test_nothing_in_a_design_can_become_markup(tulip: spread.Spread) -> None:
    scene = payload(tulip, tulip.solve(STAGES))
    scene["title"] = "</script><script>alert(1)</script>{{script}}<!--\u2028"
    text = page.assemble(scene)
    assert "<script>alert" not in text
    assert text.count("<script") == 2
    assert scene_of(text)["title"] == scene["title"]


def test_the_policy_of_a_saved_page_allows_its_own_script_and_style_alone(page_file: Path) -> None:
    text = page_file.read_text()
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)[1]
    assert "connect-src 'none'" in policy
    assert "unsafe" not in policy
    for tag, found in (("script", r"<script>(.*?)</script>"), ("style", r"<style>(.*?)</style>")):
        digest = hashlib.sha256(re.search(found, text, re.DOTALL)[1].encode()).digest()
        assert f"{tag}-src 'sha256-{base64.b64encode(digest).decode()}'" in policy


def test_a_saved_page_names_no_address_to_fetch_from(page_file: Path) -> None:
    text = page_file.read_text()
    names = set(re.findall(r"https?://[\w./-]+", text))
    assert names <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xhtml"}
    assert not re.search(r"\b(src|href)=[\"']?(?!#)[^\"'>]", text.split("<script", 1)[0])


def test_the_building_order_is_that_of_the_guide(tulip: spread.Spread) -> None:
    steps = building_steps(tulip, tulip.solve(STAGES))
    told = order(tulip.sheets, tulip.joins, tulip.linkage, tulip.solve(STAGES))
    assert [(s["action"], s["piece"], tuple(s["sheets"])) for s in steps] == [
        (step.action, step.piece, step.sheets) for step in told
    ]
    assert steps[0]["title"] == "Make the tulip"
    assert set(steps[-1]["present"]) == {0, 1, 2}


def test_without_an_order_that_works_pieces_follow_what_they_stand_on(
    tulip: spread.Spread,
) -> None:
    motion = tulip.solve(STAGES)
    jam = MotionFinding("jam", np.radians(75.0), tulip.linkage.hinges[0].name, 1.2, "it stops")
    # Were the tulip glued on the meadow, the meadow would come first.
    onto = Join("tulip.left", "meadow.art", Placement())
    steps = building_steps(
        replace(tulip, joins=(*tulip.joins, onto)), replace(motion, findings=(jam,))
    )
    assert [step["piece"] for step in steps] == ["meadow", "tulip"]
    assert steps[0]["title"] == "Glue meadow on the right page"
    assert steps[1]["present"] == [0, 1, 2]


def test_findings_of_the_motion_are_listed_where_no_report_is_made(tulip: spread.Spread) -> None:
    motion = tulip.solve(STAGES)
    jam = MotionFinding("jam", np.radians(75.0), tulip.linkage.hinges[0].name, 1.2, "it stops")
    listed = motion_findings(tulip.linkage, replace(motion, findings=(jam,)))
    hinge = tulip.linkage.hinges[0]
    ends = [hinge.origins[0], hinge.origins[0] + hinge.length * hinge.frames[0][:, 0]]
    place = motion.rotations[75, hinge.bodies[0]] @ np.mean(ends, axis=0)
    assert listed[0]["place"] == pytest.approx(
        place + motion.translations[75, hinge.bodies[0]], abs=0.01
    )
    assert (listed[0]["opening_deg"], listed[0]["text"]) == (75.0, "it stops")


def test_findings_of_the_check_report_bring_their_place_and_advice() -> None:
    place = check.Place("line", 40.0, ((0.0, 0.0, 10.0), (0.0, 20.0, 10.0)))
    finding = check.Finding(
        "clash",
        "warning",
        "clash",
        "fern",
        ("fern.left", "page.left"),
        "meets",
        "move",
        place=place,
        cures=(check.Cure("pieces.fern.at", 96, 84),),
    )
    report = check.Report("t", (check.Answer("clash", True, findings=(finding,)),))
    assert check_findings(report) == [
        {
            "opening_deg": 40.0,
            "place": [0.0, 10.0, 10.0],
            "pieces": ["fern"],
            "severity": "warning",
            "sign": "!",
            "text": "meets – pieces.fern.at = 96 (now 84), or move",
            "said": "meets – move",
            "cures": [
                {
                    "path": ["pieces", "fern", "at"],
                    "value": 96,
                    "text": "pieces.fern.at = 96 (now 84)",
                }
            ],
        }
    ]


def test_film_cameras_are_those_of_the_designs_shots(design: Path) -> None:
    assert film_cameras(spread.read(design)) == []
    design.write_text(design.read_text() + '\n[shots.reveal]\nview = "low"\n')
    (camera,) = film_cameras(spread.read(design))
    assert camera["name"] == "reveal"
    assert camera["eye"][2] > 0
    assert camera["opening_deg"] == pytest.approx(180)


def test_the_page_goes_only_as_far_as_the_motion(tulip: spread.Spread) -> None:
    motion = tulip.solve(STAGES)
    solved = motion.solved.copy()
    solved[:40] = False
    (wedge,) = payload(tulip, replace(motion, solved=solved))["wedges"]
    openings = np.frombuffer(base64.b64decode(wedge["openings"]), "<f4")
    assert openings[[0, -1]] == pytest.approx([40, 180])


def test_lettering_is_carried_as_an_image_on_its_facet(design: Path) -> None:
    text = design.read_text() + '[[pieces.meadow.lettering]]\ntext = "May"\nsize = 12\n'
    design.write_text(text)
    read = spread.read(design)
    bodies = quick_payload(read, read.solve(STAGES))["bodies"]
    found = [(f["piece"], art) for body in bodies for f in body["facets"] for art in f["art"]]
    ((piece, art),) = found
    assert (piece, art["side"]) == ("meadow", 1)
    with Image.open(io.BytesIO(base64.b64decode(art["image"].split(",", 1)[1]))) as image:
        assert image.width / image.height == pytest.approx(art["size"][0] / art["size"][1], rel=0.1)
        assert image.getchannel("A").getextrema() == (0, 255)


def test_the_page_is_told_of_a_lamp_behind_paper_and_of_its_core(tmp_path):
    """Light through white paper has the colour of the lamp: #ff8000 is 1, 0.2159, 0 in linear
    light (IEC 61966-2-1).
    """
    text = (
        'title = "Lamp"\nunits = "mm"\n[papers.lit]\nfront = "#ffffff"\nback = "#ffffff"\n'
        'core = "#eeeeee"\n[pieces.window]\nkind = "flat"\non = "page.left"\npaper = "lit"\n'
        'glow = 0.5\nglow_colour = "#ff8000"\noutline = { shape = "ellipse", length = 20 }\n'
    )
    file = tmp_path / "lamp.toml"
    file.write_text(text, "utf-8")
    parts = [part for body in spread.read(file).linkage.bodies for part in body.parts]
    told = {part.id: facet_data(part, 0, 0.0) for part in parts}
    assert told["window.art"]["lit"] == pytest.approx([0.5, 0.108, 0.0], abs=1e-3)
    assert told["window.art"]["core"] == "#eeeeee"
    assert not {"lit", "core"} & set(told["page.left"])


def test_a_page_to_send_calls_things_as_the_guide_does_and_a_live_one_by_their_keys(tulip):
    """Once a buyer read ``meadow-left`` and ``left-base``."""
    scene = payload(tulip, tulip.solve(STAGES))
    texts = page.assemble(scene), page.assemble({**scene, "live": True, "secret": "s"})
    sent, live = map(scene_of, texts)
    assert [p["called"] for p in sent["pieces"]] == [plain(p["name"]) for p in scene["pieces"]]
    assert {"left base", "ridge"} <= {fold["called"] for fold in sent["folds"]}
    assert not any("called" in thing for key in ("pieces", "folds") for thing in live[key])
