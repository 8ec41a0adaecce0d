"""Answers that a student merged into another cell: where they stand, and how they are taken out.

When an editor merges cells, the merged cell keeps the id of one of them. The others are then
missing, and their text stands in a cell of another id. If that cell is a locked one, its own text
is put back, so the answer in it has to be taken out first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from nbformat import NotebookNode

_GIVES = r"^{}[ \t]*(?::[^=\n]*)?=(?!=)"


def _gives(text: str, answer: str) -> bool:
    """Whether code assigns a value to the variable of the answer cell `answer`."""
    name = answer.removesuffix("-answer").replace("-", "_")
    return bool(re.search(_GIVES.format(re.escape(name)), text, re.MULTILINE))


def where_answered(id: str, cells: Sequence[NotebookNode]) -> int | None:
    """Return the index of the student's last code cell that gives the value of answer `id`."""
    for index in reversed(range(len(cells))):
        cell = cells[index]
        locked = cell.metadata.get("nbgrader", {}).get("locked", False)
        if cell.cell_type == "code" and not locked and _gives(str(cell.source), id):
            return index
    return None


def beside_locked(
    texts: Iterable[tuple[str, str]], master: Mapping[str, NotebookNode]
) -> dict[str, str]:
    """Return locked cell → what a student merged into it, without any locked cell's own text.

    `texts` are the submitted cells' ids and texts, `master` the cells of the release.
    """
    locked = {id: cell for id, cell in master.items() if cell.metadata.nbgrader["locked"]}
    found: dict[str, str] = {}
    for id, text in texts:
        if id not in locked or text == locked[id].source:
            continue
        for other in locked.values():
            if other.cell_type == locked[id].cell_type:
                text = text.replace(other.source, "")
        if text.strip():
            found[id] = text.strip() + "\n"
    return found


def answer_among(beside: Mapping[str, str], id: str, kind: str) -> str:
    """Return the missing answer `id` from what was merged into locked cells, or "" for none."""
    if kind == "code":
        return next((text for text in beside.values() if _gives(text, id)), "")
    return beside.get(f"{id}-text", "").strip()
