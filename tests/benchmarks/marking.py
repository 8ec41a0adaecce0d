"""Marking beside its peer, in one run: `uv run python -m tests.benchmarks.marking [students] [--growth [--plain]]`.

The same students, three copies of the exercise, the same answer cells, every value right or plainly
wrong. The peer is the stock `nbgrader autograde` in a class folder of its own without this kit's
plug-ins, with check cells that it can run: a look-up of the expected value and one `assert`, so that
the peer's time is its own. Every answer cell holds code, so that all are run; with `--plain` they hold the
values alone, which this kit marks without a run. Both run as commands and pay their own start; the peer takes one exercise a
command, this kit's takes them all in one.
Marks must be the same cell by cell. Time is by the wall and by the processor (user and system, children
among it: other work on the machine does not count there). Memory is the largest sum over all processes
of one command, sampled: RSS counts shared pages once a process, PSS divides them.
"""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import nbformat
from nbgrader.api import Gradebook

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class, marked_work
from coursekit.classroom.register.class_folder import Student, open_class, write_text
from coursekit.classroom.running.places import Here
from tests import stock_peer

ROOT = Path(__file__).resolve().parents[2]
SLUGS = ("miter-angles-a", "miter-angles-b", "miter-angles-c")


def course(place: Path) -> Path:
    """Write a course with three copies of the exercise and return its folder."""
    for folder in ("course", "exercises", "solutions"):
        (place / folder).mkdir(parents=True)
    (place / "course" / "_toc.yml").write_text("root: intro\n")
    shutil.copy(ROOT / "exercises" / "frames.toml", place / "exercises")
    for slug in SLUGS:
        for old in (
            ROOT / "exercises" / "miter-angles.md",
            *(ROOT / "solutions").glob("miter-angles.*"),
        ):
            text = old.read_text(encoding="utf-8").replace('Key("miter-angles")', f'Key("{slug}")')
            (place / old.parent.name / f"{slug}{old.suffix}").write_text(text, encoding="utf-8")
    return place


def answers_of(
    work: assignments.Assignment, turn: int, student: str, plain: bool = False
) -> dict[str, str]:
    """Return the answer cells of one student: every fifth value wrong, another a student."""
    right = own_numbers.answers(work.exercise, work.key, work.numbers(student))
    marked = [q for q in work.exercise.graded if q.kind != "written"]
    values = {
        q.id: stock_peer.answer(q, right[q.id], (turn + i) % 5 == 0) for i, q in enumerate(marked)
    }
    cells = invented_class._cells(work, values)
    return (
        cells if plain else {id: text.replace(" = ", " = 0 or ", 1) for id, text in cells.items()}
    )


def ours(folder: Path, root: Path, count: int, plain: bool = False) -> list[assignments.Assignment]:
    """Return the works of a class of `count`, handed out and handed in."""
    roster = [Student(f"bench-{i:03d}", f"Bench {i}") for i in range(1, count + 1)]
    opened = open_class(folder, roster)
    works = [assignments.assignment(opened, slug, root) for slug in SLUGS]
    for work in works:
        assignments.hand_out(work)
        for turn, student in enumerate(roster):
            name = f"{work.slug}.ipynb"
            bundle = opened.bundle(student.id, work.slug)
            notebook = nbformat.read(bundle / name, as_version=4)
            filled = invented_class.filled(notebook, answers_of(work, turn, student.id, plain))
            write_text(opened.submitted(student.id, work.slug) / name, nbformat.writes(filled))
    return works


def stock(folder: Path, works: list[assignments.Assignment]) -> None:
    """Make the peer's class folder with the same work handed in."""
    folder.mkdir(parents=True)
    (folder / "nbgrader_config.py").write_text(stock_peer.CONFIG)
    for work in works:
        stock_peer.write_source(folder, work)
        run([sys.executable, "-m", "nbgrader", "generate_assignment", work.slug], folder)
        for turn, student in enumerate(s.id for s in work.folder.students):
            stock_peer.hand_in(folder, work, student, answers_of(work, turn, student))


def run(command: list[str], folder: Path) -> dict[str, float]:
    """Run a command; return its seconds by wall and processor and its largest memory in MB."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    with (folder / "said.log").open("ab") as log:
        process = subprocess.Popen(command, cwd=folder, stdout=log, stderr=log)
        most = {"rss": 0.0, "pss": 0.0}
        sampler = threading.Thread(target=_sample, args=(process.pid, most), daemon=True)
        sampler.start()
        code = process.wait()
        sampler.join()
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if code:
        raise SystemExit((folder / "said.log").read_text()[-2000:])
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return {"wall": wall, "cpu": cpu, **most}


def _sample(pid: int, most: dict[str, float]) -> None:
    while Path(f"/proc/{pid}").exists() and (tree := _tree(pid)):
        for name in most:
            most[name] = max(most[name], sum(_memory(p, name.title()) for p in tree))
        time.sleep(0.2)


def _tree(pid: int) -> list[int]:
    parents: dict[int, int] = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError, ValueError, IndexError):
            parents[int(path.parent.name)] = int(path.read_text().rsplit(")", 1)[1].split()[1])
    tree = [pid] if pid in parents else []
    for one in tree:
        tree += [child for child, parent in parents.items() if parent == one]
    return tree


def _memory(pid: int, name: str) -> float:
    with suppress(OSError):
        for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
            if line.startswith(f"{name}:"):
                return int(line.split()[1]) / 1024
    return 0.0


def scores(db: Path, slug: str) -> dict[tuple[str, str], float]:
    """Return (student, cell) → score as the gradebook has it."""
    with Gradebook(f"sqlite:///{db}") as book:
        return {
            (submission.student.id, grade.name): float(grade.score)
            for submission in book.assignment_submissions(slug)
            for notebook in submission.notebooks
            for grade in notebook.grades
        }


def total(runs: list[dict[str, float]]) -> dict[str, float]:
    """Return seconds summed and memory at its largest."""
    return {k: (sum if k in ("wall", "cpu") else max)(r[k] for r in runs) for k in runs[0]}


def marked_by(folder: Path, root: Path, slugs: tuple[str, ...] = SLUGS) -> dict[str, float]:
    """Mark with this kit's command: one for all exercises, as an instructor would."""
    os.environ["COURSEKIT_ROOT"] = str(root)
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # both sides find their modules compiled
    command = [sys.executable, "-m", "coursekit.cli", "mark", *slugs]
    return run([*command, "--class", str(folder), "--quiet"], folder)


