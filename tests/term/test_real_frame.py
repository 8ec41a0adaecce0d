"""A whole course about a frame that a student is really building."""

from __future__ import annotations

import nbformat
import pytest

from coursekit.book.lesson import lessons
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments, worksheets
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import load, write_text
from coursekit.classroom.running.places import Here
from coursekit.classroom.students import own_frames
from coursekit.sheets import frame_facts, frame_file

pytestmark = pytest.mark.slow
# another frame than the one that the lessons work through, for a taller rider
OTHER = {
    'name = "Example frame"': 'name = "Tall frame"',
    "seat_angle_deg = 73\n": "seat_angle_deg = 72.5\n",
    "head_angle_deg = 72.5\n": "head_angle_deg = 72\n",
    "head_tube = 145\n": "head_tube = 165\n",
    "front_centre = 595\n": "front_centre = 608\n",
    "seat_tube = 560 ": "seat_tube = 575 ",
}


def handed_in(work, student):
    """Hand the student's own notebook in with every answer right."""
    name = f"{work.slug}.ipynb"
    notebook = nbformat.read(work.folder.bundle(student, work.slug) / name, as_version=4)
    filled = invented_class.filled(notebook, invented_class.right_cells(work, student))
    write_text(work.folder.submitted(student, work.slug) / name, nbformat.writes(filled))


def test_every_lesson_is_about_the_real_frame_and_marks_it_right(root, tmp_path):
    text = frame_file.EXAMPLE.read_text(encoding="utf-8")
    for old, new in OTHER.items():
        assert old in text
        text = text.replace(old, new)
    real = tmp_path / "my-frame.toml"
    real.write_text(text, encoding="utf-8")
    known = frame_facts.facts(frame_file.read(real))
    folder = invented_class.open_demo(tmp_path / "class", 2)
    student = folder.students[0].id
    said = list(own_frames.put(folder, student, real, root))
    assert said[0].endswith("builds 'Tall frame' from now on.")
    works = [assignments.assignment(load(folder.path), slug, root) for slug in lessons(root)]
    shared, apart = 0, []
    with Here() as here:
        here.start()
        for work in works:
            assignments.hand_out(work)
            handed_in(work, student)
            drawn = work.drawn(student)
            if drawn.instead:
                apart.append(work.slug)
                assert any(line.startswith(f"{work.slug}: it gets a case") for line in said)
            for q in work.exercise.quantities:
                if q.fact and not drawn.instead:
                    assert drawn.numbers[q.name] == frame_facts.given(known, q.fact), q.name
                    shared += 1
            copy = worksheets.copy(work.exercise, student, "A Student", drawn.numbers)
            for strip in copy.strips:
                assert strip.diameter in {
                    known[f"{t}_tube.diameter"] for t in ("down", "top", "seat")
                }
            done = mark_class.mark_class(work, place=here)
            [mine] = [r for r in done if r.student == student]
            written = sum(q.marks for q in work.exercise.graded if q.kind == "written")
            assert sum(m.marks for m in mine.marks) == work.exercise.marks - written, work.slug
    assert shared > 60
    assert len(apart) <= 1, apart
