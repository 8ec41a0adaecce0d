"""The report on the desk: the page's sentences, and the sheet of it to print."""

from __future__ import annotations

from pathlib import Path

import pytest

from coursekit.classroom.bank.lesson_figures import figure_at
from coursekit.classroom.gradebook import due
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_toml import when
from coursekit.classroom.report import page_words
from coursekit.desk.pages import report

from ..classroom import small
from ..classroom.conftest import LIMITS
from ..classroom.form_client import words
from .desk_client import Window, serving_desk


@pytest.fixture
def work(tmp_path):
    """A class of four: two handed in, one of them went round the square; two owe it."""
    work = small.evening(tmp_path, 4)
    due.set_due(work.folder, "small", when("2026-02-04T18:00:00+00:00"))
    work = small.opened(tmp_path)
    small.hand_in(work, "bench-01")
    small.hand_in(
        work, "bench-02", {"area": str(4 * work.numbers("bench-02")["side"]), "double": "1.0"}
    )
    mark_class.mark_class(work, limits=LIMITS)
    return work


def test_the_page_says_what_the_command_s_page_says(work):
    found = report.facts(work.folder, work.root)
    assert found["owed"] == [("Small", "was due Wed 4 Feb 2026: Bench 3 and Bench 4.")]
    assert found["waits"] == [("2 written answers to read", "Small (2).")]
    assert "3 lessons" not in found["about"]
    with serving_desk(work.folder.path, work.root) as desk:
        page = words(Window(desk).page("/report"))
    assert "Small · was due Wed 4 Feb 2026: Bench 3 and Bench 4." in page
    assert "<b>" not in page


def test_no_command_is_named_on_the_desk():
    assert report.for_the_desk(page_words.MORE) == "The whole report has them all."
    said = "2 lessons each. “coursekit remind --all-open” names them."
    assert report.for_the_desk(said) == "2 lessons each."
    source = Path(page_words.__file__).read_text(encoding="utf-8")
    assert all(command.strip() in source for command in report._HERE)  # they are still said so


def test_an_exercise_with_a_mistake_is_left_out_and_said(work):
    (work.root / "exercises" / "small.md").write_text(
        "---\ntitle: Small\n---\n\n## area\nmarks: x\n"
    )
    assert any("small" in line for line in report.facts(work.folder, work.root)["left"])


def test_the_page_is_made_to_print_and_the_rest_on_request(work):
    with serving_desk(work.folder.path, work.root) as desk:
        one = Window(desk)
        assert one.send("/report", "/report", paper="a9", deed="page")[0] == 400
        status, headers, _ = one.send("/report", "/report", paper="us-letter", deed="page")
        assert status == 303
        page = one.wait(headers["Location"])
        assert "/made/reports/report.pdf" in page
        assert not (work.folder.path / "reports" / "whole-report.pdf").exists()
        assert one.get("/made/reports/report.pdf")[0] == 200
        said = {"paper": "a4", "deed": "whole", "without-names": "1"}
        _, headers, _ = one.send("/report", "/report", **said)
        page = one.wait(headers["Location"])
        assert "/made/reports/without-names/whole-report.pdf" in page
        assert "Questions, for a spreadsheet" in page
        text = (work.folder.path / "reports" / "without-names" / "marks.csv").read_text()
        assert "Bench" not in text


PAGE = """# Small

## The area

```{code-cell} python
---
mystnb:
  figure:
    caption: A square.
  image:
    alt: A square with its diagonal.
---
from matplotlib import pyplot as plt
plt.plot([0, 1], [0, 1])
```

```{code-cell} python
print("no picture")
```
"""


def test_a_sketch_of_the_lesson_is_drawn_by_the_worker_and_once(work):
    (work.root / "course").mkdir(exist_ok=True)
    (work.root / "course" / "small.md").write_text(PAGE)
    address = report.picture(figure_at(work.root, "small", 0))
    with serving_desk(work.folder.path, work.root) as desk:
        one = Window(desk)
        status, got, text = one.get(address)
        assert (status, got["Content-Type"]) == (200, "image/svg+xml")
        assert "<svg" in text
        assert "script-src" not in got["Content-Security-Policy"]
        assert one.get(address)[2] == text
        assert len(desk.jobs.jobs) == 1
        assert "data-job" not in one.page("/jobs"), "it is shown nowhere"
        for wrong in ("lesson=small&cell=1", "lesson=../x&cell=0", "lesson=small&cell=-1", ""):
            assert one.get(f"/report/sketch?{wrong}")[0] == 404
