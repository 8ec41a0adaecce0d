"""Takes two kinds of answer cell as the student meant them, where Python reads them otherwise.

- Code to complete that nobody touched is no answer. Run, it may stop with an error, because it
  builds on earlier answers of another kind; but the student has done nothing there.
- `wheelbase = 1011,9` is a pair of numbers for Python, `1011,09` a mistake, and `-0,5` loses its
  sign. Half the world writes a decimal comma (ISO 80000-1:2022, 7.3, has both signs). Where one
  number was asked and digits stand on both sides of the comma without a space, it can only be one
  number, so it is read as if it stood on paper: `1,234.5`, which can be read in two ways, is told
  so. A pair with a space, `12, 5`, or in brackets, may be two numbers as well; so may a list with
  twice too many entries. Nothing is guessed there, but the reason names the comma.

Both hold whether a notebook was run or only read, so the mark and its reason are the same.
"""

from __future__ import annotations

from collections.abc import Sequence

from nbformat import NotebookNode

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.bank.questions import Question
from coursekit.classroom.running.cell_text import NOT_GIVEN, literal, with_comma
from coursekit.classroom.running.plain_cells import is_untouched
from coursekit.classroom.running.plain_value import Plain
from coursekit.classroom.running.runner import Run

_MOST_DIGITS = 20  # of a number that is repeated in a reason


def take_as_meant(
    exercise: Exercise,
    release: NotebookNode,
    notebook: NotebookNode,
    run: Run,
    stops: dict[str, str],
) -> None:
    """Put the values that were meant into `run`, in place, without why and how their cells stopped.

    A value is only replaced if it is what that cell gave, not what other code gave the variable.
    """
    asked = {f"{q.id}-answer": q for q in exercise.graded if q.kind != "written"}
    released = {grade_id(c): str(c.source) for c in release.cells}
    for index, cell in enumerate(notebook.cells):
        id = grade_id(cell) or ""
        if cell.cell_type != "code" or id not in asked:
            continue
        question = asked[id]
        meant = _meant(
            question, str(cell.source), released.get(id, ""), run.values.get(question.id)
        )
        if meant is not None:
            run.values[question.id] = meant
            run.outputs.pop(index, None)
            stops.pop(question.id, None)


def _meant(question: Question, text: str, released: str, got: Plain | None) -> Plain | None:
    """Return the value that was meant, or None if it is the one that was `got`."""
    if got is None:
        return None
    if is_untouched(question, text, released):
        return dict(NOT_GIVEN) if _is_blank(got) else None
    comma = with_comma(text, question.variable) if question.kind == "number" else ""
    if comma and got == (literal(text, question.variable) or NOT_GIVEN):
        return {"is": "text", "value": comma}
    return None


def _is_blank(got: Plain) -> bool:
    items = got["value"] if got["is"] == "list" and "value" in got else [got]
    return all(item["is"] == "none" for item in items)


def two_numbers(items: Sequence[Plain]) -> str:
    """Return why a pair of numbers is not one number, if a comma may have parted it; else ""."""
    if like := _with_point(items):
        first, second = (item["value"] for item in items)
        return (
            f"Python reads {first}, {second} as two numbers, and one was asked. If the comma was "
            f"meant for the decimals, write a point: {like}."
        )
    return ""


def twice_too_many(items: Sequence[Plain], wanted: int) -> str:
    """Return what may have made a list twice too long, as an addition to the reason; else ""."""
    like = _with_point(items[:2])
    if len(items) != 2 * wanted or not like:
        return ""
    first, second = (item["value"] for item in items[:2])
    return f" Python reads {first},{second} as two numbers: write decimals with a point, {like}."


def _with_point(pair: Sequence[Plain]) -> str:
    """Return `12.5` for the whole numbers 12 and 5, or "" if these can't be one number."""
    if [item["is"] for item in pair] != ["int", "int"]:
        return ""
    first, second = (str(item["value"]) for item in pair)
    fits = second.isdigit() and max(len(first), len(second)) <= _MOST_DIGITS
    return f"{first}.{second}" if fits else ""
