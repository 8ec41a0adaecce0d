"""The guide's table of lessons is what the lessons are."""

from __future__ import annotations

from tests.lessons import table


def test_the_table_in_the_guide_is_up_to_date(root):
    text = (root / "DEVELOPERS.md").read_text("utf-8")
    assert table.BEGIN in text
    assert text == table.inserted(text, table.table(root)), "uv run python -m tests.lessons.table"


def test_rows_count_what_is_there(root):
    cells = dict(zip(table.HEAD, table.row("miter-angles", root), strict=True))
    assert cells["lesson"] == "`miter-angles`"
    assert cells["questions"] == "12"
    assert cells["cards"] == "7"
    assert cells["lines"] == str(
        len((root / "course" / "miter-angles.md").read_text("utf-8").splitlines())
    )
