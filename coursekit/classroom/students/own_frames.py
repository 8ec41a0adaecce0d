"""The frame that a student really builds, put in the place of the drawn one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.handout import assignments
from coursekit.classroom.register import lock_and_backup, real_frames
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.sheets import frame_facts, frame_file


def put(folder: ClassFolder, student: str, file: Path, root: Path) -> Iterator[str]:
    """Put the frame in `file` in place; yield, line by line, what comes of it.

    A lesson that can't be asked about this frame is named, with the question and the reason: it
    gets a case of its own. Raises ClassError for a student who isn't in the class and for a frame
    that can't be cut from its tubes, FrameFileError for a file that can't be read.
    """
    found = folder.student(student)
    own = frame_file.read(file)
    try:
        frame_facts.facts(own)
    except ValueError as error:
        raise ClassError(f"{file}: the frame must be one that can be built; got {error}") from None
    handed_out = [s for s in exercises.slugs(root) if _is_handed_out(folder, student, s)]
    with lock_and_backup.only_writer(folder):
        text = file.read_text(encoding="utf-8-sig")
        real_frames.put(folder, student, text, handed_out)
    yield f"{found.name} builds '{own.name}' from now on."
    if handed_out:
        yield f"Handed out already, so with the numbers of before: {', '.join(handed_out)}."
    for slug in exercises.slugs(root):
        work = assignments.assignment(folder, slug, root)
        if work.exercise.frames and slug not in handed_out:
            if why := work.drawn(student).instead:
                yield f"{slug}: it gets a case of its own, because {why}."
            work.remember()


def _is_handed_out(folder: ClassFolder, student: str, slug: str) -> bool:
    return (folder.bundle(student, slug) / f"{slug}.ipynb").is_file()
