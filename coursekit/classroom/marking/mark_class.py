"""Marks what a class has handed in: take each notebook, run it, mark its values, write the marks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace

from nbformat import NotebookNode

from coursekit.classroom.bank.notebooks import NUMBERS_FILE, TEXT_STUB, grade_id, probes, restored
from coursekit.classroom.gradebook import marks_writer, opener, reader
from coursekit.classroom.gradebook.nbgrader_settings import late_rule
from coursekit.classroom.handout.assignments import Assignment, make_release
from coursekit.classroom.intake.first_look import has_new
from coursekit.classroom.intake.submission import HandedIn
from coursekit.classroom.marking.marked_work import Bookkeeping, Marked, keep, ran_notebook, stands
from coursekit.classroom.marking.marked_work import fingerprint as fingerprint_of
from coursekit.classroom.marking.marked_work import recorded as recorded
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.marking.marks_in_cells import show, stop_reason
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.running.places import Here, RunPlace, Task
from coursekit.classroom.running.runner import Limits, Run, Warm

Progress = Callable[[str, str], None]


def mark_class(
    work: Assignment,
    *,
    limits: Limits | None = None,
    workers: int | None = None,
    place: RunPlace | None = None,
    progress: Progress | None = None,
) -> list[Marked]:
    """Return the marked work of every student who has handed `work` in, in the roster's order.

    Each notebook is run at `place`, else by one of `workers` warm processes here, and marked in this
    process. Work that was run before is marked again from the values it gave and written where
    anything differs; only work that is new or changed is run. `progress` is told (student, what
    happened). Raises ClassError where another marking is at work in this class.
    """
    if place is None:
        with Here(limits, workers) as here:
            if has_new(work.folder, work.slug):
                here.start()
            return mark_class(work, place=here, progress=progress)
    with lock_and_backup.only_writer(work.folder):
        lock_and_backup.sweep(work.folder)
        lock_and_backup.backup(work.folder)
        release_text = make_release(work).read_text(encoding="utf-8")
        with opener.gradebook(work.folder) as book:
            opener.enrol(book, work.folder.students)
            desk = Bookkeeping(work, book, release_text, late_rule(work.folder))
            todo, done = _sorted_out(desk, place.limits, progress)
            for one, notebook in _run_all(desk, todo, place):
                keep(desk, one, notebook)
                done[one.student] = one
                _tell(progress, one.student, "marked")
        work.remember()
    return [done[s.id] for s in work.folder.students if s.id in done]


def _tell(progress: Progress | None, student: str, what: str) -> None:
    if progress:
        progress(student, what)


def _sorted_out(
    desk: Bookkeeping, limits: Limits | None, progress: Progress | None
) -> tuple[dict[str, str], dict[str, Marked]]:
    """Return student → fingerprint of what must be run, and the marked work of all others."""
    todo: dict[str, str] = {}
    done: dict[str, Marked] = {}
    told: dict[str, str] = {}
    scores = reader.machine_scores(desk.book, desk.work.slug)
    for student in who_handed_in(desk.work):
        handed = HandedIn.of(desk.work.folder, student, desk.work.slug)
        print_ = fingerprint_of(desk.work, desk.release, handed)
        kept = recorded(desk.work.folder, student, desk.work.slug)
        same = kept and kept.fingerprint == print_ and _within(kept, limits)
        again = _again(desk, kept, scores.get(student, {})) if kept and same else None
        if again is None:
            todo[student] = print_
        else:
            done[student], told[student] = again
    late = marks_writer.renew_late_penalties(desk.book, desk.work.slug, list(done), desk.rule)
    for student_id, what in told.items():
        fresh = student_id in late and what == "unchanged"
        _tell(progress, student_id, "late penalty set" if fresh else what)
    return todo, done


def who_handed_in(work: Assignment) -> list[str]:
    """Return who has handed in, in the roster's order; a folder without a notebook counts."""
    return [s.id for s in work.folder.students if work.folder.submitted(s.id, work.slug).is_dir()]


def _within(kept: Marked, limits: Limits | None) -> bool:
    """Whether `limits` could not have changed what came of a run: nothing stopped, or the same ones."""
    return not kept.stops or kept.limits == asdict(limits or Limits())


