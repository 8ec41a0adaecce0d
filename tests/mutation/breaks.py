"""The ways to break a module's source: one change each, nothing that a reader would not see as wrong.

+ for −, * for /, sin for cos, a constant moved, a comparison turned or its bound moved, a minus sign
dropped, max for min. Docstrings, messages and type hints are left alone.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from typing import Any, NamedTuple

SWAPS: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Pow: ast.Mult, ast.Mod: ast.Add, ast.MatMult: ast.Add,
}  # fmt: skip
TURNS: dict[type, list[type]] = {
    ast.Lt: [ast.LtE, ast.Gt], ast.LtE: [ast.Lt, ast.Gt], ast.Gt: [ast.GtE, ast.Lt],
    ast.GtE: [ast.Gt, ast.Lt], ast.Eq: [ast.NotEq], ast.NotEq: [ast.Eq],
}  # fmt: skip
NAMES = {
    "sin": "cos", "cos": "sin", "tan": "sin", "arcsin": "arccos", "arccos": "arcsin", "sinh": "cosh",
    "cosh": "sinh", "maximum": "minimum", "minimum": "maximum", "max": "min", "min": "max",
    "fmax": "fmin", "fmin": "fmax", "argmax": "argmin", "argmin": "argmax", "less": "greater",
    "less_equal": "greater", "add": "subtract", "subtract": "add", "multiply": "divide",
    "divide": "multiply", "radians": "degrees", "degrees": "radians", "floor": "ceil",
    "ceil": "floor", "all": "any", "any": "all",
}  # fmt: skip


class Mutant(NamedTuple):
    """One changed source: where, what was done, and the whole text."""

    line: int
    what: str
    source: str


class Site(NamedTuple):
    """A place to change: the path to a node from the module, and the change's name and maker."""

    line: int
    what: str
    path: tuple[tuple[str, int | None], ...]
    make: Any


def _at(tree: ast.AST, path: tuple[tuple[str, int | None], ...]) -> tuple[Any, str, int | None]:
    node: Any = tree
    for field, index in path[:-1]:
        node = getattr(node, field) if index is None else getattr(node, field)[index]
    return node, *path[-1]


def _changes(node: ast.AST) -> Iterator[tuple[str, Any]]:
    """(what, function from the node to its replacement) for each way to break this node."""
    if isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in SWAPS:
        new = SWAPS[type(node.op)]
        yield f"{type(node.op).__name__} to {new.__name__}", lambda n: _with(n, op=new())
    if isinstance(node, ast.Compare):
        for i, op in enumerate(node.ops):
            for new_op in TURNS.get(type(op), []):
                ops = [new_op() if j == i else o for j, o in enumerate(node.ops)]
                yield (
                    f"{type(op).__name__} to {new_op.__name__}",
                    lambda n, ops=ops: _with(n, ops=ops),
                )
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.USub, ast.Not, ast.Invert)):
        yield f"drop {type(node.op).__name__}", lambda n: n.operand
    if isinstance(node, ast.BoolOp):
        new_bool = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield f"to {new_bool.__name__}", lambda n: _with(n, op=new_bool())
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        value = node.value
        moved = value + 1 if isinstance(value, int) else (value * 1.01 if value else 0.01)
        yield f"{value!r} to {moved!r}", lambda n: ast.copy_location(ast.Constant(moved), n)
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield f"{node.value} to {not node.value}", lambda n: _with(n, value=not n.value)
    if isinstance(node, ast.Attribute) and node.attr in NAMES:
        yield f"{node.attr} to {NAMES[node.attr]}", lambda n: _with(n, attr=NAMES[n.attr])
    if isinstance(node, ast.Name) and node.id in ("max", "min", "any", "all"):
        yield f"{node.id} to {NAMES[node.id]}", lambda n: _with(n, id=NAMES[n.id])


def _with(node: Any, **fields: Any) -> Any:
    new = copy.copy(node)
    for name, value in fields.items():
        setattr(new, name, value)
    return new


def _children(node: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    """Children worth breaking: no type hints, docstrings, raised messages or f-strings."""
    skip = {"annotation", "returns", "type_comment"}
    for field, value in ast.iter_fields(node):
        if field in skip or isinstance(node, (ast.Raise, ast.JoinedStr, ast.ImportFrom)):
            continue
        if isinstance(node, ast.keyword) and node.arg in (
            "strict",
            "maxsize",
            "frozen",
            "repr",
        ):  # guards, no sums
            continue
        if isinstance(value, list):
            for i, item in enumerate(value):
                if isinstance(item, ast.AST):
                    yield field, i, item
        elif isinstance(value, ast.AST):
            yield field, None, value


def sites(tree: ast.AST) -> Iterator[Site]:
    """All places that can be broken, in the order of the source."""

    def walk(node: ast.AST, path: tuple[tuple[str, int | None], ...]) -> Iterator[Site]:
        for field, index, child in _children(node):
            here = (*path, (field, index))
            for what, make in _changes(child):
                yield Site(getattr(child, "lineno", 0), what, here, make)
            yield from walk(child, here)

    yield from sorted(walk(tree, ()), key=lambda s: s.line)


def mutants(source: str) -> Iterator[Mutant]:
    """Every mutant of a module's source that differs from it."""
    tree = ast.parse(source)
    plain = ast.unparse(tree)
    for site in list(sites(tree)):
        parent, field, index = _at(tree, site.path)
        old = getattr(parent, field) if index is None else getattr(parent, field)[index]
        _put(parent, field, index, site.make(old))
        text = ast.unparse(ast.fix_missing_locations(tree))
        _put(parent, field, index, old)
        if text != plain:
            yield Mutant(site.line, site.what, text)


def _put(parent: Any, field: str, index: int | None, node: Any) -> None:
    if index is None:
        setattr(parent, field, node)
    else:
        getattr(parent, field)[index] = node
