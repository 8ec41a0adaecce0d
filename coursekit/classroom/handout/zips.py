"""What a class is sent: a zip file for each student, and one for a USB stick with all folders.

A zip holds the answer page, the notebook and its numbers, the worksheet, the lesson's pages and the
start files, and nothing of the private half of an exercise. The lesson's pages are the same for
everybody, so they are packed once for the class and copied.
"""

from __future__ import annotations

import os
import shutil
import zipfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.bank import notebooks
from coursekit.classroom.handout import assignments, start_files, worksheets
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.register.phone_code import phone_code, printed
from coursekit.sheets import page, worksheet

PAGES = "lesson"
READ_ME = "READ-ME-FIRST.txt"
INSTRUCTOR_MARK = (
    "instructor-edition"  # a file of this name marks a book that students must not get
)
_NOT_SENT = (".map", ".ttf", ".buildinfo", ".inv")  # files that no current browser asks for
_WHEN = (2026, 1, 1, 0, 0, 0)  # one date for all members: the same content gives the same bytes
Step = Callable[[str], None]


@dataclass(frozen=True)
class MadeZips:
    """The files made for a class: each student's zip, in the roster's order, and the stick's."""

    zips: tuple[Path, ...]
    stick: Path | None


def folder_of(work: Assignment) -> Path:
    """Return where the zips of an exercise lie."""
    return work.folder.path / "to-send" / work.slug


def zip_of(work: Assignment, student: str) -> Path:
    """Return the zip file of one student."""
    return folder_of(work) / f"{work.slug}-{student}.zip"


def stick_of(work: Assignment) -> Path:
    """Return the zip file with everybody's folders."""
    return folder_of(work) / f"{work.slug}.stick.zip"


def make(
    work: Assignment,
    pages: Path | None,
    paper: page.Paper = "a4",
    stick: bool = True,
    progress: Step | None = None,
) -> MadeZips:
    """Make the zips of what was handed out, each written as a whole or not at all; return them.

    `pages` is the folder of the built book's pages; None leaves them out. Call
    `assignments.hand_out` first.

    Raises ClassError if `pages` is the instructor's edition, which holds the solutions.
    """
    if pages is not None:
        refuse_solutions(pages)
    target = folder_of(work)
    target.mkdir(parents=True, exist_ok=True)
    with lock_and_backup.held(work.folder.made / "to-send.lock"):
        _sweep(target)  # what a hand-out that was killed has left
        try:
            made = _make(work, pages, paper, stick, progress or (lambda student: None))
        finally:
            _sweep(target)
    return MadeZips(made, stick_of(work) if stick else None)


def _sweep(target: Path) -> None:
    for part in target.glob(".*.part"):
        part.unlink(missing_ok=True)


def _make(
    work: Assignment, pages: Path | None, paper: page.Paper, stick: bool, progress: Step
) -> tuple[Path, ...]:
    target = folder_of(work)
    shared = target / f".pages.{os.getpid()}.part"
    whole = target / f".stick.{os.getpid()}.part"
    common = start_files.files(f"{work.slug}.ipynb")
    made = []
    _pack_pages(work, pages, shared)
    if stick:
        shutil.copy(shared, whole)
    for student in work.folder.students:
        own = {**_own(work, student.id, student.name, pages, paper), **common}
        part = target / f".{student.id}.{os.getpid()}.part"
        shutil.copy(shared, part)
        add(part, {f"{work.slug}/{name}": data for name, data in own.items()})
        part.replace(zip_of(work, student.id))
        if stick:
            add(whole, _on_stick(work, student.id, own, pages))
        made.append(zip_of(work, student.id))
        progress(student.id)
    if stick:
        add(whole, {f"{work.slug}/{READ_ME}": _STICK.replace("\n", "\r\n").encode()})
        whole.replace(stick_of(work))
    return tuple(made)


_STICK = """\
Each student has a folder here, named by id. Copy yours to your computer, and the folder  lesson  \
beside it,
then open  READ-ME-FIRST.txt  in yours.
"""


