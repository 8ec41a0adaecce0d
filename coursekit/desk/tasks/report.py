"""Makes the class page to print, with its sketches, and the whole report if it is wanted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from coursekit.classroom.bank.lesson_figures import Figure
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False  # it changes nothing that can't be made again
TELLS = ("Reading the class", "Drawing the sketches", "Making the page", "Making the whole report")


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Make them as the command does; return the files, and what was left out."""
    from coursekit.book import sketches
    from coursekit.classroom.report import class_facts, class_page, class_report, whole_report

    steps = len(TELLS) if said["whole"] else len(TELLS) - 1
    named: bool = not said["without_names"]
    tell(TELLS[0], 0, steps)
    page = class_page.class_page(folder, root, names=named)
    tell(TELLS[1], 1, steps)
    figures = [talk.figure for talk in page.talk if talk.figure]
    pen = sketches.pen(root)
    drawn: dict[Figure, str] = {figure: pen(figure) for figure in figures}
    tell(TELLS[2], 2, steps)
    target = folder.path / "reports" / ("" if named else "without-names")
    paper: Any = said["paper"]
    made = class_report.write(page, target, paper, named=named, draw=drawn.__getitem__)
    left = list(page.left)
    if said["whole"]:
        tell(TELLS[3], 3, steps)
        facts = class_facts.gather(folder, root, (), names=named)
        left += [line for lesson in facts.lessons for line in lesson.left]
        made += whole_report.write(facts, target, paper, named=named)
    return {
        "files": [file.relative_to(folder.path).as_posix() for file in made],
        "left": list(dict.fromkeys(left)),
    }
