"""Files that a student hands in beside the notebook lie beside it when it runs."""

from __future__ import annotations

import shutil

import pytest

from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import write_bytes, write_text
from coursekit.classroom.running.extra_files import lay_out, packed, unpacked

from . import small
from .conftest import LIMITS
from .test_stock_commands import nbgrader

READS = {
    "area": "import helper\nwith open('data/side.csv') as f: side_read = float(f.read())\n"
    "area = helper.squared(side_read)",
    "double": "double = 2 * len(open('photo.png', 'rb').read()) + 2 * area",
    "shape": "import json\nshape = 'square' if json.load(open('numbers.json'))['student'] == "
    "'bench-02' else 'round'",
}


def hand_in(work, side):
    place = small.hand_in(work, "bench-02", READS)
    write_text(place / "data" / "side.csv", f"{side}\n")
    write_text(place / "helper.py", "def squared(x):\n    return x**2\n")
    write_bytes(place / "photo.png", b"")
    write_text(place / "numbers.json", '{"student": "forged", "numbers": {"side": 1}}')
    return place


def marks(work):
    record = mark_class.recorded(work.folder, "bench-02", "small")
    return {m.question: m.marks for m in record.marks}


def test_data_and_modules_can_be_read_and_a_change_of_them_is_run_again(evening):
    side = evening.numbers("bench-02")["side"]
    hand_in(evening, side)
    mark_class.mark_class(evening, limits=LIMITS)
    assert marks(evening) == {"area": 2, "double": 3, "shape": 1, "why": 0}
    told = {}
    mark_class.mark_class(evening, limits=LIMITS, progress=lambda s, w: told.update({s: w}))
    assert told["bench-02"] == "unchanged"
    write_text(evening.folder.submitted("bench-02", "small") / "data" / "side.csv", f"{side + 9}")
    mark_class.mark_class(evening, limits=LIMITS, progress=lambda s, w: told.update({s: w}))
    assert told["bench-02"] == "marked"
    assert marks(evening)["area"] == 0


def test_the_stock_command_lays_them_out_too(evening, tmp_path):
    hand_in(evening, evening.numbers("bench-02")["side"])
    shutil.copytree(evening.folder.path.parent, tmp_path / "stock")
    stock = small.opened(tmp_path / "stock")
    note_course(stock.folder, tmp_path / "stock" / "course")
    nbgrader(stock, "autograde", "small", "--force", "--student=bench-02")
    assert marks(stock) == {"area": 2, "double": 3, "shape": 1, "why": 0}


def test_they_travel_as_they_are():
    files = {"a.csv": "é\r\n", "b.bin": bytes(range(256))}
    assert unpacked(packed(files)) == {"a.csv": "é\r\n".encode(), "b.bin": bytes(range(256))}


@pytest.mark.parametrize(
    "name", ["../out", "/tmp/out", "a/../../out", "a/..", "..", ".", "", "nul\0", "x" * 300]
)
def test_no_name_leads_out(tmp_path, name):
    place = tmp_path / "scratch"
    place.mkdir()
    lay_out({"first": b"1", name: b"2", "last": b"3"}, place)
    assert [p.name for p in tmp_path.iterdir()] == ["scratch"]
    assert {p.name: p.read_bytes() for p in place.iterdir() if p.is_file()} == {
        "first": b"1",
        "last": b"3",
    }


def test_of_two_things_of_one_name_the_first_counts(tmp_path):
    lay_out({"a": b"1", "a/b": b"2", "./a": b"3"}, tmp_path)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"a": b"1"}
