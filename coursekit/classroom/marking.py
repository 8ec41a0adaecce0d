"""Marks what a class has handed in: take each notebook, run it, mark its values, write the marks."""

from __future__ import annotations

import hashlib
import html
import json
import os
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit import __version__
from coursekit.classroom import gradebook
from coursekit.classroom.classes import ClassFolder, write_text
from coursekit.classroom.handout import Assignment, make_release
from coursekit.classroom.marker import Mark, mark
from coursekit.classroom.notebooks import NUMBERS_FILE, TEXT_STUB, grade_id, probes, restored
from coursekit.classroom.runner import Limits, Run, Warm

LARGEST_NOTEBOOK = 20_000_000  # bytes
RECORD = "marks.json"
Progress = Callable[[str, str], None]


@dataclass(frozen=True)
class Marked:
    """One student's marked work: marks, what was put back in order, when it came."""

    student: str
    slug: str
    marks: tuple[Mark, ...]
    repairs: tuple[str, ...]
    fingerprint: str

    @property
    def total(self) -> float:
        """Marks in all, of those that the machine gave."""
        return sum(m.marks for m in self.marks)


def mark_class(
    work: Assignment,
    *,
    limits: Limits | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> list[Marked]:
    """Return the marked work of every student who has handed `work` in, in the roster's order.

    Each notebook is run by one of `workers` warm processes and marked in this one. What has not
    changed since it was marked is left as it is. `progress` is told (student, what happened).
    """
    release_text = make_release(work).read_text(encoding="utf-8")
    release = nbformat.reads(release_text, as_version=4)
    todo, done = _sorted_out(work, release_text)
    for student in done:
        _tell(progress, student, "unchanged")
    with gradebook.gradebook(work.folder) as book:
        gradebook.enrol(book, work.folder.students)
        for one, notebook in _run_all(work, release, todo, limits, workers):
            _keep(work, book, one, notebook)
            done[one.student] = one
            _tell(progress, one.student, "marked")
    return [done[s.id] for s in work.folder.students if s.id in done]


def _tell(progress: Progress | None, student: str, what: str) -> None:
    if progress:
        progress(student, what)


def _sorted_out(work: Assignment, release_text: str) -> tuple[dict[str, str], dict[str, Marked]]:
    """Return student → fingerprint of what must be marked, and what is marked already."""
    todo: dict[str, str] = {}
    done: dict[str, Marked] = {}
    for student in work.folder.students:
        path = work.folder.submitted(student.id, work.slug) / f"{work.slug}.ipynb"
        if not path.exists():
            continue
        print_ = _fingerprint(work, student.id, path, release_text)
        kept = recorded(work.folder, student.id, work.slug)
        if kept and kept.fingerprint == print_:
            done[student.id] = kept
        else:
            todo[student.id] = print_
    return todo, done


def _fingerprint(work: Assignment, student: str, path: Path, release_text: str) -> str:
    """Return a digest of all that a student's marks depend on."""
    digest = hashlib.sha256()
    stamp = path.parent / "timestamp.txt"
    parts = [__version__, release_text, work.numbers_text(student), _key_text(work)]
    parts.append(stamp.read_text(encoding="utf-8") if stamp.is_file() else "")
    for part in parts:
        digest.update(part.encode() + b"\0")
    with path.open("rb") as file:
        digest.update(file.read(LARGEST_NOTEBOOK + 1))
    return digest.hexdigest()


def _key_text(work: Assignment) -> str:
    """Return the key's own text as a digest sees it: the answers and slips for this exercise."""
    import inspect

    key = work.key
    sums = [a.sum for a in key.answers.values()]
    sums += [s.sum for slips in key.slips.values() for s in slips]
    modules = {inspect.getsourcefile(s) for s in sums}
    return "".join(Path(m).read_text(encoding="utf-8") for m in sorted(filter(None, modules)))


def _run_all(
    work: Assignment,
    release: NotebookNode,
    todo: Mapping[str, str],
    limits: Limits | None,
    workers: int | None,
) -> Iterator[tuple[Marked, NotebookNode]]:
    """Yield marked work and its notebook as each is ready; warm processes are shared out."""
    count = max(1, min(workers or os.cpu_count() or 1, len(todo)))
    if not todo:
        return
    local = threading.local()
    warms: list[Warm] = []

    def one(student: str) -> tuple[Marked, NotebookNode]:
        if not hasattr(local, "warm"):
            local.warm = Warm(limits)
            warms.append(local.warm)
        return mark_one(work, release, student, local.warm, todo[student])

    pool = ThreadPoolExecutor(count)
    try:
        for future in as_completed([pool.submit(one, s) for s in todo]):
            yield future.result()
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
        for warm in warms:
            warm.close()


def mark_one(
    work: Assignment, release: NotebookNode, student: str, warm: Warm, fingerprint: str = ""
) -> tuple[Marked, NotebookNode]:
    """Return one student's marks and the notebook as it ran, with each mark shown in its cell."""
    path = work.folder.submitted(student, work.slug) / f"{work.slug}.ipynb"
    submitted, trouble = _opened(path)
    notebook, repairs = restored(release, submitted or release)
    if trouble:
        run, repairs = Run(), [trouble]
    else:
        run = warm.run(notebook, probes(work.exercise), {NUMBERS_FILE: work.numbers_text(student)})
    stops = _stops(notebook, run, trouble)
    numbers = work.numbers(student)
    marks = mark(work.exercise, work.key, numbers, run.values, stops, _written(notebook))
    _show(notebook, run, marks)
    return Marked(student, work.slug, tuple(marks), tuple(repairs), fingerprint), notebook


def _opened(path: Path) -> tuple[NotebookNode | None, str]:
    """Return the notebook at `path`, or None and why it cannot be read."""
    try:
        if path.stat().st_size > LARGEST_NOTEBOOK:
            return (
                None,
                f"The file is larger than {LARGEST_NOTEBOOK // 10**6} MB, so it was not opened.",
            )
        notebook = nbformat.reads(path.read_text(encoding="utf-8"), as_version=4)
        for cell in notebook.cells:
            if cell.cell_type not in ("code", "markdown", "raw") or not isinstance(
                cell.source, str
            ):
                raise ValueError("a cell has no text")
            if not isinstance(cell.metadata, dict):
                raise ValueError("a cell has no metadata")
    except Exception:  # whatever a broken file brings, the class goes on
        return None, "The file is not a notebook that can be read. Hand it in again."
    return notebook, ""


def _stops(notebook: NotebookNode, run: Run, trouble: str) -> dict[str, str]:
    """Return question id → why its answer cell gave no value, where it stopped."""
    stops: dict[str, str] = {}
    for index, cell in enumerate(notebook.cells):
        id = grade_id(cell) or ""
        if trouble and cell.metadata.nbgrader.get("grade"):
            stops[id] = trouble
        elif id.endswith("-answer") and (why := _stop(run, index)):
            stops[id.removesuffix("-answer")] = why
    return stops


_ENDS = {
    "time": "Your cell ran too long and was stopped.",
    "output": "Your cell printed far too much and was stopped.",
}


def _stop(run: Run, index: int) -> str:
    if index in run.stopped:
        return _ENDS.get(run.stopped[index], "Your cell brought the whole notebook down.")
    for output in run.outputs.get(index, ()):
        if output.get("output_type") == "error":
            if output.get("ename") == "CellTimeout":
                return _ENDS["time"]
            return f"Your cell stopped with an error: {output.get('ename')}: {output.get('evalue')}"
    return ""


def _show(notebook: NotebookNode, run: Run, marks: Sequence[Mark]) -> None:
    """Put outputs into the notebook; a cell that carries marks shows them, as nbgrader reads them."""
    by_id = {m.question: m for m in marks}
    for index, cell in enumerate(notebook.cells):
        if cell.cell_type != "code":
            continue
        outputs = [o for o in run.outputs.get(index, ()) if _well_formed(o)]
        if index in run.stopped:
            outputs = [_stopped_output(run.stopped[index])]
        cell.execution_count = index + 1
        if found := by_id.get(cell.id):
            outputs = [_mark_output(found, index + 1)]
        for output in outputs:
            if output["output_type"] == "execute_result":
                output["execution_count"] = index + 1
        cell.outputs = [nbformat.from_dict(o) for o in outputs]


def _well_formed(output: Mapping[str, Any]) -> bool:
    try:
        nbformat.validate(nbformat.from_dict(output), ref="output", version=4)
    except Exception:  # an output that a student's code has bent out of shape is dropped
        return False
    return True


def _stopped_output(ended: str) -> dict[str, Any]:
    said = _ENDS.get(ended, "Your cell brought the whole notebook down.")
    return {
        "output_type": "error",
        "ename": "Stopped",
        "evalue": said,
        "traceback": [f"Stopped: {said}"],
    }


def _mark_output(found: Mark, count: int) -> dict[str, Any]:
    """Return a mark as the result of its cell: a plain number for nbgrader, words for the student."""
    lines = [f"<b>{found.marks:g} of {found.out_of:g}</b>: {html.escape(found.reason)}"]
    if found.hint:
        lines.append(html.escape(found.hint))
    if found.given:
        lines.append(f"Your value: {html.escape(found.given)}")
    return {
        "output_type": "execute_result",
        "execution_count": count,
        "metadata": {},
        "data": {
            "text/plain": repr(float(found.marks)),
            "text/html": "<p>" + "<br>".join(lines) + "</p>",
        },
    }


def _keep(work: Assignment, book: Any, one: Marked, notebook: NotebookNode) -> None:
    """Write notebook, gradebook and, last, the record that says that this submission is done."""
    folder = work.folder.autograded(one.student, one.slug)
    stamp = work.folder.submitted(one.student, one.slug) / "timestamp.txt"
    text = stamp.read_text(encoding="utf-8") if stamp.is_file() else ""
    write_text(folder / f"{one.slug}.ipynb", nbformat.writes(notebook) + "\n")
    write_text(folder / NUMBERS_FILE, work.numbers_text(one.student))
    if text:
        write_text(folder / "timestamp.txt", text)
    gradebook.write(book, one.slug, one.student, one.marks, _when(text))
    record = {
        "fingerprint": one.fingerprint,
        "repairs": list(one.repairs),
        "marks": [asdict(m) for m in one.marks],
    }
    write_text(folder / RECORD, json.dumps(record, indent=1, ensure_ascii=False) + "\n")


def _written(notebook: NotebookNode) -> dict[str, bool]:
    """Return question id → whether a written question was answered."""
    return {
        cell.id: str(cell.source).strip() not in ("", TEXT_STUB)
        for cell in notebook.cells
        if cell.cell_type == "markdown" and cell.metadata.get("nbgrader", {}).get("grade")
    }


def _when(text: str) -> datetime | None:
    """Return the time in a timestamp file in UTC without zone, as the gradebook keeps it."""
    from nbgrader.utils import parse_utc

    try:
        when = parse_utc(text.strip()) if text.strip() else None
    except (ValueError, OverflowError):
        return None
    return (
        when if when is None or when.tzinfo is None else when.astimezone(UTC).replace(tzinfo=None)
    )


def recorded(folder: ClassFolder, student: str, slug: str) -> Marked | None:
    """Return what `mark_class` recorded of a student's work, or None."""
    path = folder.autograded(student, slug) / RECORD
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        marks = tuple(Mark(**m) for m in record["marks"])
        return Marked(student, slug, marks, tuple(record["repairs"]), str(record["fingerprint"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None
