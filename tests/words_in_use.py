"""Every word of the program that a user meets, gathered from where it is made, with its places."""

from __future__ import annotations

import argparse
import ast
import importlib
import json
import re
from collections.abc import Iterator, Mapping
from html.parser import HTMLParser
from pathlib import Path
from typing import Literal, get_args, get_origin

from pydantic import BaseModel

from meshes import designs, spread
from meshes.check import QUESTIONS, SIGNS, VERDICTS
from meshes.check.limits import Limits
from meshes.design.mistakes import models_in
from meshes.design.model import PAPERS, PaperSettings, SpreadSettings
from meshes.design.repeat import RepeatSettings
from meshes.design.shots import ShotSettings
from meshes.pieces import KINDS
from preview.catalog.shop import ShopSettings
from preview.cli import COMMANDS
from preview.viewer.errands.wishes import KINDS as FILES

ROOT = Path(__file__).parents[1]
MODELS = (
    SpreadSettings,
    PaperSettings,
    RepeatSettings,
    ShotSettings,
    Limits,
    ShopSettings,
    *KINDS.values(),
)
# In a page: what is set as text of a label, a heading, a button, or told to a screen reader.
_JS = (
    re.compile(r'\blabel: "([^"]+)"'),
    re.compile(r'element\("h[123]", \{[^}]*\}, "([^"]+)"\)'),
    re.compile(r'"aria-label": "([^"]+)"'),
    re.compile(r'\bbutton\("[\w-]+", "([^"]+)"'),
)
_HEADING = re.compile(r"<(?:h[23]|th)>([^<{]+)</")
# What a length, an angle or an area is given in, at the end of a key of JSON.
_UNIT = re.compile(r"_(?:mm2?|deg)$")


def words(commands: Mapping[str, tuple[str, str]] = COMMANDS) -> Iterator[tuple[str, str]]:
    """Pairs of a word and the place in which it is used."""
    for command, (module, _) in commands.items():
        yield command, "command"
        parser = argparse.ArgumentParser(prog=command)
        importlib.import_module(module).add_arguments(parser)
        yield from of_parser(parser)
    for model in _all_models(MODELS):
        yield from of_model(model)
    yield from ((paper, "value") for paper in PAPERS)
    for path in sorted((ROOT / "meshes" / "check").glob("*.py")):
        yield from ((kind, "finding") for kind in finding_kinds(path.read_text("utf-8")))
    yield from ((text, "label") for text in QUESTIONS.values())
    yield from ((severity, "label") for severity in SIGNS)
    yield from ((text.split(" ", 1)[1], "label") for text in VERDICTS.values())
    source = ROOT / "preview" / "viewer" / "source"
    yield from ((text, "label") for text in of_html((source / "page.html").read_text("utf-8")))
    for path in sorted(source.glob("*.js")):
        yield from ((text, "label") for text in of_script(path.read_text("utf-8")))
    yield from ((text, "label") for text in of_files())
    for path in (*(ROOT / "preview" / "guide").glob("*.py"), ROOT / "preview/report/page.py"):
        yield from ((text, "heading") for text in _HEADING.findall(path.read_text("utf-8")))
    plan = (ROOT / "preview" / "plan" / "paper.py").read_text("utf-8")
    yield from ((text, "heading") for text in _figure_names(plan))
    for path in sorted((ROOT / "preview" / "schemas").glob("*.json")):
        yield from ((key, "JSON") for key in of_schema(json.loads(path.read_text("utf-8"))))
    yield from ((word, "part") for word in part_words())


def of_files() -> Iterator[str]:
    """What can be made in the page, and what can be chosen for it."""
    for kind in FILES.values():
        yield kind.title
        yield from (choice.label for choice in kind.choices)
        for choice in kind.choices:
            if choice.key in ("quality", "shape"):
                yield from choice.options.values()