def compare(count: int) -> None:
    """Mark the same work both ways and print the figures."""
    with tempfile.TemporaryDirectory() as place:
        root, kit, peer = course(Path(place) / "course"), Path(place) / "kit", Path(place) / "stock"
        works = ours(kit, root, count)
        stock(peer, works)
        mine = marked_by(kit, root)
        autograde = [sys.executable, "-m", "nbgrader", "autograde"]
        theirs = total([run([*autograde, slug], peer) for slug in SLUGS])
        for slug in SLUGS:
            one, other = scores(kit / "gradebook.db", slug), scores(peer / "gradebook.db", slug)
            differ = {k: (one[k], other.get(k)) for k in one if one[k] != other.get(k)}
            if differ or one.keys() != other.keys():
                raise SystemExit(f"{slug}: marks differ: {differ}")
        cells = sum(len(scores(kit / "gradebook.db", slug)) for slug in SLUGS)
        notebooks = 3 * count
        print(f"{notebooks} notebooks, {cells} marked cells, all marks identical")
        for name, found in (("nbgrader autograde", theirs), ("coursekit mark", mine)):
            print(
                f"{name:20s} wall {found['wall']:7.1f} s  processor {found['cpu']:7.1f} s  "
                f"{notebooks / found['wall']:6.1f} notebooks/s  RSS {found['rss']:6.0f} MB  "
                f"PSS {found['pss']:6.0f} MB"
            )
        print(
            f"ratio                wall {theirs['wall'] / mine['wall']:.1f}  "
            f"processor {theirs['cpu'] / mine['cpu']:.1f}"
        )
        stages(works)


def stages(works: list[assignments.Assignment]) -> None:
    """Mark once more in this process, and print where a notebook's time goes."""
    spent: dict[str, list[float]] = {}
    for work in works:
        shutil.rmtree(work.folder.path / "autograded", ignore_errors=True)
    start = time.perf_counter()
    with _timed(spent), Here() as here:
        here.start()
        for work in works:
            fresh = assignments.Assignment(work.folder, work.exercise, work.key)
            mark_class.mark_class(fresh, place=here)
    wall, count = time.perf_counter() - start, len(spent["run, waiting for it"])
    print(
        f"in one process       wall {wall:7.1f} s  {count / wall:6.1f} notebooks/s; a notebook, in ms:"
    )
    for name, times in spent.items():
        print(f"  {name:28s} {1000 * sum(times) / count:7.2f}")


@contextmanager
def _timed(spent: dict[str, list[float]]) -> Any:
    """Note the processor time of each stage's own thread, and of the runs the time by the wall."""
    from coursekit.classroom.gradebook import marks_writer
    from coursekit.classroom.running.runner import Warm

    places: list[tuple[str, Any, str, Callable[[], float]]] = [
        ("own numbers", own_numbers, "for_frame", time.thread_time),
        ("open and restore", mark_class, "_made_ready", time.thread_time),
        ("run, waiting for it", Warm, "run", time.perf_counter),
        ("mark", mark_class, "mark", time.thread_time),
        ("outputs into notebook", mark_class, "show", time.thread_time),
        ("keep: all files and marks", mark_class, "keep", time.thread_time),
        ("  of it notebook as text", marked_work, "file_text", time.thread_time),
        ("  of it gradebook", marks_writer, "write", time.thread_time),
        ("keep, by the wall", marked_work, "_keep_files", time.perf_counter),
    ]
    places[-1] = ("  of it gradebook, by the wall", marks_writer, "write", time.perf_counter)
    kept = [(home, attribute, getattr(home, attribute)) for _, home, attribute, _ in places]
    for name, home, attribute, clock in places:
        setattr(
            home, attribute, _clocked(getattr(home, attribute), spent.setdefault(name, []), clock)
        )
    try:
        yield
    finally:
        for home, attribute, function in kept:
            setattr(home, attribute, function)


def _clocked(function: Any, times: list[float], clock: Callable[[], float]) -> Any:
    def call(*args: Any, **more: Any) -> Any:
        start = clock()
        try:
            return function(*args, **more)
        finally:
            times.append(clock() - start)

    return call


def growth(counts: tuple[int, ...] = (30, 100, 300), plain: bool = False) -> None:
    """Print time and memory of one exercise for growing classes."""
    for count in counts:
        with tempfile.TemporaryDirectory() as place:
            root, kit = course(Path(place) / "course"), Path(place) / "kit"
            ours(kit, root, count, plain)
            found = marked_by(kit, root, SLUGS[:1])
            print(
                json.dumps({"students": count, **{k: round(v, 1) for k, v in found.items()}}),
                flush=True,
            )


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    if "--growth" in sys.argv:
        growth(tuple(numbers) or (30, 100, 300), "--plain" in sys.argv)
    else:
        compare(numbers[0] if numbers else 30)