def _on_stick(
    work: Assignment, student: str, own: dict[str, bytes], pages: Path | None
) -> dict[str, bytes]:
    """Return a student's files as they lie on the stick, where all share the lesson's pages."""
    here = f"{work.slug}/{student}"
    found = {f"{here}/{name}": data for name, data in own.items()}
    if pages is not None:
        found[f"{here}/read-the-lesson.html"] = _signpost(f"../{first_page(work, pages)}").encode()
    return found


def first_page(work: Assignment, pages: Path) -> str:
    """Return where a lesson begins, as seen from beside the folder of all pages."""
    there = (pages / f"{work.slug}.html").is_file()
    return f"{PAGES}/{work.slug if there else 'index'}.html"


def refuse_solutions(pages: Path) -> None:
    """Raise ClassError if `pages` is not a book, or may be the one with the solutions in it."""
    marked = any((place / INSTRUCTOR_MARK).exists() for place in (pages, *pages.absolute().parents))
    if marked or list(pages.glob("*-solutions.html")) or list(pages.rglob(INSTRUCTOR_MARK)):
        what = "the instructor's edition"
    elif not (pages / "index.html").is_file():
        what = "no book"
    else:
        return
    raise ClassError(
        f"{pages}: what students get must be the students' book; got {what}. Build it with "
        "`coursekit book` and name its folder."
    )


def _pack_pages(work: Assignment, pages: Path | None, target: Path) -> None:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        if pages is None:
            return
        for path in sent_pages(pages):
            name = f"{work.slug}/{PAGES}/{path.relative_to(pages).as_posix()}"
            packed.writestr(_info(name), path.read_bytes())
        signpost = _signpost(first_page(work, pages))
        packed.writestr(_info(f"{work.slug}/read-the-lesson.html"), signpost)


def sent_pages(pages: Path) -> Iterable[Path]:
    """Yield the files of the built book's pages that students get."""
    for path in sorted(pages.rglob("*")):
        told = path.relative_to(pages).parts[0] == "reports"
        left_out = told or path.suffix in _NOT_SENT or path.name in _NOT_SENT
        if path.is_file() and not path.is_symlink() and not left_out:
            yield path


def _signpost(page: str) -> str:
    """Return a page that forwards to another, with a link for browsers that don't forward.

    Where scripts run it forwards to the heading that was asked for, `#two-corners`.
    """
    return (
        '<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>The lesson</title>'
        f'<script>location.replace("{page}" + location.hash)</script>'
        f'<meta http-equiv="refresh" content="0; url={page}">'
        f'<p><a href="{page}">The lesson</a></p></html>\n'
    )


def _own(
    work: Assignment, student: str, name: str, pages: Path | None, paper: page.Paper
) -> dict[str, bytes]:
    """Return a student's own files, the worksheet and the text to read first among them."""
    bundle = work.folder.bundle(student, work.slug)
    found = {p.name: p.read_bytes() for p in sorted(bundle.iterdir()) if p.is_file()}
    drawn = work.drawn(student)
    note = notebooks.another_frame(drawn)
    code = printed(phone_code(work.folder, student))
    copy = worksheets.copy(work.exercise, student, name, drawn.numbers, note, code)
    found["worksheet.pdf"] = worksheet.pdf(worksheets.body(work.exercise), [copy], paper)
    owner = name if name == student else f"{name} ({student})"
    name_of_notebook = f"{work.slug}.ipynb"
    page = assignments.page_name(work.slug, student)
    text = start_files.read_me(
        work.exercise.title,
        owner,
        name_of_notebook,
        pages=pages is not None,
        page=page if page in found else "",
    )
    return {READ_ME: text, **found}


def add(target: Path, files: Mapping[str, bytes]) -> None:
    """Add files, name → content, to a zip file; the same content always gives the same bytes."""
    with zipfile.ZipFile(target, "a", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        for name, data in files.items():
            packed.writestr(_info(name), data)


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _WHEN)
    info.compress_type = zipfile.ZIP_DEFLATED
    runnable = name.rsplit("/", 1)[-1] in start_files.RUNNABLE
    info.create_system = 3  # so that the rights below are read
    info.external_attr = (0o100755 if runnable else 0o100644) << 16
    return info
