"""The same answers sent every way there is: marks, reasons, gradebook and page are the same.

Every lesson is answered by seven students: right, by usual slips, with units, in other units, with
blanks and words, and not at all. What differs on purpose is named in `same_page`.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Mapping
from datetime import UTC, datetime

import nbformat
import pytest

from coursekit.classroom.bank import answer_text
from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake import take_in
from coursekit.classroom.marking import mark_class
from coursekit.classroom.paper import as_notebook, paper_answers
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import load, write_text
from coursekit.classroom.report import feedback
from coursekit.classroom.running import plain_cells

from . import small
from .conftest import LIMITS
from .test_every_exercise import SLUGS

pytestmark = pytest.mark.slow

CAME = datetime(2026, 2, 3, 19, 30, tzinfo=UTC)
WORDS = "The ears do not reach: I file where the tube touches."
Sheet = dict[str, list[str]]  # question → its boxes, "" for an empty one


# what the students write into the boxes


def number(value: float, sign: str, unit: str = "") -> str:
    return f"{value:.4f}{unit and ' '}{unit}".replace(".", sign)


def sheet(work, values: Mapping[str, object], write: Callable[..., str]) -> Sheet:
    """The boxes of `values`, question → value, each number written by `write`."""
    found: Sheet = {}
    for question in work.exercise.graded:
        value = values.get(question.id, WORDS if question.kind == "written" else ())
        boxes = value if isinstance(value, tuple | list) else [value]
        found[question.id] = [b if isinstance(b, str) else write(question, b) for b in boxes]
    return found


def right(work, student: str) -> dict[str, object]:
    return dict(answers(work.exercise, work.key, work.numbers(student)))


def slipped(work, student: str, turn: int) -> dict[str, object]:
    """Each question's slip of that turn, and later answers that build on it."""
    numbers, own = work.numbers(student), {}
    for question in work.exercise.graded:
        if question.kind != "written":
            slips = work.key.slips[question.id]
            own[question.id] = (
                work.key.slip_value(slips[turn], question, numbers, own)
                if turn < len(slips)
                else work.key.value(question, numbers, own)
            )
    return own


def with_comma(_, value: float) -> str:
    return number(value, ",")


def with_point(_, value: float) -> str:
    return number(value, ".")


def with_unit(question, value: float) -> str:
    return number(value, ",", question.unit if question.unit != "1" else "")


OTHER = {"mm": (25.4, "in"), "deg": (180 / 3.14159265358979, "rad")}


def in_another_unit(question, value: float) -> str:
    factor, unit = OTHER.get(question.unit, (1.0, ""))
    return number(value / factor, ".", unit)


def with_gaps(work, student: str) -> Sheet:
    """Wrong and missing numbers, half lists, words for numbers, a wrong choice, an order too short."""
    found = sheet(work, right(work, student), with_comma)
    for turn, question in enumerate(work.exercise.graded):
        boxes = found[question.id]
        if question.kind == "number":
            boxes[0] = ["", "about ten", "1.234,5", "−3,25", "1011,09", boxes[0]][turn % 6]
        elif question.kind == "choice":
            boxes[0] = list(question.options)[-1]
        elif question.scaffold and turn % 2:
            boxes[:] = [""] * len(boxes)
        else:
            boxes[-1] = ""
    return found


def sheets(work) -> dict[str, Sheet]:
    """Student → what stands on the sheet."""
    return {
        "bench-01": sheet(work, right(work, "bench-01"), with_comma),
        "bench-02": sheet(work, slipped(work, "bench-02", 0), with_point),
        "bench-03": sheet(work, slipped(work, "bench-03", 1), with_comma),
        "bench-04": sheet(work, right(work, "bench-04"), with_unit),
        "bench-05": sheet(work, right(work, "bench-05"), in_another_unit),
        "bench-06": with_gaps(work, "bench-06"),
        "bench-07": sheet(work, {}, with_point),
    }


# the ways


