"""A small exercise with a bench record, for the tests of the record, its form and its fits."""

from __future__ import annotations

from coursekit.classroom.bank import exercises
from coursekit.classroom.demo.invented_class import students
from coursekit.classroom.register.class_folder import load, open_class, write_text

from .small import PUBLIC, write

BENCH = """\
bench:
  - {id: gap, say: widest gap, unit: mm, instrument: feeler gauge, resolution: 0.05, low: 0, high: 5}
  - {id: angle, say: angle of the joint, unit: deg, instrument: bevel protractor, resolution: 0.5, low: 40, high: 90}
  - {id: force, say: pull at the scale, unit: N, instrument: spring scale, resolution: 1, readings: 1}
---

Two sums.
"""


BENCHED = PUBLIC.replace("---\n\nTwo sums.\n", BENCH)


def opened(path, count: int = 4, bench: str = BENCH):
    """Return a class and its course's exercise `small` with a bench record, made below `path`."""
    write(path, PUBLIC.replace("---\n\nTwo sums.\n", bench))
    folder = open_class(path / "class", students(count), "Evening")
    return folder, exercises.load("small", path)


def on_paper(folder, *students, lesson="small"):
    """Let the lesson be printed for these students, as far as the form looks at it."""
    for student in students:
        write_text(folder.path / "worksheets" / lesson / f"{student}.pdf", "%PDF")


def again(path):
    """Return the class below `path`, read from its files once more."""
    return load(path / "class")
