"""Wall time, processor time and memory of each step of a term: `python -m tests.benchmarks.term 300 5`.

Each step runs as the command it is, in a process of its own; memory is the peak of that process or of
the largest of its children, processor time that of all of them, as the system counts it.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat

from coursekit import project
from coursekit.book.lesson import lessons
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.register import class_folder

RUN = "import sys; from coursekit.cli import main; sys.argv[0] = 'coursekit'; main()"
_CHILD = """
import json, resource, subprocess, sys
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([done.returncode, used.ru_maxrss / 1024, used.ru_utime + used.ru_stime]))
"""


def step(name: str, *words: object) -> None:
    """Run one command and print its line of the table."""
    command = [sys.executable, "-c", RUN, *map(str, words)]
    start = time.perf_counter()
    said = subprocess.run([sys.executable, "-c", _CHILD, *command], capture_output=True, text=True)
    seconds = time.perf_counter() - start
    code, peak, used = json.loads(said.stdout or "[1, 0, 0]")
    if code:
        raise SystemExit(f"{name} failed: {said.stderr[-2000:]}")
    print(f"| {name} | {seconds:.1f} | {used:.1f} | {peak:.0f} |", flush=True)


def inbox(work: assignments.Assignment, place: Path) -> None:
    """Write what a class of honest students sends, every fifth with a slip."""
    for turn, student in enumerate(work.folder.students):
        text = (work.folder.bundle(student.id, work.slug) / f"{work.slug}.ipynb").read_text()
        cells = (
            invented_class.slip_cells(work, student.id, 0)
            if turn % 5 == 4
            else invented_class.right_cells(work, student.id)
        )
        filled = invented_class.filled(nbformat.reads(text, as_version=4), cells)
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{work.slug} {turn}.ipynb").write_text(nbformat.writes(filled))


def size(folder: Path) -> float:
    """MB of all files below a folder."""
    return sum(p.stat().st_size for p in folder.rglob("*") if p.is_file()) / 1e6


def main(students: int = 300, count: int = 5) -> None:
    """Print the table."""
    root = project.root()
    slugs = lessons(root)[:count]
    place = Path(tempfile.mkdtemp(prefix="bench-term-"))
    folder = place / "class"
    on = ["--class", folder]
    roster = place / "roster.csv"
    lines = [f"bench-{i:03d},Builder {i}" for i in range(1, students + 1)]
    roster.write_text("\n".join(["id,name", *lines]) + "\n")
    print(
        f"{students} students × {len(slugs)} lessons: {', '.join(slugs)}; load {os.getloadavg()[0]:.1f}"
    )
    print("\n| step | wall, s | processor, s | peak MB |\n| --- | --- | --- | --- |")
    step("open the class", "class", "open", folder, "--roster", roster)
    for slug in slugs:
        step(f"hand out {slug}", "hand-out", slug, *on, "--no-pages", "--quiet")
        work = assignments.assignment(class_folder.load(folder), slug, root)
        inbox(work, place / "inbox" / slug)
    for slug in slugs:
        step(f"take in {slug}", "take-in", place / "inbox" / slug, *on, "--quiet")
    step("mark all", "mark", *slugs, *on, "--quiet")
    step("mark all again, nothing changed", "mark", *slugs, *on, "--quiet")
    for slug in slugs[:1]:
        step(f"feedback {slug}", "feedback", slug, *on, "--quiet")
        step(f"worksheets {slug}", "worksheets", slug, *on)
    step("show", "class", "show", *on)
    step("report", "report", *on, "--quiet")
    step("remind", "remind", *on)
    step("pack", "class", "pack", place / "class.zip", *on)
    step("erase one student", "student", "erase", "bench-007", "--yes", *on)
    packed = (place / "class.zip").stat().st_size / 1e6
    print(f"\nclass folder {size(folder):.0f} MB, packed {packed:.0f} MB")
    shutil.rmtree(place)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