def saved(work, student: str, boxes: Sheet) -> str:
    """What the answer page saves, with the way to the first answer and a step that is no code."""
    first = next(iter(boxes))
    return answer_text.written(
        AnswerText(
            work.slug, student, stamps.stamp(work.folder, student, work.slug)["check"],
            saved="2026-02-03 18:22 UTC", copy="1",
            answers={id: [box or answer_text.EMPTY for box in some] for id, some in boxes.items()},
            working={first: ["90 - 61,5 = 28,5", "import os; os.abort()"]},
        )
    )  # fmt: skip


def from_page(work, student: str, boxes: Sheet) -> None:
    path = work.folder.path.parent / f"{work.slug}-{student}.txt"
    path.write_text(saved(work, student, boxes), encoding="utf-8")
    (taken,) = take_in.take_in(work.folder, [path], came=CAME)
    assert (taken.what, taken.student, taken.slug) == ("taken", student, work.slug), taken.why


def in_a_message(work, student: str, boxes: Sheet) -> None:
    quoted = "".join(f"> {line}\n" for line in saved(work, student, boxes).splitlines())
    message = f"Hello, here are my answers.\n\n{quoted}\nSee you on Tuesday\n"
    (taken,) = take_in.take_in(work.folder, [], pasted=message.encode(), came=CAME)
    assert (taken.what, taken.student, taken.slug) == ("taken", student, work.slug), taken.why


def from_paper(work, student: str, boxes: Sheet) -> None:
    for id, some in boxes.items():
        if any(some):
            one = paper_answers.checked(
                work.folder, work.exercise, student, id, "; ".join(some), handed_in=f"{CAME:%Y-%m-%d %H:%M}"
            )  # fmt: skip
            paper_answers.record(work.folder, [one])
    (outcome,) = as_notebook.hand_in(work, [student])
    assert outcome.what == "handed in"


def as_typed(work, student: str, boxes: Sheet) -> None:
    """A notebook with the values typed in as they are, in quotes only where Python needs them."""
    asked = {q.id: q for q in work.exercise.graded}
    cells = {id: code(asked[id], some) for id, some in boxes.items() if any(some)}
    bundle = work.folder.bundle(student, work.slug) / f"{work.slug}.ipynb"
    notebook = invented_class.filled(nbformat.read(bundle, as_version=4), cells)
    place = work.folder.submitted(student, work.slug)
    write_text(place / bundle.name, nbformat.writes(notebook))
    write_text(place / "timestamp.txt", f"{CAME:%Y-%m-%d %H:%M:%S} UTC")


def code(question, boxes: list[str]) -> str:
    if question.kind == "written":
        return "\n".join(boxes)
    bare = r"[-−]?\d+[.,]\d+" if question.kind == "number" else r"-?\d+\.\d+"
    entries = [b if re.fullmatch(bare, b) else repr(b or None) for b in boxes]
    if question.kind == "points":
        entries = [f"({x}, {y})" for x, y in zip(entries[::2], entries[1::2], strict=True)]
    single = question.kind in ("number", "choice")
    return f"{question.variable} = {entries[0] if single else '[' + ', '.join(entries) + ']'}"


WAYS = {
    "page": from_page,
    "message": in_a_message,
    "paper": from_paper,
    "typed": as_typed,
    "run": as_typed,  # in the cage
}


def came_of(place, slug: str, way: str, root, monkeypatch):
    """The class as it stands after its answers were sent one way, marked, and given feedback."""
    work = assignments.assignment(load(place), slug, root)
    for student, boxes in sheets(work).items():
        WAYS[way](work, student, boxes)
    told, tasks, task = {}, [], mark_class._task
    with monkeypatch.context() as patched:
        patched.setattr(mark_class, "_task", lambda *what: tasks.append(what) or task(*what))
        if way == "run":
            patched.setattr(plain_cells, "run_of", lambda *_: None)
        done = mark_class.mark_class(
            work, limits=LIMITS, progress=lambda s, what: told.update({s: what})
        )
    assert told == dict.fromkeys(sheets(work), "marked")
    assert len(tasks) == (len(told) if way == "run" else 0)
    feedback.give_feedback(work.folder, slug, None, root)
    pages = {
        one.student: (work.folder.feedback(one.student, slug) / f"{slug}.html").read_text()
        for one in done
    }
    return work, {one.student: one for one in done}, small.rows(work), pages