def _again(
    desk: Bookkeeping, kept: Marked, scores: Mapping[str, float | None]
) -> tuple[Marked, str] | None:
    """Return work marked again from the values that its run gave; None where it must be run."""
    numbers = desk.work.numbers(kept.student)
    marks = mark(desk.work.exercise, desk.work.key, numbers, kept.values, kept.stops, kept.written)
    one = replace(kept, marks=tuple(marks))
    if one == kept and stands(desk, one, scores):
        return one, "unchanged"
    ran = ran_notebook(desk.work.folder, one.student, one.slug)
    if ran is None:
        return None
    handed = HandedIn.of(desk.work.folder, one.student, one.slug)
    notebook, repairs = restored(desk.release, handed.notebook or desk.release)
    before = {c.id: c.outputs for c in ran.cells if c.cell_type == "code"}
    outputs = {i: list(before.get(c.id, ())) for i, c in enumerate(notebook.cells)}
    show(notebook, Run(outputs=outputs), one.marks)
    one = replace(one, repairs=_repairs(handed, repairs))
    keep(desk, one, notebook, again=True)
    return one, "marked again"


def _repairs(handed: HandedIn, repairs: Sequence[str]) -> tuple[str, ...]:
    """Return what the student is told about the state of what was handed in."""
    trouble = handed.trouble or ("" if handed.notebook else _UNREADABLE)
    return ((trouble,) if trouble else tuple(repairs)) + handed.left_out()


_UNREADABLE = "The file is not a notebook that can be read. Hand it in again."


@dataclass(frozen=True)
class _Open:
    """Handed-in work put back in order; `trouble` says why there is nothing to run."""

    handed: HandedIn
    notebook: NotebookNode
    repairs: tuple[str, ...]
    trouble: str
    fingerprint: str


def _opened(work: Assignment, release: NotebookNode, student: str, fingerprint: str) -> _Open:
    handed = HandedIn.of(work.folder, student, work.slug)
    notebook, repairs = restored(release, handed.notebook or release)
    trouble = handed.trouble or ("" if handed.notebook else _UNREADABLE)
    return _Open(handed, notebook, _repairs(handed, repairs), trouble, fingerprint)


def _task(work: Assignment, found: _Open) -> Task:
    student = found.handed.student
    files: dict[str, str | bytes] = {NUMBERS_FILE: work.numbers_text(student)}
    for name, data in found.handed.files().items():
        files.setdefault(name, data)  # the kit's own file counts, never one of its name
    return Task(student, found.notebook, probes(work.exercise), files)


def _run_all(
    desk: Bookkeeping, todo: Mapping[str, str], place: RunPlace
) -> Iterator[tuple[Marked, NotebookNode]]:
    """Yield marked work and its notebook as each is ready; what cannot be opened comes last."""
    opened: dict[str, _Open] = {}
    broken: list[_Open] = []

    def tasks() -> Iterator[Task]:
        for student, fingerprint in todo.items():
            found = _opened(desk.work, desk.release, student, fingerprint)
            if found.trouble:
                broken.append(found)
            else:
                opened[student] = found
                yield _task(desk.work, found)

    for task, run in place.runs(tasks()):
        yield _marked(desk.work, opened.pop(task.student), run, place.limits)
    for found in broken:
        yield _marked(desk.work, found, Run(), place.limits)


def mark_one(
    work: Assignment, release: NotebookNode, student: str, warm: Warm, fingerprint: str = ""
) -> tuple[Marked, NotebookNode]:
    """Return one student's marks and the notebook as it ran, with each mark shown in its cell."""
    found = _opened(work, release, student, fingerprint)
    task = _task(work, found)
    run = Run() if found.trouble else warm.run(task.notebook, task.probes, task.files)
    return _marked(work, found, run, warm.limits)


def _marked(
    work: Assignment, found: _Open, run: Run, limits: Limits
) -> tuple[Marked, NotebookNode]:
    """Return the marks of a run, and its notebook with each mark shown in its cell."""
    student, notebook = found.handed.student, found.notebook
    stops, written = _stops(notebook, run, found.trouble), _written(notebook)
    marks = mark(work.exercise, work.key, work.numbers(student), run.values, stops, written)
    show(notebook, run, marks)
    one = Marked(
        student, work.slug, tuple(marks), found.repairs, found.fingerprint,
        run.values, stops, written, asdict(limits),
    )  # fmt: skip
    return one, notebook


def _stops(notebook: NotebookNode, run: Run, trouble: str) -> dict[str, str]:
    """Return question id → why its answer cell gave no value, where it stopped."""
    stops: dict[str, str] = {}
    for index, cell in enumerate(notebook.cells):
        id = grade_id(cell) or ""
        if trouble and cell.metadata.nbgrader.get("grade"):
            stops[id] = trouble
        elif id.endswith("-answer") and (why := stop_reason(run, index)):
            stops[id.removesuffix("-answer")] = why
    return stops


def _written(notebook: NotebookNode) -> dict[str, bool]:
    """Return question id → whether a written question was answered."""
    return {
        cell.id: str(cell.source).strip() not in ("", TEXT_STUB)
        for cell in notebook.cells
        if cell.cell_type == "markdown" and cell.metadata.get("nbgrader", {}).get("grade")
    }
