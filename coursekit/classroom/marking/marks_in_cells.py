"""What a marked notebook shows in its cells: outputs, why a cell stopped, each mark."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.running.runner import Run

_ENDS = {
    "time": "Your cell ran too long and was stopped.",
    "output": "Your cell printed far too much and was stopped.",
}


def stop_reason(run: Run, index: int) -> str:
    """Return why the cell at `index` stopped, in words for the student, or "" if it did not."""
    if index in run.stopped:
        return _ENDS.get(run.stopped[index], "Your cell brought the whole notebook down.")
    for output in run.outputs.get(index, ()):
        if output.get("output_type") == "error":
            if output.get("ename") == "CellTimeout":
                return _ENDS["time"]
            return f"Your cell stopped with an error: {output.get('ename')}: {output.get('evalue')}"
    return ""


def show(notebook: NotebookNode, run: Run, marks: Sequence[Mark]) -> None:
    """Put outputs into the notebook; a cell that carries marks shows them as nbgrader does."""
    by_id = {m.question: m for m in marks}
    for index, cell in enumerate(notebook.cells):
        if cell.cell_type != "code":
            continue
        outputs = list(run.outputs.get(index, ()))
        if index in run.stopped:
            outputs = [_stopped_output(run.stopped[index])]
        cell.execution_count = index + 1
        if found := by_id.get(cell.id):
            outputs = [_mark_output(found, index + 1)]
        cell.outputs = [_counted(nbformat.from_dict(o), index + 1) for o in outputs]


def _counted(output: NotebookNode, count: int) -> NotebookNode:
    if output.get("output_type") == "execute_result":
        output.execution_count = count
    return output


def _stopped_output(ended: str) -> dict[str, Any]:
    said = _ENDS.get(ended, "Your cell brought the whole notebook down.")
    return {
        "output_type": "error",
        "ename": "Stopped",
        "evalue": said,
        "traceback": [f"Stopped: {said}"],
    }


def _mark_output(found: Mark, count: int) -> dict[str, Any]:
    """Return a mark as its cell's output: a plain number for nbgrader, words for the student."""
    lines = [f"<b>{found.marks:g} of {found.out_of:g}</b>: {html.escape(found.reason)}"]
    if found.hint:
        lines.append(html.escape(found.hint))
    if found.given:
        lines.append(f"Your value: {html.escape(found.given)}")
    return {
        "output_type": "execute_result",
        "execution_count": count,
        "metadata": {},
        "data": {
            "text/plain": repr(float(found.marks)),
            "text/html": "<p>" + "<br>".join(lines) + "</p>",
        },
    }
