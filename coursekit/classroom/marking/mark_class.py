"""Marks what a class has handed in: reads it, runs it, marks its values and writes the marks.

Only work that holds code is run. Plain answers are read off their cells, which gives the same
values, so a class of answer pages and sheets of paper starts no process and needs no cage. One
submission object goes through all these steps. The release that they compare with is made by
hand-out alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace

from nbformat import NotebookNode

from coursekit.classroom.bank.notebooks import (
    NUMBERS_FILE,
    TEXT_STUB,
    grade_id,
    probes,
    put_back_in_order,
)
from coursekit.classroom.gradebook import marks_writer, opener, reader
from coursekit.classroom.gradebook.nbgrader_settings import late_rule
from coursekit.classroom.handout.assignments import Assignment, released
from coursekit.classroom.intake import first_look
from coursekit.classroom.intake.first_look import NewWork
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.marking.as_meant import take_as_meant
from coursekit.classroom.marking.marked_work import (
    Marked,
    MarkingSession,
    is_up_to_date,
    keep,
    ran_notebook,
)
from coursekit.classroom.marking.marked_work import fingerprint as fingerprint_of
from coursekit.classroom.marking.marked_work import recorded as recorded
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.marking.marks_in_cells import show, stop_reason
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.one_piece import LEFT, one_piece
from coursekit.classroom.running import plain_cells
from coursekit.classroom.running.places import Here, RunPlace, Task
from coursekit.classroom.running.runner import Limits, NotIsolatedError, Run, Warm

Progress = Callable[[str, str], None]
Scores = Mapping[str, Mapping[str, float | None]]


def mark_class(
    work: Assignment,
    *,
    limits: Limits | None = None,
    workers: int | None = None,
    place: RunPlace | None = None,
    progress: Progress | None = None,
    new: NewWork | None = None,
) -> list[Marked]:
    """Return the marked work of every student who has handed `work` in, in the roster's order.

    Each notebook that holds code is run at `place`, or else by one of `workers` warm processes
    here, and marked in this process. Only work that is new or changed is run. Work that was run
    before is marked again from the values it gave, and written if anything differs. `progress` is
    called with a student and what happened; `new` holds what a first look has read already. Where
    there is no cage, all other work is marked, and work that must be run is left, with the reason.

    Raises
    ------
    ClassError
        If the exercise was not handed out, if its release no longer fits it, or if another process
        is marking this class.
    """
    if new is None:
        new = first_look.new_work(work.folder, [work.slug])
    if place is None:
        with Here(limits, workers) as here:
            if new.to_run:
                here.start()
            return mark_class(work, place=here, progress=progress, new=new)
    told = progress or (lambda student, what: None)
    with lock_and_backup.only_writer(work.folder):
        lock_and_backup.sweep(work.folder)
        lock_and_backup.backup(work.folder)
        release = released(work)
        with opener.gradebook(work.folder) as book:
            opener.enrol(book, work.folder.students)
            session = MarkingSession(work, book, release, late_rule(work.folder))
            done = _marked_and_kept(session, place, new, told)
        work.remember()
    return [done[s.id] for s in work.folder.students if s.id in done]


def _marked_and_kept(
    session: MarkingSession, place: RunPlace, new: NewWork, told: Progress
) -> dict[str, Marked]:
    """Mark and keep all work, first what need not be run; return student → marked work."""
    to_run: list[str] = []
    done: dict[str, Marked] = {}
    again: dict[str, str] = {}
    scores = reader.machine_scores(session.book, session.work.slug)
    for student in who_handed_in(session.work):
        with _alone(session, student, told):
            submission = new.take(session.work.folder, student, session.work.slug)
            kept = _without_running(session, submission, scores, place.limits)
            if kept is not None:
                done[student], again[student] = kept
            elif one := _read_off(session, submission, new, place.limits):
                done[student] = one
            else:
                to_run.append(student)
                new.keep(submission)
        if student in done and student not in again:
            told(student, "marked")
    late = marks_writer.renew_late_penalties(
        session.book, session.work.slug, list(again), session.rule
    )
    for student, said in again.items():
        told(student, "late penalty set" if student in late and said == "unchanged" else said)
    for ready, run in _run_all(session, to_run, new, place, told):
        student = ready.submission.student
        with _alone(session, student, told):
            done[student] = _kept(session, ready, run, place.limits)
        if student in done:
            told(student, "marked")
    return done


def _read_off(
    session: MarkingSession, submission: Submission, new: NewWork, limits: Limits
) -> Marked | None:
    """Return work that was marked and kept without a run, or None if it must be run."""
    if (submission.student, submission.slug) in new.to_run:
        return None
    ready = _made_ready(session.release.notebook, submission)
    run = _plain_run(session.work, session.release.notebook, ready)
    return _kept(session, ready, run, limits) if run is not None else None


def _kept(session: MarkingSession, ready: _Ready, run: Run, limits: Limits) -> Marked:
    """Mark a run, keep the marked work and return it."""
    one, notebook = _marked(session.work, session.release.notebook, ready, run, limits)
    keep(session, ready.submission, one, notebook)
    return one


@contextmanager
def _alone(session: MarkingSession, student: str, told: Progress) -> Iterator[None]:
    """Keep a failure to one student, and undo what was half written to the gradebook."""

    def left(why: str) -> None:
        session.book.db.rollback()
        told(student, LEFT + why)

    with one_piece(left):
        yield


def who_handed_in(work: Assignment) -> list[str]:
    """Return who has handed in, in the roster's order; a folder without a notebook counts too."""
    return [s.id for s in work.folder.students if work.folder.submitted(s.id, work.slug).is_dir()]


