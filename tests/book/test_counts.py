"""The lessons in numbers, counted again from the text of the lessons' files."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from coursekit.book import page_rules
from coursekit.book.counts import counts
from coursekit.book.lesson import lessons, read

ROOT = Path(__file__).resolve().parents[2]


def counted_again(slug):
    page, exercise, key = (
        (ROOT / name).read_text("utf-8")
        for name in (f"course/{slug}.md", f"exercises/{slug}.md", f"solutions/{slug}.md")
    )
    head, body = exercise.split("\n---\n", 1)
    blocks = re.split(r"^## ", body, flags=re.M)[1:]
    graded = [b for b in blocks if not re.search(r"^set: practice$", b, re.M)]
    ids = {b.split("\n", 1)[0].strip() for b in graded}
    slips = [
        b.split("\n", 1)[0]
        for b in re.split(r"^## ", key, flags=re.M)
        for _ in re.findall(r"^slip ", b, re.M)
    ]
    marks = [float(m) for b in graded for m in re.findall(r"^marks: ([\d.]+)$", b, re.M)]
    bench = re.search(r"^bench:\n(.*?)(?=^\w|\Z)", head, re.M | re.S)[1]
    drawing = ROOT / "coursekit" / "sheets" / "drawings" / f"{slug.replace('-', '_')}.py"
    return {
        "lines": str(page.count("\n")),
        "figures": str(len(re.findall(r"^[: ]+image:", page, re.M))),
        "sliders": str(page.count("```{slider}")),
        "cards": str(len(blocks) - len(graded)),
        "questions": str(len(graded)),
        "slips": str(sum(id in ids for id in slips)),
        "marks": f"{sum(marks):g}",
        "bench lines": str(len(re.findall(r"^  - id:", bench, re.M))),
        "own drawing": "yes" if drawing.is_file() else "no",
    }


@pytest.mark.parametrize("slug", lessons(ROOT))
def test_the_table_counts_what_is_there(slug):
    found = counts(slug, ROOT)
    assert found == found | counted_again(slug)
    read_in = page_rules.minutes(read(slug, ROOT).page)
    assert float(found["minutes"]) == pytest.approx(read_in, abs=0.5)
    assert int(found["outside checks"]) >= 2
