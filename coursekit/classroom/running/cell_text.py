"""What the text of an answer cell says by itself, without being run.

Nothing here evaluates code: the text is parsed, and only constants, their signs, and lists and
tuples of them are turned into values. Whatever else stands in a cell needs running.
"""

from __future__ import annotations

import ast
import re
import warnings

from coursekit.classroom.running.plain_value import Plain, plain
from coursekit.classroom.running.untrusted import value as crossed

LONGEST = 20_000  # characters of a cell; a longer one is left to the runner
DEEPEST = 8  # lists in lists
NOT_GIVEN: Plain = {"is": "none"}
_BLANK = " \t"  # other spaces are mistakes for Python
# Python, IPython and this module don't all end a line at these
_LINE_ENDS = re.compile(r"[\r\x0b\x0c\x1c-\x1e\x85\u2028\u2029]")
_COMMA = re.compile(r"(?a:([+\-−–]?\d*(?:\.\d+)*,\d+(?:[.,]\d+)*))[ \t]*(?:#.*)?")
_TARGET = re.compile(r"[ \t]*=(?!=)[ \t]*")


def says_nothing(text: str) -> bool:
    """Whether only comments and blank lines stand in a cell."""
    return _code_lines(text) == []


def literal(text: str, variable: str = "") -> Plain | None:
    """Return what a cell gives to `variable` if it is one assignment of a literal, else None.

    It is the same plain value that a run brings back. Without `variable`, any name will do.
    """
    node = _only_assignment(text, variable)
    if node is None or not _is_literal(node):
        return None
    return crossed(plain(ast.literal_eval(node)))  # which has been looked at, so nothing is called


def with_comma(text: str, variable: str = "") -> str:
    """Return the number with a comma that a cell gives to `variable`, as it was typed, or "".

    `wheelbase = 1011,9` gives "1011,9". There must be digits and signs alone, without a space:
    `12, 5` is a pair just as well.

    Examples
    --------
    >>> with_comma("wheelbase = 1011,9  # measured", "wheelbase")
    '1011,9'
    >>> with_comma("wheelbase = 1011, 9", "wheelbase")
    ''
    """
    lines = _code_lines(text)
    if lines is None or len(lines) != 1:
        return ""
    name = re.match(r"\w+", lines[0])
    if not name or (variable and name[0] != variable):
        return ""
    after = _TARGET.match(lines[0], name.end())
    found = _COMMA.fullmatch(lines[0], after.end()) if after else None
    return found[1] if found else ""


def _plain_text(text: str) -> str | None:
    """Return a cell's text with plain line ends, or None if it is too long or has odd ones."""
    text = text.replace("\r\n", "\n")
    return None if len(text) > LONGEST or _LINE_ENDS.search(text) else text


def _code_lines(text: str) -> list[str] | None:
    """Return the lines that are neither blank nor a comment; None if the lines are not sure."""
    plain_text = _plain_text(text)
    if plain_text is None:
        return None
    lines = (line.rstrip(_BLANK) for line in plain_text.split("\n"))
    return [line for line in lines if line and not line.lstrip(_BLANK).startswith("#")]


def _only_assignment(text: str, variable: str) -> ast.expr | None:
    """Return the value's expression if the text is one assignment to one name, else None."""
    plain_text = _plain_text(text)
    if plain_text is None:
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # a run would show the warning, so it needs running
            body = ast.parse(plain_text).body
    except (SyntaxError, ValueError, RecursionError, MemoryError, Warning):
        return None
    if len(body) != 1 or not isinstance(body[0], ast.Assign) or len(body[0].targets) != 1:
        return None
    (target,) = body[0].targets
    is_ours = isinstance(target, ast.Name) and variable in ("", target.id)
    return body[0].value if is_ours else None


def _is_literal(node: ast.expr, depth: int = 0) -> bool:
    if isinstance(node, ast.List | ast.Tuple):
        return depth < DEEPEST and all(_is_literal(item, depth + 1) for item in node.elts)
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.UAdd | ast.USub):
        return isinstance(node.operand, ast.Constant) and type(node.operand.value) in (int, float)
    if not isinstance(node, ast.Constant):
        return False
    # IPython takes prompts off the lines of a text that has several
    of_one_line = node.lineno == node.end_lineno
    return type(node.value) in (int, float, str, bool, type(None)) and of_one_line
