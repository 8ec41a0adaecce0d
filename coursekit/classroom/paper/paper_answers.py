"""Answers on paper, typed in: kept as they were written, and handed in as a notebook.

They lie in the class folder, `answers/<slug>.csv`, one line an answer, only ever added to, as the
bench record is. `hand_in` lays them into the release notebook, so the same runner and marker mark
them into the same gradebook.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bench.bench_record import all_ids, under, unknown
from coursekit.classroom.bench.ledger import Ledger, Row, csv_text, lines_of, tidy
from coursekit.classroom.gradebook.stamp_file import time_of
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.former_ids import ids_today

NO_ANSWER = "-"
_COLUMNS = ("student", "question", "answer", "handed_in", "by", "source", "post")
_LONGEST = 3000  # characters


@dataclass(frozen=True)
class PaperAnswer:
    """One answer as it stands on paper: whose, to which question of which lesson, and the text.

    `handed_in` is when the sheet came in, as written, "" where that is not known; `by` who typed
    it; `source` and `post` as in the bench record; `number` and `when` (UTC) are set by the record.
    """

    student: str
    slug: str
    question: str
    answer: str
    handed_in: str = ""
    by: str = ""
    source: str = ""
    post: str = ""
    number: int = 0
    when: str = ""


def ledger(folder: ClassFolder, slug: str) -> Ledger:
    """Return the record of one lesson's answers."""
    name = f"{slug}.csv"
    return Ledger(folder.path / "answers" / name, folder.made / "answers" / name, _COLUMNS)


def checked(
    folder: ClassFolder,
    exercise: Exercise,
    student: str,
    question: str,
    text: str,
    *,
    handed_in: str = "",
    by: str = "",
    source: str = "",
    post: str = "",
) -> PaperAnswer:
    """Return the answer that was typed as `text`; a lone "-" says that the box was left empty.

    What the student wrote is taken as it is, right or wrong, number or not: the marker says what it
    is worth. Raises ValueError for what no sheet can say: a question that the exercise does not
    have, more entries than boxes, an option that is not printed; ClassError for a student who is
    not on the roster.
    """
    student = folder.student(ids_today(folder).get(student, student)).id
    asked = _question(exercise, question)
    text = text.strip()
    if len(text) > _LONGEST:
        raise ValueError(
            f"'{asked.title}' must have an answer of at most {_LONGEST} signs; got {len(text)}. "
            "Shorten it."
        )
    said = handed_in.strip()
    if said and not (re.match(r"\d{4}-\d\d-\d\d", said) and time_of(said)):
        raise ValueError(
            f"The time of handing in must be a date and time; got {said[:30]!r}. Write it "
            "like 2026-02-03 19:30."
        )
    laid = text if text == NO_ANSWER else "; ".join(e or "" for e in entries(asked, text))
    return PaperAnswer(
        student, exercise.slug, asked.id, laid if asked.kind != "written" else text,
        said, by.strip(), source, post,
    )  # fmt: skip


def _question(exercise: Exercise, id: str) -> Question:
    wanted = id.strip()
    graded = exercise.graded
    if wanted.isascii() and wanted.isdigit() and 1 <= int(wanted) <= len(graded):
        return graded[int(wanted) - 1]
    for question in graded:
        if wanted in (question.id, question.variable):
            return question
    raise ValueError(
        f"An answer must be to a question of {exercise.slug}, by its number on the sheet or its id; got "
        f"'{wanted[:40]}'. They are 1 to {len(graded)}: {', '.join(q.id for q in graded)}."
    )


def entries(question: Question, text: str) -> list[str]:
    """Return the entries of an answer as it was typed, one a box, an empty box as "".

    Entries of a list are parted by semicolons or lines; where there are none, by commas with a
    blank behind, else by blanks. A choice is named by its id, its words, or its number on the sheet.

    Raises ValueError for too many entries and for an option that is not printed.
    """
    if question.kind == "choice":
        return [_option(question, text)]
    boxes = len(question.entries) * (2 if question.kind == "points" else 1)
    if question.kind not in ("numbers", "points", "order"):
        return [text]
    parts = [p.strip() for p in _parted(question, text)]
    while len(parts) > boxes and not parts[-1]:
        parts.pop()
    if len(parts) > boxes:
        raise ValueError(
            f"'{question.title}' must have at most {boxes} entries; got {len(parts)} in {text[:60]!r}. Part "
            "them by semicolons."
        )
    return parts


def _parted(question: Question, text: str) -> list[str]:
    if question.kind == "points":
        text = re.sub(r"[()\[\]]+|,\s+", ";", text).strip("; ")
        text = re.sub(r";[\s,;]*;", ";", text)
    for sign in (r"[;\n]", r",\s+"):
        if re.search(sign, text):
            return re.split(sign, text)
    apart = text.split()
    if question.kind == "order":
        whole = not any(" " in entry for entry in question.entries)
    else:
        whole = all(re.match(r"[-+−–]?[.,]?\d", part) for part in apart)  # not of "12 mm"
    return apart if whole and apart else [text]


