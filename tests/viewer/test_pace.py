"""On a device that draws slowly the page shows first what is new, coarsely, and all of it later.

How slow the device is says the test: it answers for the fences that tell when a picture is through.
"""

from __future__ import annotations

import base64
import io
import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from meshes import designs, spread
from meshes.motion.memory import Memory
from preview.viewer.follow import moving
from preview.viewer.page import save
from preview.viewer.payload import quick_payload
from tests.pull.kinds import HEAD, KINDS
from tests.required import NODE_MODULES, need

from .test_tugging import PIXELS, tip
from .tugging import Fingers, choose, one_of_each, pulled, served

SOURCES = NODE_MODULES.parent / "source"
WIDTH, HEIGHT = 320, 240
# Longer than a coarse picture may take, ms.
SLOW = 60
DEVICE = """(delay) => {
  const device = WebGL2RenderingContext.prototype;
  const asked = new WeakMap();
  const { fenceSync } = device;
  window.delay = delay;
  device.fenceSync = function (...what) {
    const sync = fenceSync.apply(this, what);
    asked.set(sync, performance.now());
    return sync;
  };
  device.getSyncParameter = function (sync) {
    return performance.now() - asked.get(sync) >= window.delay ? this.SIGNALED : this.UNSIGNALED;
  };
}"""
# The sizes of the canvas until the picture of another opening is sharp, and what is drawn for it.
SIZES = """async (opening) => {
  const canvas = document.getElementById("picture");
  const sharp = async () => {
    do await new Promise(requestAnimationFrame);
    while (canvas.width < innerWidth);
  };
  await sharp();
  const sizes = [];
  const watch = new MutationObserver(() => sizes.push(canvas.width));
  watch.observe(canvas, { attributes: true, attributeFilter: ["width"] });
  const before = foldstage.drawn();
  foldstage.open(opening);
  await foldstage.seenNow();
  await sharp();
  const after = foldstage.drawn();
  watch.disconnect();
  const change = Object.keys(after).map((key) => [key, after[key] - before[key]]);
  return { sizes: [...new Set(sizes)], ...Object.fromEntries(change) };
}"""


@pytest.fixture
def device(open_page: Any) -> Any:
    """Opens a page on a device of a given slowness; it must be a new one each time."""

    def begin(address: str, delay: float, width: int = WIDTH, height: int = HEIGHT) -> Any:
        page = open_page(address, width=width, height=height)
        page.evaluate(DEVICE, delay)
        return page

    return begin


def move_until(page: Any, condition: str) -> None:
    page.evaluate("foldstage.play()")
    page.wait_for_function(f"() => {condition}")
    page.evaluate("foldstage.pause()")


