"""Firefox itself, on a screen that nobody sees: a page with the few words of Playwright that tests
of the hand use. It speaks WebDriver BiDi (W3C, Editor's Draft), which Firefox has built in.

Playwright drives a Firefox of its own build; this is the one that people have.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from tests.required import need

_PREFERENCES = {
    "app.update.enabled": False,
    "browser.shell.checkDefaultBrowser": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "dom.w3c_touch_events.enabled": 1,
    "gfx.webrender.software": True,
    "webgl.force-enabled": True,
}
# Keys that are no letters, as WebDriver names them (section "Keyboard actions").
_KEYS = {
    "ArrowRight": "\ue014",
    "Enter": "\ue007",
    "Escape": "\ue00c",
    "Home": "\ue011",
    "PageUp": "\ue00e",
    "Tab": "\ue004",
}
PATIENCE_S = 120.0


class Firefox:
    """One window of Firefox, as a page.

    Parameters
    ----------
    line : a connection to the browser.
    folder : for files that are chosen.
    """

    def __init__(self, line: Any, folder: Path) -> None:
        self._line, self._asked, self.folder = line, 0, folder
        # No window of the system opens where a file is to be chosen; older ones open none without
        # a screen, and know no such wish.
        prompts = {"unhandledPromptBehavior": {"file": "dismiss"}}
        if self.said("session.new", capabilities={"alwaysMatch": prompts})["type"] != "success":
            self.ask("session.new", capabilities={})
        self._context = self.ask("browsingContext.getTree")["contexts"][0]["context"]
        self.mouse, self.keyboard, self.context = Mouse(self), Keyboard(self), self

    def ask(self, method: str, **params: Any) -> Any:
        """A command, and its result; AssertionError if it is refused."""
        answer = self.said(method, **params)
        assert answer["type"] == "success", answer
        return answer["result"]

    def said(self, method: str, **params: Any) -> Any:
        """A command, and the whole answer to it."""
        self._asked += 1
        self._line.send(json.dumps({"id": self._asked, "method": method, "params": params}))
        while True:
            answer = json.loads(self._line.recv(timeout=PATIENCE_S))
            if answer.get("id") == self._asked:
                return answer

    def goto(self, address: str, width: int = 860, height: int = 640) -> None:
        size = {"width": width, "height": height}
        self.ask("browsingContext.setViewport", context=self._context, viewport=size)
        where = {"context": self._context, "url": "about:blank", "wait": "complete"}
        self.ask("browsingContext.navigate", **where)
        self.ask("browsingContext.navigate", **{**where, "url": address})
        self.wait_for_function(f"innerWidth === {width} && innerHeight === {height}")

    def evaluate(self, code: str, argument: Any = None) -> Any:
        """What an expression gives, or a function that is written as an arrow."""
        calls = re.match(r"\s*(\([^()]*\)|\w+)\s*=>", code)
        given = json.dumps(argument)
        inner = f"({code})({given})" if calls else f"({code})"
        answer = self.ask(
            "script.evaluate",
            expression=f"Promise.resolve({inner}).then((it) => JSON.stringify(it ?? null))",
            target={"context": self._context},
            awaitPromise=True,
        )
        assert answer["type"] == "success", answer
        return json.loads(answer["result"]["value"])

    def wait_for_function(self, code: str, *, arg: Any = None, timeout: float = 0) -> None:
        end = time.monotonic() + PATIENCE_S
        while not self.evaluate(code, arg):
            assert time.monotonic() < end, code
            time.sleep(0.02)

    def wait_for_timeout(self, milliseconds: float) -> None:
        time.sleep(milliseconds / 1000)

    def wait_for_selector(self, selector: str, *, timeout: float = 0) -> None:
        self.wait_for_function(f"Boolean({_seen(selector)})")

    def is_hidden(self, selector: str) -> bool:
        return not self.evaluate(f"Boolean({_seen(selector)})")

    def click(self, selector: str) -> None:
        """Click at the middle of an element, as a mouse does."""
        self.wait_for_selector(selector)
        x, y = self.evaluate(
            f"(() => {{ const box = {_seen(selector)}.getBoundingClientRect(); "
            "return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        self.mouse.move(x, y)
        self.mouse.down()
        self.mouse.up()

    @contextmanager
    def expect_file_chooser(self) -> Iterator[Any]:
        """What is done within asks for a file; the one that is set afterwards is chosen."""
        yield SimpleNamespace(value=Chooser(self))

    def set_files(self, selector: str, paths: list[str]) -> None:
        """Choose files for an input."""
        answer = self.ask(
            "script.evaluate",
            expression=f"document.querySelector({json.dumps(selector)})",
            target={"context": self._context},
            awaitPromise=False,
        )
        element = {"sharedId": answer["result"]["sharedId"]}
        self.ask("input.setFiles", context=self._context, element=element, files=paths)

    def act(self, source: str, actions: list[dict[str, Any]], **kind: Any) -> None:
        sources = [{"id": source, "actions": actions, **kind}]
        self.ask("input.performActions", context=self._context, actions=sources)

    def new_cdp_session(self, page: Firefox) -> Finger:
        """In place of a line of Chromium's own: only touches are understood."""
        return Finger(page)


