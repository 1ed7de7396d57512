"""Small faults that a person could make, one at a time, in the syntax tree of a module.

The kinds are those of mutation testing as DeMillo, Lipton and Sayward described it ("Hints on Test
Data Selection", Computer 11(4), 1978), and of Offutt et al., "An Experimental Determination of
Sufficient Mutant Operators" (ACM TOSEM 5(2), 1996), both from memory: relations, arithmetic, logic,
constants, statements. Nothing is changed that cannot matter: docstrings, annotations, the texts of
errors.
"""

from __future__ import annotations

import ast
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

_BOUNDARY = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
_OPPOSITE = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_ARITHMETIC = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}


@dataclass(frozen=True)
class Mutant:
    """One fault: the `at`-th of its `kind` in a module, on a line, with words for what changes."""

    file: str
    kind: str
    at: int
    line: int
    told: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.kind}: {self.told}"


@dataclass
class _Change:
    """A change of a tree that has not been made yet."""

    kind: str
    node: ast.AST
    make: Callable[[], None]
    told: str


def _name(of: type) -> str:
    return of.__name__


def _relations(node: ast.Compare) -> Iterator[_Change]:
    for k, operator in enumerate(node.ops):
        for kind, table in (("boundary", _BOUNDARY), ("opposite", _OPPOSITE)):
            new = table.get(type(operator))
            if new is not None:
                make = _into(node.ops, k, new())
                yield _Change(kind, node, make, f"{_name(type(operator))} -> {_name(new)}")


def _into(row: list, k: int, new: object) -> Callable[[], None]:
    def make() -> None:
        row[k] = new

    return make


def _set(node: ast.AST, name: str, new: object) -> Callable[[], None]:
    return lambda: setattr(node, name, new)


def _expressions(node: ast.AST, parent: ast.AST) -> Iterator[_Change]:
    match node:
        case ast.Compare():
            yield from _relations(node)
        case ast.BinOp() | ast.AugAssign() if type(node.op) in _ARITHMETIC:
            new = _ARITHMETIC[type(node.op)]
            told = f"{_name(type(node.op))} -> {_name(new)}"
            yield _Change("arithmetic", node, _set(node, "op", new()), told)
        case ast.BoolOp():
            new = ast.Or if isinstance(node.op, ast.And) else ast.And
            yield _Change("logic", node, _set(node, "op", new()), f"to {_name(new)}")
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            kind = "logic" if isinstance(node.op, ast.Not) else "arithmetic"
            yield _Change(kind, node, _in_place(parent, node, node.operand), "sign or not dropped")
        case ast.Constant(value=bool()):
            yield _Change("constant", node, _set(node, "value", not node.value), "swapped")
        case ast.Constant(value=int() | float()):
            told = f"{node.value} -> {node.value + 1}"
            yield _Change("constant", node, _set(node, "value", node.value + 1), told)


def _in_place(parent: ast.AST, old: ast.AST, new: ast.AST) -> Callable[[], None]:
    """Put another node where one stands below its parent."""
    for name, value in ast.iter_fields(parent):
        if value is old:
            return _set(parent, name, new)
        if isinstance(value, list) and any(each is old for each in value):
            return _into(value, next(k for k, each in enumerate(value) if each is old), new)
    raise AssertionError("a node stands below its parent")


def _statements(node: ast.AST, parent: ast.AST) -> Iterator[_Change]:
    nothing = ast.copy_location(ast.Pass(), node) if isinstance(node, ast.stmt) else None
    match node:
        case ast.Expr(value=ast.Call()) | ast.AugAssign() | ast.Raise() | ast.Delete():
            told = f"dropped {ast.unparse(node)[:60]!r}"
            yield _Change("statement", node, _in_place(parent, node, nothing), told)
        case ast.Assign(targets=[ast.Subscript() | ast.Attribute()]):
            told = f"dropped {ast.unparse(node)[:60]!r}"
            yield _Change("statement", node, _in_place(parent, node, nothing), told)
        case ast.Continue():
            new = ast.copy_location(ast.Break(), node)
            yield _Change("statement", node, _in_place(parent, node, new), "continue -> break")
        case ast.Break():
            new = ast.copy_location(ast.Continue(), node)
            yield _Change("statement", node, _in_place(parent, node, new), "break -> continue")
        case ast.Return(value=ast.expr()) if not _is_none(node.value):
            none = ast.copy_location(ast.Constant(None), node)
            yield _Change("return", node, _set(node, "value", none), "returns None")


def _is_none(node: ast.AST | None) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _inside(node: ast.AST) -> Iterator[tuple[ast.AST, ast.AST]]:
    """Nodes below one with their parents, without annotations and what only words an error."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns") or isinstance(node, ast.JoinedStr | ast.Raise):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not _only_types(child):
                yield child, node
                yield from _inside(child)


def _only_types(node: ast.AST) -> bool:
    """Whether it is for a checker of types alone."""
    if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
        return True
    return isinstance(node, ast.Subscript) and "Literal" in ast.dump(node.value)


def _changes(tree: ast.Module) -> list[_Change]:
    return [
        change
        for node, parent in _inside(tree)
        for change in (*_expressions(node, parent), *_statements(node, parent))
    ]


def mutants(file: str, source: str) -> list[Mutant]:
    """All faults that a module could be given."""
    return [
        Mutant(file, change.kind, at, change.node.lineno, change.told)
        for at, change in enumerate(_changes(ast.parse(source)))
    ]


def mutated(mutant: Mutant, source: str) -> ast.Module:
    """The tree of a module with its fault, lines numbered as before."""
    tree = ast.parse(source)
    _changes(tree)[mutant.at].make()
    return ast.fix_missing_locations(tree)


def sample(of: list[Mutant], count: int, seed: int) -> list[Mutant]:
    """Some of many, each kind in turn, so that plentiful kinds do not crowd out the rest."""
    dice = random.Random(seed)
    by_kind = {kind: [m for m in of if m.kind == kind] for kind in sorted({m.kind for m in of})}
    for row in by_kind.values():
        dice.shuffle(row)
    chosen: list[Mutant] = []
    while len(chosen) < min(count, len(of)):
        for row in by_kind.values():
            if row and len(chosen) < count:
                chosen.append(row.pop())
    return chosen
