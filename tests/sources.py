"""Finds numbers that do not say where they come from.

A mark stands in a comment right above a constant, on its line, in the description of a field or in
the docstring of what it is written in. 0, 1 and 2 are no claims: they count, halve, or leave
something as it is.
"""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator

MARKS = ("source:", "common practice, no source", "from memory", "measured:", "our choice")
_MARK = re.compile("|".join(re.escape(mark) for mark in MARKS), re.IGNORECASE)
_NEUTRAL = (0, 1, 2)
# What these enclose is a type: which words or which range.
_TYPES = ("Literal", "Annotated")


def unmarked(text: str, *, every: bool = False) -> list[str]:
    """Lines with a number that has no mark, as ``12: NAME = 3``.

    Parameters
    ----------
    text : of a module.
    every : look at every number; else at constants of the module and defaults of fields.
    """
    tree, lines = ast.parse(text), text.splitlines()
    comments = _comments(text)
    found: list[ast.stmt] = []
    for body in _bodies(tree):
        found += [
            node
            for node in body
            if isinstance(node, ast.Assign | ast.AnnAssign)
            and _numbers(node, every=every)
            and not _marked(node, comments)
        ]
    if every:
        found += _in_functions(tree)
    return [f"{node.lineno}: {lines[node.lineno - 1].strip()}" for node in found]


def _comments(text: str) -> dict[int, str]:
    """Comments by line."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return {t.start[0]: t.string for t in tokens if t.type == tokenize.COMMENT}


def _bodies(tree: ast.Module) -> Iterator[list[ast.stmt]]:
    """What stands in the module, and in each class whose docstring does not tell of its numbers."""
    yield tree.body
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and not _says(ast.get_docstring(node)):
            yield node.body


def _in_functions(tree: ast.Module) -> list[ast.stmt]:
    return [
        statement
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and not _says(ast.get_docstring(node))
        for statement in node.body
        if _claims(statement)
    ]


def _marked(node: ast.stmt, comments: dict[int, str]) -> bool:
    above = node.lineno - 1
    while above in comments:
        above -= 1
    near = [comments.get(k, "") for k in range(above + 1, (node.end_lineno or 0) + 1)]
    # Comments are put together, so that a mark may run on into the next line.
    said = " ".join(comment.lstrip("# ") for comment in near if comment)
    strings = [n.value for n in ast.walk(node) if isinstance(n, ast.Constant)]
    return _says(said) or any(_says(value) for value in strings if isinstance(value, str))


def _says(text: str | None) -> bool:
    return text is not None and bool(_MARK.search(" ".join(text.split())))


def _numbers(node: ast.Assign | ast.AnnAssign, *, every: bool) -> bool:
    if node.value is None:
        return every and _claims(node)
    if every:
        return _claims(node)
    if isinstance(node.value, ast.Call) and getattr(node.value.func, "id", "") == "Field":
        keywords = [k.value for k in node.value.keywords if k.arg in ("default", "default_factory")]
        return any(_claims(part) for part in [*node.value.args, *keywords])
    return _claims(node.value)


def _claims(node: ast.AST) -> bool:
    """Whether there is a number in it that means something."""
    if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
        return False
    if isinstance(node, ast.Constant):
        number = isinstance(node.value, int | float) and not isinstance(node.value, bool)
        return number and node.value not in _NEUTRAL
    return any(_claims(child) for child in ast.iter_child_nodes(node))