def of_parser(parser: argparse.ArgumentParser) -> Iterator[tuple[str, str]]:
    """Options and the values among which they choose."""
    for action in parser._actions:
        for option in action.option_strings:
            if option.startswith("--"):
                yield option.removeprefix("--"), "option"
        yield from ((str(choice), "value") for choice in action.choices or ())


def of_model(model: type[BaseModel]) -> Iterator[tuple[str, str]]:
    """Keys of a table of the design file, and the words that they may hold."""
    for name, field in model.model_fields.items():
        yield name, "key"
        yield from ((value, "value") for value in _literals(field.annotation))


def _literals(annotation: object) -> Iterator[str]:
    if get_origin(annotation) is Literal:
        yield from (value for value in get_args(annotation) if isinstance(value, str))
        return
    for inner in get_args(annotation):
        if not (isinstance(inner, type) and issubclass(inner, BaseModel)):
            yield from _literals(inner)


def _all_models(models: tuple[type[BaseModel], ...]) -> list[type[BaseModel]]:
    found: list[type[BaseModel]] = []
    waiting = list(models)
    while waiting:
        model = waiting.pop(0)
        if model not in found:
            found.append(model)
            waiting += [m for f in model.model_fields.values() for m in models_in(f.annotation)]
    return found


def finding_kinds(code: str) -> Iterator[str]:
    """The third argument of every ``Finding(question, severity, kind, …)``."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
            for part in ast.walk(node.args[2]) if len(node.args) > 2 else ():
                if isinstance(part, ast.Constant) and isinstance(part.value, str):
                    yield part.value
        if isinstance(node, ast.AnnAssign | ast.Assign) and "_KIND" in ast.unparse(node):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if ast.unparse(targets[0]) == "_KIND" and isinstance(node.value, ast.Dict):
                yield from (v.value for v in node.value.values if isinstance(v, ast.Constant))


def _figure_names(code: str) -> Iterator[str]:
    """The names that ``facts`` gives to the figures of a shot."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.FunctionDef) and node.name == "facts":
            for part in ast.walk(node):
                if isinstance(part, ast.Tuple) and isinstance(part.elts[0], ast.Constant):
                    yield str(part.elts[0].value)


def of_schema(schema: object) -> Iterator[str]:
    """Keys of a JSON output, without their units."""
    if isinstance(schema, dict):
        properties = schema.get("properties")
        if isinstance(properties, dict):
            yield from (_UNIT.sub("", key) for key in properties)
        for inner in schema.values():
            yield from of_schema(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from of_schema(inner)


def part_words() -> Iterator[str]:
    """The words that facets and folds of all kinds are named by; their numbers left out."""
    for name in designs.names():
        made = spread.read(designs.path(name))
        pieces = made.design.pieces
        for sheet in made.sheets:
            piece = pieces.get(sheet.piece)
            if piece is None or piece.kind == "drawn":
                continue
            layers = {layer.name for layer in getattr(piece, "layers", ())}
            names = [facet.name for facet in sheet.facets]
            names += [crossing.fold.name for crossing in sheet.crossings]
            for part in names:
                layer = part.partition("-")[0]
                part = part.removeprefix(f"{layer}-") if layer in layers else part
                yield from (word for word in part.split("-") if not word.isdigit())


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.silent += tag in ("style", "script", "title")
        self.found += [v for k, v in attrs if k in ("aria-label", "title", "placeholder") and v]

    def handle_endtag(self, tag: str) -> None:
        self.silent -= tag in ("style", "script", "title")

    def handle_data(self, data: str) -> None:
        if not self.silent and re.search(r"[A-Za-z]{2}", data):
            self.found.append(" ".join(data.split()))


def of_html(text: str) -> list[str]:
    """What a page shows and what it tells a screen reader."""
    page = _Page()
    page.feed(text)
    return [word for word in page.found if "{{" not in word and "__" not in word]


def of_script(text: str) -> Iterator[str]:
    """Labels, headings and buttons that a script makes."""
    for pattern in _JS:
        yield from pattern.findall(text)