CODE = re.compile(r'<p class="label">Your answer</p>\s*<pre>.*?</pre>\s*', re.DOTALL)
STUB = re.compile(
    r'<p class="label">Your answer</p>\s*<div class="maths"><p><em>Write your answer here.</em></p>\s*</div>\s*'
)
FILLED = re.compile(r'<div class="typed">.*?</div>\s*', re.DOTALL)
ASKED = re.compile(r'<div class="asked maths">.*?</div>\s*', re.DOTALL)
NAMES = re.compile(r"<th>Name</th>|<td><code>[^/]*?</code></td>")  # of the own numbers
ORIGIN = re.compile(r" · from (the answer page|paper)</p>")
CHOSEN = re.compile(r"<dt>Your value</dt><dd>[a-z][a-z_-]*</dd>\s*")  # an option's id
MADE_FROM = re.compile(r'<meta name="made-from" content="\w+ \w+">')
BLANK = re.compile(
    r"<dt>What came of it</dt><dd>(No answer was given|Nothing was written)\.</dd>\s*"
)


def same_page(page: str) -> str:
    """A page without what differs on purpose.

    That is the question's wording (`ASKED`), how an answer is shown (`CODE`, `STUB`, `FILLED`) and
    that there is none (`BLANK`), the numbers' names in Python (`NAMES`), an option's id (`CHOSEN`), where the answers are
    from (`ORIGIN`), and the digests it was made from (`MADE_FROM`).
    """
    page = ORIGIN.sub("</p>", page)
    for part in (CODE, STUB, FILLED, ASKED, NAMES, CHOSEN, BLANK, MADE_FROM):
        page = part.sub("", page)
    return re.sub(r"\n\s*\n+", "\n", page)


def shows_no_python(work, page: str) -> bool:
    """Whether a page has none of the notebook's words: no code, no names, no stub, no note."""
    words = [
        "<pre>",
        "<code>",
        "None",
        "Your numbers for this",
        "Write your answer here",
        "Filled in from",
    ]
    words += [f"{q.variable} = " for q in work.exercise.graded]
    return not any(word in page for word in words)


@pytest.mark.parametrize("slug", SLUGS)
def test_the_same_answers_earn_the_same_however_they_come(
    slug, root, handed_out, tmp_path, monkeypatch
):
    found = {}
    for way in WAYS:
        shutil.copytree(handed_out(slug).folder.path, tmp_path / way)
        found[way] = came_of(tmp_path / way, slug, way, root, monkeypatch)
    work, typed, rows, pages = found["typed"]
    for way, (_, marked, its_rows, its_pages) in found.items():
        for student, one in marked.items():
            assert one.marks == typed[student].marks, (way, student)
            assert one.repairs == () == typed[student].repairs
            assert (one.stops, one.written) == (typed[student].stops, typed[student].written)
            assert same_page(its_pages[student]) == same_page(pages[student]), (way, student)
            if way in ("page", "message", "paper"):
                assert shows_no_python(work, its_pages[student]), (way, student)
        assert its_rows == rows, way
        assert ("You left this empty." in its_pages["bench-07"]) == (
            way in ("page", "message", "paper")
        )
    assert found["run"][1] == typed
    assert found["run"][3] == pages
    for student in typed:
        files = [
            small.tree(found[way][0].folder.autograded(student, slug)) for way in ("typed", "run")
        ]
        assert files[0] == files[1]
    by_machine = [q for q in work.exercise.graded if q.kind != "written"]
    assert typed["bench-01"].total == sum(q.marks for q in by_machine)
    assert typed["bench-07"].total == 0
    assert {m.verdict for one in typed.values() for m in one.marks} >= {"right", "slip", "blank", "unreadable", "to-read"}  # fmt: skip