def _without_running(
    session: MarkingSession, submission: Submission, scores: Scores, limits: Limits
) -> tuple[Marked, str] | None:
    """Return work marked again from the values that its run gave, or None if it must be run."""
    work, student = session.work, submission.student
    kept = recorded(work.folder, student, work.slug)
    same = kept and kept.fingerprint == fingerprint_of(work, session.release.notebook, submission)
    if kept is None or not same or not _within(kept, limits):
        return None
    numbers = work.numbers(student)
    marks = mark(work.exercise, work.key, numbers, kept.values, kept.stops, kept.written)
    one = replace(kept, marks=tuple(marks))
    if one == kept and is_up_to_date(session, submission, one, scores.get(student, {})):
        return one, "unchanged"
    ran = ran_notebook(work.folder, student, work.slug)
    if ran is None:
        return None
    ready = _made_ready(session.release.notebook, submission)
    before = {c.id: c.outputs for c in ran.cells if c.cell_type == "code"}
    outputs = {i: list(before.get(c.id, ())) for i, c in enumerate(ready.notebook.cells)}
    show(ready.notebook, Run(outputs=outputs), one.marks)
    one = replace(one, repairs=ready.repairs)
    keep(session, submission, one, ready.notebook, again=True)
    return one, "marked again"


def _within(kept: Marked, limits: Limits) -> bool:
    """Whether the run still holds under `limits`: nothing stopped, or the limits are the same."""
    return not kept.stops or kept.limits == asdict(limits)


@dataclass(frozen=True)
class _Ready:
    """A submission with its notebook put back in order, and what to tell the student about that."""

    submission: Submission
    notebook: NotebookNode
    repairs: tuple[str, ...]


def _made_ready(release: NotebookNode, submission: Submission) -> _Ready:
    notebook, repairs = put_back_in_order(release, submission.notebook or release)
    said = (submission.trouble,) if submission.trouble else tuple(repairs)
    return _Ready(submission, notebook, said + submission.left_out())


def _task(work: Assignment, ready: _Ready) -> Task:
    student = ready.submission.student
    files: dict[str, str | bytes] = {NUMBERS_FILE: work.numbers_text(student)}
    for name, data in ready.submission.files().items():
        files.setdefault(name, data)  # a student's own numbers.json never replaces the kit's
    return Task(student, ready.notebook, probes(work.exercise), files)


def _plain_run(work: Assignment, release: NotebookNode, ready: _Ready) -> Run | None:
    """Return what a run would give if that is known without one, or None if it must be run."""
    if ready.submission.trouble:
        return Run()
    numbers = work.numbers_text(ready.submission.student)
    return plain_cells.run_of(work.exercise, release, ready.notebook, numbers)


def _run_all(
    session: MarkingSession, students: list[str], new: NewWork, place: RunPlace, told: Progress
) -> Iterator[tuple[_Ready, Run]]:
    """Yield work and its run as each is ready; work that turns out not to need one comes last."""
    work, release = session.work, session.release.notebook
    out: dict[str, _Ready] = {}
    known: list[tuple[_Ready, Run]] = []

    def tasks() -> Iterator[Task]:
        for student in students:
            task: Task | None = None
            with _alone(session, student, told):
                ready = _made_ready(release, new.take(work.folder, student, work.slug))
                if ready.submission.trouble:
                    known.append((ready, Run()))
                else:
                    task = _task(work, ready)
                    out[student] = ready
            if task is not None:
                yield task

    waiting = tasks()
    try:
        for task, run in place.runs(waiting):
            yield out.pop(task.student), run
    except NotIsolatedError:
        left = list(out) + [task.student for task in waiting]
        for student in left:
            told(student, LEFT + _NO_CAGE)
    yield from known


_NO_CAGE = (
    "The notebook holds code, and code is run in a cage alone; this machine offers none. "
    "`coursekit cage` says why, and what to do."
)


def mark_one(
    work: Assignment, release: NotebookNode, submission: Submission, warm: Warm
) -> tuple[Marked, NotebookNode]:
    """Return a submission's marks and its notebook as it ran, with each mark shown in its cell."""
    ready = _made_ready(release, submission)
    run = _plain_run(work, release, ready)
    if run is None:
        task = _task(work, ready)
        run = warm.run(task.notebook, task.probes, task.files)
    return _marked(work, release, ready, run, warm.limits)


def _marked(
    work: Assignment, release: NotebookNode, ready: _Ready, run: Run, limits: Limits
) -> tuple[Marked, NotebookNode]:
    """Return the marks of a run, and its notebook with each mark shown in its cell."""
    submission, notebook = ready.submission, ready.notebook
    stops, written = _stops(notebook, run, submission.trouble), _written(notebook)
    take_as_meant(work.exercise, release, notebook, run, stops)
    numbers = work.numbers(submission.student)
    marks = mark(work.exercise, work.key, numbers, run.values, stops, written)
    show(notebook, run, marks)
    one = Marked(
        student=submission.student,
        slug=work.slug,
        marks=tuple(marks),
        repairs=ready.repairs,
        fingerprint=fingerprint_of(work, release, submission),
        values=run.values,
        stops=stops,
        written=written,
        limits=asdict(limits),
    )
    return one, notebook


def _stops(notebook: NotebookNode, run: Run, trouble: str) -> dict[str, str]:
    """Return question id → why its answer cell gave no value, for cells that stopped."""
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