@pytest.mark.night
def test_what_moves_is_coarse_where_that_takes_long_and_what_rests_never(device: Any) -> None:
    page = device("#opening=120", SLOW)
    move_until(page, "foldstage.fineness === 0.25")
    slow = page.evaluate(SIZES, 100)
    # One coarse picture, then a sharp one of the same, and passes in the full size.
    assert slow["sizes"] == [WIDTH // 4, WIDTH]
    assert slow["live"] == 2
    pixels = WIDTH * HEIGHT
    assert slow["pixels"] == pixels // 16 + pixels + slow["pass"] * pixels
    # Shadow maps likewise: those of the coarse picture have 64 times fewer pixels.
    shades = 2048**2 + 1024**2
    assert slow["shades"] == shades // 64 + (1 + slow["pass"]) * shades


# How many pixels are drawn before each of so many fences, from a change of the opening on; and the
# picture after the last of them, as a data URL.
PIECES = """async ([opening, count]) => {
  const canvas = document.getElementById("picture");
  const device = WebGL2RenderingContext.prototype;
  const { fenceSync } = device;
  const at = [foldstage.drawn().pixels];
  device.fenceSync = function (...what) {
    at.push(foldstage.drawn().pixels);
    return fenceSync.apply(this, what);
  };
  foldstage.open(opening);
  do await new Promise(requestAnimationFrame);
  while (at.length <= count);
  device.fenceSync = fenceSync;
  const steps = at.slice(1).map((pixels, k) => pixels - at[k]);
  return { picture: [canvas.toDataURL(), steps.length], steps };
}"""
# The next picture, as a data URL, and the draws that it took.
NEXT = """(opening) => {
  const { draws } = foldstage.drawn();
  const canvas = document.getElementById("picture");
  foldstage.open(opening);
  const seen = new Promise(requestAnimationFrame);
  return seen.then(() => [canvas.toDataURL(), foldstage.drawn().draws - draws]);
}"""


@pytest.mark.night
@pytest.mark.parametrize("opening", [60, 140])
def test_a_coarse_picture_shows_what_the_fine_one_does(
    device: Any, tmp_path: Path, opening: int
) -> None:
    """Each of its pixels has a colour that the fine picture has there, or lies between some.

    Source: sampling at a point, which takes its value from the surface seen there; half a coarse
    pixel is allowed for outlines that are drawn more simply, and 4 % of the light for the shadows.
    """
    file = tmp_path / "page.html"
    made = spread.read(designs.path("spring-nest"))
    save(file, quick_payload(made, moving(made, Memory())))
    page = device(f"{file.as_uri()}#opening=120", SLOW, 640, 480)
    move_until(page, "foldstage.fineness === 0.25")
    coarse, few = shown(page.evaluate(NEXT, opening))
    # A draft is drawn in one pass too, sheet by sheet.
    page = device(f"{file.as_uri()}#opening=120&draft", 0, 640, 480)
    fine, many = shown(page.evaluate(NEXT, opening))
    assert coarse.shape == (120, 160, 3)
    assert unlike(coarse, fine) < 0.004
    # However many sheets there are, they are one mesh; only what is printed on them is not.
    facets = sum(len(body.parts) for body in made.linkage.bodies)
    assert few < 60 < facets < many


def unlike(coarse: np.ndarray, fine: np.ndarray) -> float:
    """The share of a coarse picture's pixels whose colours a fine one does not have there."""
    assert fine.shape == (4 * coarse.shape[0], 4 * coarse.shape[1], 3)
    near = [ndimage.rank_filter(fine, rank, size=(9, 9, 1))[2::4, 2::4] for rank in (0, -1)]
    off = np.maximum(near[0] - coarse, coarse - near[1]).max(axis=2)
    return float((off > 0.04 * 255).mean())


@pytest.mark.night
def test_where_it_takes_long_what_rests_is_drawn_in_bands(device: Any) -> None:
    page = device("#opening=120", SLOW, 640, 480)
    move_until(page, "foldstage.fineness === 0.25")
    found = page.evaluate(PIECES, [100, 7])
    # A coarse picture, a sharp one in three bands, and a pass likewise.
    assert found["steps"] == [120 * 160] + [640 * 160] * 6
    banded, _ = shown(found["picture"])
    page = device("#opening=120&draft", 0, 640, 480)
    whole, _ = shown(page.evaluate(NEXT, 100))
    # Passes have begun to make shadows softer; otherwise it is the same picture.
    assert np.percentile(np.abs(banded - whole), 90) < 4


def shown(answer: tuple[str, int]) -> tuple[np.ndarray, int]:
    """The colours of a picture, shape (height, width, 3), and its draws."""
    data = base64.b64decode(answer[0].split(",")[1])
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(float), answer[1]


# A picture takes as long as its pixels, and something beside them; from / to are such devices, ms.
DEVICES = """
import {{ Fineness }} from "{module}";
const own = new Fineness();
const took = ({{ beside, whole }}) => beside + whole * own.share ** 2;
const found = [];
for (const device of {devices}) {{
  const shares = [];
  for (let k = 0; k < 40; k++) {{
    shares.push(own.share);
    own.learn({{ live: true, share: own.share }}, took(device));
  }}
  found.push({{ shares, last: took(device) }});
}}
console.log(JSON.stringify(found));
"""


def test_a_picture_is_as_fine_as_a_device_draws_in_time() -> None:
    """Of devices of all speeds one after the other: what comes to rest is judged by its time."""
    need(shutil.which("node"), "the program node")
    random = np.random.default_rng(5)
    times = np.exp(random.uniform(np.log(1), np.log(700), 60))
    devices = [{"beside": 0.1 * float(ms), "whole": 0.9 * float(ms)} for ms in times]
    devices = [one if one["beside"] < 25 else {**one, "beside": 25} for one in devices]
    script = DEVICES.format(module=SOURCES / "fineness.js", devices=json.dumps(devices))
    words = ["node", "--no-warnings", "--input-type=module", "-e", script]
    run = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60)
    for device, found in zip(devices, json.loads(run.stdout), strict=True):
        shares = found["shares"]
        assert len(set(shares[-10:])) == 1, "it comes to rest"
        assert found["last"] <= 50 or shares[-1] == 0.25
        if device["beside"] + device["whole"] <= 33:
            assert shares[-1] == 1, "whoever has the time is not asked for less"
    # A graphics card, which takes a few ms, notices nothing of it.
    quick = [one for one in devices if one["whole"] < 20]
    assert len(quick) > 10


@pytest.mark.night
def test_each_answer_to_a_hand_is_one_coarse_picture_and_no_pass(
    device: Any, tmp_path: Path
) -> None:
    file = tmp_path / "leaf.toml"
    file.write_text(HEAD + KINDS["v-fold"])
    with served(file) as server:
        page = device(f"{server.address}#opening=110", SLOW, 860, 640)
        move_until(page, "foldstage.fineness === 0.25")
        page.evaluate("foldstage.open(110)")
        page.click("#shape")
        fingers, hold = Fingers(page), tip(file)
        pull = one_of_each(hold)["place"]
        _, end = pulled(page, fingers, hold, pull, PIXELS)
        choose(page, pull)
        page.evaluate("foldstage.seenNow()")
        before, shown = page.evaluate("[foldstage.drawn(), foldstage.pulled()]")
        for k in range(1, 9):
            fingers.move(end + k % 2)
            page.wait_for_function(f"(shown) => foldstage.pulled() >= shown + {k}", arg=shown)
        after, now = page.evaluate("[foldstage.drawn(), foldstage.pulled()]")
        assert after["live"] - before["live"] == now - shown
        assert after["pass"] == before["pass"]
        assert after["pixels"] - before["pixels"] == (now - shown) * 215 * 160
        page.keyboard.press("Escape")
        fingers.release()
