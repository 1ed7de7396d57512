"""Rules of the house: imports point one way, and public docstrings say what numbers mean."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = ("meshes", "preview")
MODULES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for package in PACKAGES
    for path in sorted((ROOT / package).rglob("*.py"))
}


@cache
def tree_of(name):
    return ast.parse(MODULES[name].read_text(encoding="utf-8"))


def is_type_checking(node):
    return isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)


def imports_on_load(name):
    """Modules of the house that `name` imports when it is loaded, not inside its functions."""
    is_package = MODULES[name].name == "__init__.py"
    base = name.split(".") if is_package else name.split(".")[:-1]
    found = set()

    def visit(nodes):
        for node in nodes:
            if isinstance(node, ast.Import):
                found.update(alias.name for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                above = base[: len(base) - node.level + 1] if node.level else []
                source = ".".join([*above, *([node.module] if node.module else [])])
                targets = {f"{source}.{alias.name}" for alias in node.names} & MODULES.keys()
                found.update(targets or {source})
            elif not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and not (
                is_type_checking(node)
            ):
                visit(ast.iter_child_nodes(node))

    visit(tree_of(name).body)
    return (found & MODULES.keys()) - {name}


def all_imports(name):
    """Every dotted name that a module imports anywhere."""
    for node in ast.walk(tree_of(name)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level:
            yield str(node.module)


def cycles(graph):
    """Closed chains of imports, found by walking down from every module."""
    done, chains = set(), []

    def walk(name, trail):
        if name in trail:
            chains.append(" -> ".join([*trail[trail.index(name) :], name]))
        elif name not in done:
            for other in sorted(graph[name]):
                walk(other, [*trail, name])
            done.add(name)

    for name in graph:
        walk(name, [])
    return chains


def test_the_geometry_never_imports_the_pictures():
    wrong = [
        f"{name} imports {used}"
        for name in MODULES
        if name.startswith("meshes")
        for used in all_imports(name)
        if used.split(".")[0] == "preview"
    ]
    assert wrong == []


def test_no_module_imports_itself_in_a_circle():
    assert cycles({name: imports_on_load(name) for name in MODULES}) == []


def test_the_search_for_circles_finds_one():
    assert cycles({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b -> c -> b"]


HEAVY = {
    "trimesh",
    "manifold3d",
    "scipy",
    "pydantic",
    "PIL",
    "imageio",
    "pyrender",
    "rich",
    "embreex",
}


def test_the_start_of_the_command_line_loads_nothing_heavy():
    """So that ``--help`` answers at once; each command loads what it needs."""
    loaded, queue = set(), ["preview.cli"]
    outside = set()
    while queue:
        name = queue.pop()
        loaded.add(name)
        for node in ast.walk(ast.Module(tree_of(name).body, [])):
            if isinstance(node, ast.Import) and node in tree_of(name).body:
                outside.update(alias.name for alias in node.names)
        queue.extend(imports_on_load(name) - loaded)
        outside.update(
            n.module or ""
            for n in tree_of(name).body
            if isinstance(n, ast.ImportFrom) and not n.level
        )
    assert not {name.split(".")[0] for name in outside} & (HEAVY | {"numpy"})


def public_functions(name):
    """Functions and methods whose names, and the names around them, have no leading underscore."""

    def visit(body, prefix):
        for node in body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                yield from visit(node.body, f"{prefix}{node.name}.")
            elif isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield f"{prefix}{node.name}", node

    yield from visit(tree_of(name).body, f"{name}.")


LENGTHS_AND_ANGLES = re.compile(
    r"^(opening|openings|angle|angles|azimuth|elevation|width|height|thickness|radius|caliper)$"
)
UNIT = re.compile(
    r"\b(mm|radians?|degrees?|rad|pixels?|points?|shares?|(?:milli)?metres?|dots|seconds?|px|ratio|pt|inch)\b|°"
)


def wants_unit(node):
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    return any(LENGTHS_AND_ANGLES.match(argument.arg) for argument in arguments)


@pytest.mark.parametrize("name", MODULES)
def test_public_docstrings_say_the_unit_of_lengths_and_angles(name):
    """In the function's own docstring, its class's, or its module's."""
    module = tree_of(name)
    around = ast.get_docstring(module) or ""
    classes = {
        n.name: ast.get_docstring(n) or "" for n in module.body if isinstance(n, ast.ClassDef)
    }
    missing = []
    for path, node in public_functions(name):
        owner = path.removeprefix(f"{name}.").split(".")[0]
        said = " ".join([ast.get_docstring(node) or "", classes.get(owner, ""), around])
        if wants_unit(node) and not UNIT.search(said):
            missing.append(path)
    assert missing == []


