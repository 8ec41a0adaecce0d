"""A worksheet: one student's numbers, questions with room to work, wrap templates, bench record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any, Literal

from coursekit.sheets import code, page, strip, text
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.strip import StripJoint

Kind = Literal["number", "numbers", "points", "order", "choice", "written"]


@dataclass(frozen=True)
class SheetQuestion:
    """A question as it is printed. `given` names the numbers that are repeated beside it.

    `entries` names the boxes of a list of numbers, or the labels of an order: a box a place, and,
    where the labels are degrees, a ring to number.
    """

    title: str
    text: str
    kind: Kind
    marks: float
    unit: str = ""
    given: tuple[str, ...] = ()
    entries: tuple[str, ...] = ()
    options: tuple[str, ...] = ()


@dataclass(frozen=True)
class BenchLine:
    """A line of the bench record: what is measured, with what, to how fine a division."""

    say: str
    unit: str
    instrument: str
    resolution: float
    readings: int = 2


@dataclass(frozen=True)
class Body:
    """What the worksheets of a class have in common."""

    slug: str
    title: str
    intro: str
    tasks: tuple[SheetQuestion, ...]
    bench: tuple[BenchLine, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class OwnNumber:
    """One of the student's own numbers."""

    name: str
    say: str
    value: float
    unit: str


@dataclass(frozen=True)
class Copy:
    """What is the student's own on a worksheet.

    A `blank` copy is nobody's: a place to write stands for every number, and it has no code. `note`
    is a sentence about the numbers, printed above them. `phone_code` lets a phone in to the bench
    form as this student's; "" leaves it out.
    """

    student: str
    name: str
    numbers: tuple[OwnNumber, ...]
    strips: tuple[StripJoint, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    blank: bool = False
    note: str = ""
    phone_code: str = ""

    def code(self, body: Body) -> code.SheetCode:
        """Return the code of this copy; another name leaves it as it is, other numbers do not."""
        version = code.version(body, self.numbers, self.strips)
        return code.SheetCode(self.student, body.slug, version)


LARGE = 1.8  # times the usual size of text: 9 pt is 16.2; large print is 16 pt and up (from memory)


def pdf(
    body: Body,
    copies: Sequence[Copy],
    paper: page.Paper = "a4",
    large: bool = False,
    two_sided: bool = False,
) -> bytes:
    """Return one PDF with the worksheet of every copy, without an empty page.

    For printing `two_sided` a template has a bare back, and every copy begins on a front, so that
    a stack comes apart into one set for each student. Bookmarks name the students. The templates
    are true to size when printed at 100 %. In `large` print the text is larger and stands in one
    column; templates and drawings stay as they are.

    Raises
    ------
    ValueError
        A class set must have a student or more; got none, and all that `strip.draw` refuses.
    """
    if not copies:
        raise ValueError("A class set must have a student or more; got none. Fill the roster.")
    width, height = page.size(paper)
    return page.pdf(
        "worksheet.typ",
        {
            "width": width,
            "height": height,
            "margin": page.MARGIN,
            "zoom": LARGE if large else 1,
            "two_sided": two_sided,
            "title": body.title,
            "intro": text.pieces(body.intro),
            "tasks": [_task(t) for t in body.tasks],
            "marks": text.number(sum(t.marks for t in body.tasks)),
            "bench": [_bench_line(b) for b in body.bench],
            "cautions": list(body.cautions),
            "copies": [_copy(body, c, paper) for c in copies],
        },
    )


def _task(task: SheetQuestion) -> dict[str, Any]:
    marks = f"{text.number(task.marks)} mark{'' if task.marks == 1 else 's'}"
    return asdict(task) | {
        "text": text.pieces(task.text),
        "marks": marks,
        "unit": text.unit_sign(task.unit),
        "ring": ring(task.entries) if task.kind == "order" else [],
    }


def ring(labels: Sequence[str]) -> list[float]:
    """Return the labels of an order as degrees round a ring; empty where one is no angle.

    Examples
    --------
    >>> ring(["0°", "90°"]), ring(["0°", "head tube"])
    ([0.0, 90.0], [])
    """
    try:
        return [float(label.strip().removesuffix("°")) for label in labels]
    except ValueError:
        return []


def _bench_line(line: BenchLine) -> dict[str, Any]:
    return asdict(line) | {
        "unit": text.unit_sign(line.unit),
        "resolution": text.quantity(line.resolution, line.unit),
    }


def _copy(body: Body, copy: Copy, paper: page.Paper) -> dict[str, Any]:
    own = copy.code(body)
    return {
        "student": text.clean(copy.student),
        "name": text.clean(copy.name),
        "blank": copy.blank,
        "note": copy.note,
        "phone_code": copy.phone_code,
        "code": "" if copy.blank else str(own),
        "square": "" if copy.blank else code.square(own),
        "numbers": [
            {"name": n.name, "say": n.say, "value": text.quantity(n.value, n.unit)}
            for n in copy.numbers
        ],
        "strips": [_strip(s, paper) for s in copy.strips],
        "drawings": [asdict(d) for d in copy.drawings],
    }


@cache
def _strip(joint: StripJoint, paper: page.Paper) -> dict[str, Any]:
    """Page data of a template; a class has few different joints, so each is drawn once."""
    return asdict(strip.draw(joint, paper)) | {
        "say": joint.say,
        "lines": [asdict(line) for line in joint.lines],
        "joint": f"{text.quantity(joint.diameter, 'mm')} into {text.quantity(joint.into, 'mm')}, "
        f"{text.quantity(joint.angle_deg, 'deg')}"
        + (f", offset {text.quantity(joint.offset, 'mm')}" if joint.offset else ""),
    }
