"""The frame that a student's lesson is about: the one they really build, or else the drawn one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from coursekit.classroom.bank import exercises, own_frame
from coursekit.classroom.register import real_frames
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.sheets.build import Build

LESSON = "frame-drawing"  # whose frame is printed unless another lesson is named


def of_student(folder: ClassFolder, student: str, slug: str, root: Path) -> Build:
    """Return the frame that a student's lesson is about, the real one or else the drawn one.

    Its builder is the student. Raises ClassError for a student who isn't in the class,
    AuthoringError for a lesson that isn't there.
    """
    name = folder.student(student).name
    exercises.load(slug, root)
    if turn := real_frames.turn(folder, student, slug):
        found = real_frames.build(folder, student, turn)
    else:
        drawn_as = folder.drawn_as(student, slug)
        found = own_frame.draw(own_frame.kinds(root), folder.secret, drawn_as)
    return replace(found, builder=student if name == student else f"{student} · {name}")
