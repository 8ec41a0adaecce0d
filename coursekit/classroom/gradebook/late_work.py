"""Keeps late penalties in step with what they follow from, also for work that is marked already.

A penalty follows from the due time, the class's rule and the marks. Any of these may change after
the marking, for instance when a person marks a sentence, so whoever changes one renews it here.
"""

from __future__ import annotations

from coursekit.classroom.gradebook import marks_writer, opener, read_only, reader
from coursekit.classroom.gradebook.nbgrader_settings import late_rule
from coursekit.classroom.register import class_toml
from coursekit.classroom.register.class_folder import ClassFolder, load, write_text

Renewed = dict[str, list[str]]  # exercise → whose penalty changed


def renew(folder: ClassFolder, slug: str = "") -> Renewed:
    """Renew the penalties of an exercise, or of all, and return whose changed.

    nbgrader is asked only where work came late or has a penalty, and nothing else is written.
    """
    with read_only.reading(folder) as book:
        late = reader.perhaps_late(book)
    wanted = {s: students for s, students in late.items() if slug in ("", s)}
    if not wanted:
        return {}
    rule = late_rule(folder)
    with opener.gradebook(folder) as book:
        done = {
            s: marks_writer.renew_late_penalties(book, s, who, rule) for s, who in wanted.items()
        }
    return {s: students for s, students in done.items() if students}


def set_rule(folder: ClassFolder, rule: class_toml.Late) -> Renewed:
    """Set what late work loses in this class; return whose marks changed by it."""
    file = folder.path / "class.toml"
    for name in ("per_day", "most", "grace_hours"):
        write_text(file, class_toml.put(file, "late", name, f"{getattr(rule, name):g}"))
    return renew(load(folder.path))
