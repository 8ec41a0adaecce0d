"""Notes an exercise's cells in the gradebook, all in one commit."""

from __future__ import annotations

from typing import Any

from nbformat import NotebookNode


def steps() -> list[Any]:
    """Return nbgrader's own steps from a source to a release, with `SaveCells` in one commit.

    nbgrader's own `SaveCells` commits after each cell, so it waits for the disk a hundred times,
    and a kill in between leaves only some of the cells in the gradebook.
    """
    from nbgrader.converters import GenerateAssignment
    from nbgrader.preprocessors import SaveCells

    class SaveCellsAtOnce(SaveCells):  # type: ignore[misc]
        """nbgrader's step, changed so that it notes all cells or none."""

        def _create_notebook(self, notebook: NotebookNode) -> None:
            session = self.gradebook.db
            session.commit = lambda: (session.flush(), session.expire_all())
            try:
                super()._create_notebook(notebook)
            finally:
                del session.commit
            session.commit()

    stock = GenerateAssignment.preprocessors.default()
    return [SaveCellsAtOnce if step is SaveCells else step for step in stock]
