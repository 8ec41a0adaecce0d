"""The first look at handed-in work: what is new, and which libraries it names."""

from __future__ import annotations

import os

import pytest

from coursekit.classroom.intake import first_look

from . import small


def named(work):
    return first_look.new_work(work.folder, ["small"]).libraries


def test_marked_work_is_not_new_and_changed_work_is(evening):
    assert not first_look.new_work(evening.folder, ["small"]).slugs
    path = small.hand_in(evening, "bench-02") / "small.ipynb"
    record = evening.folder.autograded("bench-02", "small") / "marks.json"
    os.utime(path, (record.stat().st_mtime + 1,) * 2)
    assert first_look.new_work(evening.folder, ["small"]).slugs == {"small"}


def test_work_of_one_who_had_handed_in_nothing_is_new(evening):
    small.hand_in(evening, "bench-05")
    assert first_look.new_work(evening.folder, ["small"]).slugs == {"small"}


@pytest.mark.parametrize(
    ("cell", "found"),
    [
        ("import math", set()),
        ("import matplotlib.pyplot as plt", {"matplotlib"}),
        ("%matplotlib inline", {"matplotlib"}),
        ("from sympy import Rational", {"sympy"}),
        ("import sympy, pylab", {"sympy", "matplotlib"}),
    ],
)
def test_libraries_that_a_notebook_names_are_found(evening, cell, found):
    assert named(evening) == set()
    small.hand_in(evening, "bench-03", {"area": f"{cell}\narea = side**2"})
    assert named(evening) == found


def test_no_link_is_followed(evening, tmp_path):
    path = evening.folder.submitted("bench-03", "small") / "small.ipynb"
    path.unlink()
    (tmp_path / "sympy.txt").write_text("import sympy")
    path.symlink_to(tmp_path / "sympy.txt")
    assert named(evening) == set()
