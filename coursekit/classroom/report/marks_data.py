"""Marks of a class as plain data, for the commands' --json."""

from __future__ import annotations

from typing import Any

from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import Standing, standings
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.marking.marked_work import recorded


def marks_data(work: Assignment) -> dict[str, Any]:
    """Return the marks of a class as its gradebook has them: mappings, lists, texts and numbers.

    A student who has handed nothing in is listed too, with `handed_in` false.
    """
    with reading(work.folder) as book:
        held = standings(book, work.slug)
    students = [_student(work, s.id, s.name, held.get(s.id)) for s in work.folder.students]
    return {
        "class": work.folder.title,
        "exercise": work.slug,
        "title": work.exercise.title,
        "out_of": work.exercise.marks,
        "students": students,
    }


def _student(work: Assignment, id: str, name: str, facts: Standing | None) -> dict[str, Any]:
    one = recorded(work.folder, id, work.slug)
    if facts is None or one is None:
        return {"id": id, "name": name, "handed_in": False}
    marks = {m.question: m for m in one.marks}
    questions = [
        {
            "id": q.id,
            "marks": facts.questions[q.id].marks,
            "out_of": facts.questions[q.id].out_of,
            "by_hand": facts.questions[q.id].manual is not None,
            "waits": facts.questions[q.id].waits,
            **{k: getattr(marks[q.id], k) for k in ("verdict", "reason", "hint", "slip", "given")},
        }
        for q in work.exercise.graded
        if q.id in facts.questions and q.id in marks
    ]
    return {
        "id": id,
        "name": name,
        "handed_in": True,
        "came": facts.came.isoformat() + "Z" if facts.came else None,
        "marks": facts.total,
        "late_penalty": facts.late_penalty,
        "repairs": list(one.repairs),
        "questions": questions,
    }
