"""The one frame that the lessons work through, and its numbers in their text.

`course/worked-frame.toml` is its one home. In a page, {fact}`down_tube.diameter` stands for that
number with its unit, as it is given to a student; in a cell, `facts()["down_tube.diameter"]` is
the same number in full.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

from docutils import nodes
from sphinx.util.docutils import SphinxRole

from coursekit import project
from coursekit.sheets import frame_facts, frame_file, text
from coursekit.sheets.build import Build
from coursekit.sheets.frame_facts import Facts

FILE = "course/worked-frame.toml"


def build(root: Path | None = None) -> Build:
    """Return the frame that the lessons work through."""
    return _read((root or project.root()) / FILE)[0]


def facts(root: Path | None = None) -> Facts:
    """Return every number of that frame by its name, as `frame_facts.facts` does."""
    return dict(_read((root or project.root()) / FILE)[1])


def printed(known: Facts, name: str) -> str:
    """Return a number of the frame with its unit, as a page prints it.

    Examples
    --------
    >>> printed({"head_angle_deg": 72.5, "down_tube.axis": 627.094}, "down_tube.axis")
    '627.1 mm'
    """
    unit = "deg" if name.endswith("_deg") else "" if name.endswith("hold") else "mm"
    return text.quantity(frame_facts.given(known, name), unit)


def _read(path: Path) -> tuple[Build, Facts]:
    return _parsed(path.read_text(encoding="utf-8"), path)


@lru_cache(maxsize=4)
def _parsed(_: str, path: Path) -> tuple[Build, Facts]:
    found = frame_file.read(path)
    return found, frame_facts.facts(found)


class Fact(SphinxRole):
    """A number of the worked frame with its unit: {fact}`down_tube.diameter`."""

    def run(self) -> tuple[list[nodes.Node], list[nodes.system_message]]:
        """Return the number as text, or a complaint about its name."""
        root = Path(self.env.srcdir).parent
        self.env.note_dependency(str(root / FILE))
        try:
            return [nodes.Text(printed(facts(root), self.text))], []
        except frame_facts.NoFactError as error:
            told = self.inliner.reporter.error(str(error), line=self.lineno)
            return [self.inliner.problematic(self.rawtext, self.rawtext, told)], [told]


def hook(app: Any) -> None:
    """Give pages the role."""
    app.add_role("fact", Fact())
