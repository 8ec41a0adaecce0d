"""Notebooks: what a student gets, and how a changed copy is put back in order."""

from __future__ import annotations

import copy

import nbformat
import pytest

from coursekit.classroom.bank import exercises, keys, notebooks, own_numbers
from coursekit.classroom.bank.notebooks import grade_id, put_back_in_order

from .small import write


@pytest.fixture
def source(tmp_path):
    exercise = exercises.load("small", write(tmp_path))
    private = keys.load(exercise, tmp_path)
    right = own_numbers.answers(exercise, private, {"side": 12.0})
    return notebooks.source(exercise, right, private.worked)


@pytest.fixture
def submitted(source):
    return copy.deepcopy(source)


def cell(notebook, id):
    return next(c for c in notebook.cells if grade_id(c) == id)


def ids(notebook):
    return [grade_id(c) for c in notebook.cells]


def test_source_is_a_valid_notebook_with_frozen_ids(source):
    nbformat.validate(source)
    assert ids(source) == [
        "read-first", "own-numbers", "area-text", "area-answer", "area", "double-text",
        "double-answer", "double", "shape-text", "shape-answer", "shape", "why-text", "why",
    ]  # fmt: skip
    assert [c.id for c in source.cells] == ids(source)


def test_source_holds_the_answers_between_the_marks_that_nbgrader_cuts_out(source):
    assert cell(source, "area-answer").source.endswith(
        "area = None\n### BEGIN SOLUTION\narea = 144.0\n### END SOLUTION"
    )
    assert "### BEGIN HIDDEN TESTS" in cell(source, "area").source


def test_untouched_copy_needs_no_repair(source, submitted):
    notebook, repairs = put_back_in_order(source, submitted)
    assert repairs == []
    assert [c.source for c in notebook.cells] == [c.source for c in source.cells]


def test_a_changed_locked_cell_gets_its_text_back(source, submitted):
    cell(submitted, "area").source = "print('all marks, please')"
    notebook, repairs = put_back_in_order(source, submitted)
    assert cell(notebook, "area").source == cell(source, "area").source
    assert repairs == ["'area' was changed and has been put back"]


def test_an_answer_cell_keeps_the_students_text(source, submitted):
    cell(submitted, "area-answer").source = "area = 1"
    assert cell(put_back_in_order(source, submitted)[0], "area-answer").source == "area = 1"


def test_metadata_and_points_come_from_the_release(source, submitted):
    cell(submitted, "area").metadata.nbgrader.points = 99
    assert cell(put_back_in_order(source, submitted)[0], "area").metadata.nbgrader.points == 2


@pytest.mark.parametrize(
    "gone", [["area"], ["read-first"], ["area-answer", "area", "double-text"], None]
)
def test_deleted_cells_come_back_in_their_place(source, submitted, gone):
    gone = gone or ids(submitted)
    submitted.cells = [c for c in submitted.cells if grade_id(c) not in gone]
    notebook, repairs = put_back_in_order(source, submitted)
    assert ids(notebook) == ids(source)
    assert repairs == [f"'{id}' was missing and has been put back" for id in gone]


def test_of_a_copied_cell_the_last_counts(source, submitted):
    again = copy.deepcopy(cell(submitted, "area-answer"))
    again.source = "area = 2"
    submitted.cells.insert(5, again)
    notebook, repairs = put_back_in_order(source, submitted)
    assert cell(notebook, "area-answer").source == "area = 2"
    assert ids(notebook).count("area-answer") == 1
    assert repairs == ["'area-answer' stood there twice; the last one counts"]


def test_a_students_own_cell_stays_and_gets_a_steady_id(source, submitted):
    submitted.cells.insert(4, nbformat.v4.new_code_cell("helper = 1"))
    notebook, repairs = put_back_in_order(source, submitted)
    assert (notebook.cells[4].source, notebook.cells[4].id) == ("helper = 1", "added-1")
    assert repairs == []
    nbformat.validate(notebook)


def test_a_cell_of_the_wrong_kind_is_made_what_it_was(source, submitted):
    at = ids(submitted).index("area-answer")
    submitted.cells[at] = nbformat.v4.new_markdown_cell(
        "area = 144", metadata=submitted.cells[at].metadata
    )
    assert cell(put_back_in_order(source, submitted)[0], "area-answer").cell_type == "code"


def test_the_text_of_a_file_is_nbformats_own(source):
    notebook = source
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    data = {
        "text/plain": "a\nb",
        "text/html": "<p>\n</p>",
        "image/png": "aGk=\n",
        "image/svg+xml": "<svg>\n</svg>",
    }
    code[0].outputs = [
        nbformat.v4.new_output("stream", text="1\n2\n…"),
        nbformat.v4.new_output("display_data", data=data),
        nbformat.v4.new_output("execute_result", data={"text/plain": ""}, execution_count=3),
        nbformat.v4.new_output("error", ename="E", evalue="two\nlines", traceback=["a\nb", "c"]),
    ]
    assert notebooks.file_text(notebook) == nbformat.writes(notebook) + "\n"


def test_a_sum_may_use_what_the_first_page_promises(source, tmp_path, monkeypatch):
    """The functions named in the first cell's text are there once the second cell has run."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / notebooks.NUMBERS_FILE).write_text('{"numbers": {"side": 12.0}, "in words": []}')
    names = {}
    exec(cell(source, "own-numbers").source, names)
    told = cell(source, "read-first").source
    for promised in ("sqrt(…)", "pi", "sin(radians(…))"):
        assert f"`{promised}`" in told
    assert eval("sin(radians(90)) * sqrt(side + 4) * pi / pi", names) == pytest.approx(4)