def _option(question: Question, text: str) -> str:
    options = question.options or {}
    wanted = " ".join(text.casefold().split())
    for number, (id, words) in enumerate(options.items(), start=1):
        if wanted in (id.casefold(), words.casefold(), str(number)):
            return id
    raise ValueError(
        f"'{question.title}' must be answered by one of {', '.join(options)}, or its number on the sheet; "
        f"got '{text[:40]}'. Write {NO_ANSWER} where no box or more than one is ticked."
    )


def record(folder: ClassFolder, answers: Iterable[PaperAnswer]) -> list[PaperAnswer]:
    """Return the answers that were added to the record, with number and time.

    An answer that stands already, or that came with the same posting, adds nothing. Raises
    ClassError for a student who is not on the roster; then nothing is added.
    """
    todo: dict[str, list[PaperAnswer]] = {}
    for one in answers:
        folder.student(one.student)
        todo.setdefault(one.slug, []).append(one)
    added: list[PaperAnswer] = []
    for slug, some in todo.items():

        def new(rows: Sequence[Row], some: list[PaperAnswer] = some) -> list[Row]:
            stands = {(r["student"], r["question"]): (r["answer"], r["handed_in"]) for r in rows}
            fresh = unknown(rows, map(_row, some), ("post", "student", "question", "answer"))
            return [
                row
                for row in fresh
                if not _adds_nothing(row, stands.get((row["student"], row["question"])))
            ]

        added += [_answer(slug, row) for row in ledger(folder, slug).add(new)]
    return added


def _row(one: PaperAnswer) -> Row:
    row = {c: str(getattr(one, c)) for c in _COLUMNS}
    return row | {"answer": tidy(one.answer)}


def _adds_nothing(row: Row, stands: tuple[str, str] | None) -> bool:
    return stands is not None and stands[0] == row["answer"] and row["handed_in"] in ("", stands[1])


def _answer(slug: str, row: Row) -> PaperAnswer:
    return PaperAnswer(
        row["student"], slug, row["question"], lines_of(row["answer"]), row["handed_in"], row["by"],
        row["source"], row["post"], int(row["number"]), row["when"],
    )  # fmt: skip


def readings(folder: ClassFolder, slug: str, student: str | None = None) -> list[PaperAnswer]:
    """Return every answer ever typed in for a lesson, of one student or all, oldest first."""
    rows = under(ids_today(folder), ledger(folder, slug).read().rows)
    return [_answer(slug, r) for r in rows if student in (None, r["student"])]


def latest(folder: ClassFolder, slug: str) -> dict[str, dict[str, PaperAnswer]]:
    """Return student → question → the answer that stands; one taken back is not there."""
    found: dict[str, dict[str, PaperAnswer]] = {}
    for one in readings(folder, slug):
        found.setdefault(one.student, {})[one.question] = one
    return {
        student: {q: a for q, a in some.items() if a.answer != NO_ANSWER}
        for student, some in found.items()
    }


def slugs(folder: ClassFolder) -> list[str]:
    """Return the lessons that have answers on paper, sorted."""
    names = {
        p.name for place in (folder.path, folder.made) for p in (place / "answers").glob("*.csv")
    }
    return sorted(Path(n).stem for n in names if ".changed-" not in n)


def harm(folder: ClassFolder, slug: str) -> list[str]:
    """Return, in words, what other programs have done to the file of a lesson's answers."""
    return list(ledger(folder, slug).read().harm)


def erase(folder: ClassFolder, student: str) -> int:
    """Return how many answers of `student` were emptied, in all lessons."""
    return sum(ledger(folder, slug).erase(all_ids(folder, student)) for slug in slugs(folder))


def blank(folder: ClassFolder, exercise: Exercise) -> str:
    """Return a CSV for typing in a class's answers: a row for each question of each student."""
    if not exercise.graded:
        raise ClassError(f"{exercise.source}: an exercise must have a marked question; got none.")
    rows = [
        (s.id, s.name, exercise.slug, q.id, f"{n}. {q.title}", how_to_write(q), "", "", "")
        for s in folder.students
        for n, q in enumerate(exercise.graded, start=1)
    ]
    return csv_text(
        ("student", "name", "lesson", "question", "what", "how", "answer", "handed in", "by"), rows
    )


def how_to_write(question: Question) -> str:
    """Return in a few words how an answer is written in a file."""
    if question.kind == "choice":
        return "one of: " + ", ".join(question.options or {})
    if question.kind == "order":
        return "in order, with semicolons: " + "; ".join(question.entries)
    if question.kind == "points":
        names = (f"{e} x; {e} y" for e in question.entries)
        return f"{question.unit}, with semicolons: " + "; ".join(names)
    if question.kind == "numbers":
        return f"{question.unit}, with semicolons: " + "; ".join(question.entries)
    return "the student's words" if question.kind == "written" else question.unit