class Chooser:
    """Chooses a picture where the page asks for one."""

    def __init__(self, page: Firefox) -> None:
        self._page = page

    def set_files(self, file: dict[str, Any]) -> None:
        path = self._page.folder / file["name"]
        path.write_bytes(file["buffer"])
        self._page.set_files("#picture-file", [str(path)])


class Mouse:
    def __init__(self, page: Firefox) -> None:
        self._page = page

    def _act(self, **action: Any) -> None:
        self._page.act("mouse", [action], type="pointer")

    def move(self, x: float, y: float) -> None:
        self._act(type="pointerMove", x=round(x), y=round(y))

    def down(self) -> None:
        self._act(type="pointerDown", button=0)

    def up(self) -> None:
        self._act(type="pointerUp", button=0)

    def dblclick(self, x: float, y: float) -> None:
        """Two clicks, as quick as one another."""
        self.move(x, y)
        presses = [{"type": kind, "button": 0} for kind in ("pointerDown", "pointerUp")]
        self._page.act("mouse", presses + presses, type="pointer")


class Keyboard:
    def __init__(self, page: Firefox) -> None:
        self._page = page

    def press(self, keys: str) -> None:
        names = [_KEYS.get(key, key) for key in keys.split("+")]
        actions = [{"type": "keyDown", "value": name} for name in names]
        actions += [{"type": "keyUp", "value": name} for name in reversed(names)]
        self._page.act("keys", actions, type="key")

    def type(self, words: str) -> None:
        for letter in words:
            self.press(letter)


class Finger:
    def __init__(self, page: Firefox) -> None:
        self._page = page

    def send(self, method: str, params: dict[str, Any]) -> None:
        assert method == "Input.dispatchTouchEvent"
        moves = [
            {"type": "pointerMove", "x": round(point["x"]), "y": round(point["y"])}
            for point in params["touchPoints"]
        ]
        ends = {"touchStart": "pointerDown", "touchEnd": "pointerUp"}
        if params["type"] in ends:
            moves.append({"type": ends[params["type"]], "button": 0})
        self._page.act("finger", moves, type="pointer", parameters={"pointerType": "touch"})


def _seen(selector: str) -> str:
    """The first element of a selector that is seen, as code; ``A >> text=T`` has that text."""
    plain, _, text = selector.partition(" >> text=")
    plain = plain.removesuffix(":visible")
    inner = f"{plain} *, {plain}" if text else plain
    return (
        f"[...document.querySelectorAll({json.dumps(inner)})].reverse().find((it) => "
        f"it.checkVisibility() && (!{json.dumps(text)} || it.textContent.trim() === "
        f"{json.dumps(text)}))"
    )


@contextmanager
def firefox(folder: Path) -> Iterator[Firefox]:
    """A window of Firefox.

    Parameters
    ----------
    folder : for what the browser keeps.
    """
    binary = shutil.which("firefox-esr") or shutil.which("firefox")
    need(binary, "the program firefox")
    need(shutil.which("Xvfb"), "the program Xvfb")
    try:
        from websockets.sync.client import connect
    except ImportError:
        need(None, "the Python package websockets")
    lines = [
        f"user_pref({json.dumps(name)}, {json.dumps(value)});"
        for name, value in _PREFERENCES.items()
    ]
    (folder / "user.js").write_text("\n".join(lines))
    with _screen() as screen:
        words = [str(binary), "--no-remote", "--remote-debugging-port", "0"]
        process = subprocess.Popen(
            [*words, "--profile", str(folder)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            env={
                **os.environ,
                "HOME": str(folder),
                "DISPLAY": screen,
                "LIBGL_ALWAYS_SOFTWARE": "1",
            },
        )
        try:
            assert process.stderr is not None
            said = (re.search(r"listening on (ws://\S+)", line) for line in process.stderr)
            address = next(found[1] for found in said if found)
            with connect(f"{address}/session", max_size=None, ping_interval=None) as line:
                yield Firefox(line, folder)
        finally:
            process.kill()
            process.communicate()


@contextmanager
def _screen() -> Iterator[str]:
    """A screen that nobody sees; its name."""
    heard, said = os.pipe()
    words = ["Xvfb", "-displayfd", str(said), "-screen", "0", "1600x1200x24", "-nolisten", "tcp"]
    process = subprocess.Popen(words, pass_fds=[said], stderr=subprocess.DEVNULL)
    os.close(said)
    try:
        with os.fdopen(heard) as line:
            yield f":{line.readline().strip()}"
    finally:
        process.kill()
        process.wait()
