"""One expression of an answer or a slip: read once, checked, worked out for a student's numbers.

It looks like `90 - angle_deg`, `centre - obtuse_side` or `miters.mill_setting_deg(angle_deg)`.
`simpleeval` works it out on the parsed tree; nothing is handed to Python's own `eval`.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping
from threading import Lock
from types import SimpleNamespace
from typing import Any

from simpleeval import DEFAULT_OPERATORS, EvalWithCompoundTypes

from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.bank.expression_words import FUNCTIONS, Shelf, Words, filled, nearest

_LONGEST = 400  # characters; anything longer is easier to read as a function
_CURE = "Write it as a function in the lesson's Python file and call it here"


def _power(base: Any, exponent: Any) -> Any:
    """Return the power, of a whole number in floating point so that it can't grow without end."""
    return float(base) ** exponent if isinstance(base, int) else base**exponent


def _remainder(whole: Any, part: Any) -> Any:
    """Return the remainder of numbers; on a string, % would format it to any width."""
    if isinstance(whole, str):
        raise TypeError("% takes numbers, not words")
    return whole % part


_TAKEN_OVER = "Add Sub Mult Div FloorDiv USub UAdd Eq NotEq Gt Lt GtE LtE In NotIn Not"
_OPERATORS = {
    getattr(ast, name): DEFAULT_OPERATORS[getattr(ast, name)] for name in _TAKEN_OVER.split()
}
_OPERATORS |= {ast.Pow: _power, ast.Mod: _remainder}
_SHAPES = (
    "Constant Name UnaryOp BinOp BoolOp And Or Compare IfExp Call keyword Attribute Subscript "
    "Slice List Tuple ListComp GeneratorExp comprehension Load Store"
)
_GRAMMAR = (*_OPERATORS, *(getattr(ast, name) for name in _SHAPES.split()))


class _Evaluator(EvalWithCompoundTypes):  # type: ignore[misc]
    """The library's evaluator, but it reads attributes of the kit's own objects and no others."""

    def _eval_attribute(self, node: ast.Attribute) -> Any:
        owner = self._eval(node.value)
        ours = isinstance(owner, Shelf) or type(owner).__module__.split(".")[0] == "coursekit"
        if not ours or node.attr.startswith("_"):
            raise TypeError(f"'.{node.attr}' is not open to an expression")
        return getattr(owner, node.attr)


class Expression:
    """An expression that can be called like a key's function, with numbers and earlier answers."""

    def __init__(self, text: str, question: str, words: Words, where: str) -> None:
        self.text = text
        self._where = f"{where} `{text}`"
        self._tree = self._parsed()
        nodes = [node for node in ast.walk(self._tree) if isinstance(node, ast.Name)]
        calls = [node.func for node in ast.walk(self._tree) if isinstance(node, ast.Call)]
        called = dict.fromkeys(node.id for node in calls if isinstance(node, ast.Name))
        bound = {node.id for node in nodes if isinstance(node.ctx, ast.Store)}
        free = [n for n in dict.fromkeys(node.id for node in nodes) if n not in {*bound, *called}]

        earlier = words.before(question)
        self._quantities = tuple(name for name in free if name in words.quantities)
        others = [name for name in free if name not in words.quantities]
        self._earlier = {name: earlier[name] for name in others if name in earlier}
        self._constants = {
            name: self._constant(name, words, question) for name in others if name not in earlier
        }
        for name in called:
            self._refuse_function(name, words)
        self._fill = {name: filled(words.own[name]) for name in called if name in words.own}
        self._refuse_attributes()
        functions = {name: FUNCTIONS[name] for name in called if name not in self._fill}
        self._evaluator = _Evaluator(_OPERATORS, functions, {})
        self._one_at_a_time = Lock()  # the evaluator holds the numbers it works with

    @property
    def after(self) -> tuple[str, ...]:
        """The earlier questions that the expression names."""
        return tuple(self._earlier.values())

    def __repr__(self) -> str:
        return f"Expression({self.text!r})"

    def __call__(self, n: SimpleNamespace, earlier: Mapping[str, Any]) -> Any:
        """Return what the expression gives for the numbers `n` and the `earlier` answers."""
        names = {
            **self._constants,
            **{name: getattr(n, name) for name in self._quantities},
            **{name: earlier[id] for name, id in self._earlier.items()},
        }
        own = {name: fill(n, earlier) for name, fill in self._fill.items()}
        with self._one_at_a_time:
            self._evaluator.names = names
            self._evaluator.functions |= own
            return self._evaluator.eval(self.text, self._tree)

    def _parsed(self) -> ast.expr:
        if len(self.text) > _LONGEST:
            rule = f"an expression must have at most {_LONGEST} characters"
            raise self._error(rule, len(self.text), _CURE)
        try:
            tree = ast.parse(self.text, mode="eval").body
        except (SyntaxError, ValueError, MemoryError, RecursionError) as error:
            rule = "an answer or a slip must be one expression, like `90 - angle_deg`"
            raise self._error(rule, getattr(error, "msg", error), "Mend it") from None
        for node in ast.walk(tree):
            plain = not isinstance(node, ast.Constant) or isinstance(node.value, int | float | str)
            if not plain or not isinstance(node, _GRAMMAR):
                rule = (
                    "an expression must be made of names, numbers, words in quotes, arithmetic, "
                    "comparisons, calls, lists and `a if … else b`"
                )
                raise self._error(rule, type(node).__name__, _CURE)
        return tree

    def _constant(self, name: str, words: Words, question: str) -> Any:
        try:
            return words.constant(name)
        except KeyError:
            pass
        if words.later(name, question):
            raise self._error("it must build on earlier questions", f"'{name}'", "Swap them")
        rule = "a name must be a quantity, an earlier question, a constant or a module of the craft"
        if words.function(name):
            raise self._error(rule, f"the function '{name}'", f"Call it: {name}(…)")
        raise self._error(rule, f"'{name}'", words.nearest(name, question))

    def _refuse_function(self, name: str, words: Words) -> None:
        if name in words.own and words.taken(name):
            rule = "a function must not be called like a quantity or a question"
            raise self._error(rule, f"'{name}'", "Rename it in the lesson's Python file")
        if not words.function(name):
            rule = (
                "a function must be one of mathematics, of the lesson's Python file or of a module"
            )
            raise self._error(rule, f"'{name}'", words.nearest_function(name))

    def _refuse_attributes(self) -> None:
        for node in ast.walk(self._tree):
            if isinstance(node, ast.Attribute):
                name = node.value.id if isinstance(node.value, ast.Name) else ""
                shelf = self._constants.get(name)
                known = vars(shelf) if isinstance(shelf, Shelf) else {node.attr: None}
                if node.attr.startswith("_") or node.attr not in known:
                    rule = "what stands after a dot must be a public name of the craft"
                    raise self._error(rule, f"'{node.attr}'", nearest(node.attr, known))

    def _error(self, rule: str, got: object, cure: str) -> AuthoringError:
        return AuthoringError(f"{self._where}: {rule}; got {got}. {cure}.")