def documented_words():
    """What the published files say, without the licences of others."""
    for pattern in ("*.md", ".ci/*", "meshes/**/*", "preview/**/*", "tests/**/*"):
        for path in sorted(ROOT.glob(pattern)):
            text = path.suffix in {".py", ".md", ".toml", ".js", ".html", ".css"}
            installed = "node_modules" in path.parts
            if path.is_file() and text and not installed and path != Path(__file__):
                yield path, path.read_text(encoding="utf-8")


def test_no_file_names_a_folder_of_somebodys_machine():
    pattern = re.compile(r"(?<![\w.])/(?:home|Users|root|work)/\w+")
    found = [
        f"{path.relative_to(ROOT)}: {match.group()}"
        for path, text in documented_words()
        for match in pattern.finditer(text)
    ]
    assert found == []


@pytest.mark.parametrize("name", MODULES)
def test_a_module_has_room_for_one_thing(name):
    """Above 500 lines two things probably live in one room, above 600 they do."""
    assert len(MODULES[name].read_text(encoding="utf-8").splitlines()) <= 600


def test_a_class_name_means_one_thing():
    """A name that two modules give to their own classes means two things to who reads on."""
    owners = {}
    for name in MODULES:
        for node in tree_of(name).body:
            if isinstance(node, ast.ClassDef):
                owners.setdefault(node.name, []).append(name)
    assert {name: found for name, found in owners.items() if len(found) > 1} == {}


@pytest.mark.parametrize("name", MODULES)
def test_functions_fit_on_a_screen(name):
    """At most 50 lines of code, docstrings, comments and blank lines not counted."""
    source = MODULES[name].read_text(encoding="utf-8").splitlines()
    long = []
    for node in ast.walk(tree_of(name)):
        if isinstance(node, ast.FunctionDef):
            doc = node.body[0] if ast.get_docstring(node) else None
            skip = range(doc.lineno, (doc.end_lineno or 0) + 1) if doc else range(0)
            code = [
                k
                for k in range(node.lineno, (node.end_lineno or 0) + 1)
                if k not in skip and source[k - 1].strip() and source[k - 1].strip()[0] != "#"
            ]
            if len(code) > 50:
                long.append(f"{name}.{node.name}: {len(code)}")
    assert long == []


def committed():
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return listed.stdout.splitlines()


def test_the_source_package_holds_every_test_and_what_the_script_is_made_from():
    """hatchling takes what stands below a path of `include` and is not ignored by git."""
    build = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]
    include = build["build"]["targets"]["sdist"]["include"]
    paths = [path.removeprefix("/") for path in include]
    assert all((ROOT / path).exists() for path in paths)
    left = [
        file
        for file in committed()
        if file.startswith(("meshes/", "preview/", "tests/"))
        and not any(file == path or file.startswith(f"{path}/") for path in paths)
    ]
    assert left == []
    assert "exclude" not in build["build"]["targets"]["sdist"]


def test_the_wheel_holds_the_bundle_and_not_what_it_is_made_from():
    targets = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]
    wheel = targets["build"]["targets"]["wheel"]
    assert wheel["packages"] == ["meshes", "preview"]

    def shipped(file):
        return not any(fnmatchcase(file, pattern) for pattern in wheel["exclude"])

    inside = [file for file in committed() if file.startswith("preview/viewer/")]
    kinds = {Path(file).suffix for file in inside if shipped(file)}
    scripts = [file for file in inside if file.endswith((".js", ".mjs", ".json")) and shipped(file)]
    if inside:  # git knows
        names = ("drawer.json", "live.js", "saved.js")
        assert scripts == [f"preview/viewer/bundle/{one}" for one in names]
        assert {".py", ".html", ".css", ".txt"} <= kinds


def test_the_top_level_holds_what_the_card_names():
    """Only what is committed counts: films and build folders may lie about."""
    top = {line.partition("/")[0] for line in committed() if not line.startswith(".")}
    files = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"}
    assert top <= files | {"preview", "meshes", "tests", "renders"}


def test_no_text_names_a_folder_of_one_computer():
    """Paths in texts are the project's own; whose home or scratch folder it was concerns nobody."""
    own = re.compile("|".join(("/" + "tmp/", "/" + "home/[a-z]", "/" + "Users/[a-zA-Z]")))
    kinds = {".py", ".md", ".toml", ".js", ".mjs", ".css", ".html", ".json", ".svg"}
    texts = [ROOT / file for file in committed() if Path(file).suffix in kinds]
    found = [
        f"{path.relative_to(ROOT)}: {line.strip()[:80]}"
        for path in texts
        if "bundle" not in path.parts and path.exists()
        for line in path.read_text(encoding="utf-8").splitlines()
        if own.search(line)
    ]
    assert found == []
