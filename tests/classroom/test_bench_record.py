"""The bench record: never a value lost, whatever is killed, re-saved or done at once."""

from __future__ import annotations

import csv
import io
import random
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit.classroom.bench import bench_record, csv_cells
from coursekit.classroom.register.class_folder import ClassError

from .benches import opened


@pytest.fixture
def shop(tmp_path):
    return opened(tmp_path)


def reading(student="bench-01", line="gap", which=1, value=0.5, **more):
    return bench_record.Reading(student, "small", line, which, value, "mm", **more)


def values(folder):
    return [(r.student, r.line, r.reading, r.value) for r in bench_record.readings(folder, "small")]


def test_a_corrected_value_stands_and_the_earlier_one_is_kept(shop):
    folder, _ = shop
    bench_record.record(folder, [reading(value=0.5, by="Ann", source="form")])
    bench_record.record(folder, [reading(value=0.55), reading("bench-02", value=0.4)])
    assert values(folder) == [
        ("bench-01", "gap", 1, 0.5), ("bench-01", "gap", 1, 0.55), ("bench-02", "gap", 1, 0.4),
    ]  # fmt: skip
    last = bench_record.latest(folder, "small")
    assert last["bench-01", "gap", 1].value == 0.55
    assert last["bench-01", "gap", 1].number == 2
    first = bench_record.readings(folder, student="bench-01")[0]
    assert (first.by, first.source, first.number) == ("Ann", "form", 1)
    assert time.strptime(first.when, "%Y-%m-%dT%H:%M:%SZ")
    assert bench_record.readings(folder, "other") == []
    assert bench_record.slugs(folder) == ["small"]


def test_the_same_posting_counts_once_and_a_changed_one_is_kept(shop):
    folder, _ = shop
    post = [reading(post="p1"), reading(which=2, value=0.6, post="p1")]
    assert len(bench_record.record(folder, post)) == 2
    assert bench_record.record(folder, post) == []
    changed = bench_record.record(folder, [replace(post[0], value=0.65), post[1]])
    assert [r.value for r in changed] == [0.65]
    assert len(bench_record.record(folder, [reading(), reading(which=2, value=0.6)])) == 2, (
        "no posting"
    )


def test_what_cannot_be_a_reading_is_not_recorded(shop):
    folder, _ = shop
    for bad in (reading("bench-99"), reading(value=float("nan")), reading(value=float("inf"))):
        with pytest.raises(ValueError, match="must be"):
            bench_record.record(folder, [reading(), bad])
    assert values(folder) == []


cells = st.text(st.characters(codec="utf-8"), max_size=30)


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["bench-01", "bench-02"]),
            st.integers(1, 2),
            st.floats(-1e6, 1e6).map(lambda x: float(f"{x:.12g}")),
            cells,
            cells,
        ),
        max_size=6,
    )
)
def test_every_reading_comes_back_as_it_was(tmp_path_factory, rows):
    """Values to the last digit; words without control signs, on one line."""
    folder, _ = opened(tmp_path_factory.mktemp("trip"))
    wanted = [reading(s, "gap", k, v, by=by, typed=typed) for s, k, v, by, typed in rows]
    bench_record.record(folder, wanted)
    found = bench_record.readings(folder, "small")
    assert [(r.place, r.value) for r in found] == [(r.place, r.value) for r in wanted]
    tidy = csv_cells.tidy
    assert [(r.by, r.typed) for r in found] == [(tidy(r.by), tidy(r.typed)) for r in wanted]
    assert bench_record.harm(folder, "small") == []
    bench_record.record(folder, [reading(value=1.0)])
    assert [r.value for r in bench_record.readings(folder, "small")] == [
        r.value for r in wanted
    ] + [1.0]
    assert not list((folder.path / "bench").glob("*.changed-*"))


@given(cells)
def test_no_cell_is_a_formula_to_a_spreadsheet(text):
    shown = csv_cells.written(text)
    assert csv_cells.unwritten(shown) == text
    if shown[:1] in "=+-@\t\r" and shown:
        float(shown.replace(",", "."))


def resave(folder, change):
    """Read the record's file as a spreadsheet does and write it in another dialect."""
    path = folder.path / "bench" / "small.csv"
    rows = list(csv.reader(io.StringIO(path.read_text(), newline="")))
    header, rows = rows[0], [change(dict(zip(rows[0], r, strict=True))) for r in rows[1:]]
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=";", lineterminator="\r\n", quoting=csv.QUOTE_ALL)
    writer.writerow([*header, "remark"])
    writer.writerows([[*(row[h] for h in header), "ok"] for row in rows if row])
    path.write_bytes(b"\xef\xbb\xbf" + text.getvalue().encode())
    return path


def fill(folder):
    bench_record.record(folder, [reading(value=v) for v in (0.5, 1.2, 0.75)])


def test_a_spreadsheet_that_only_writes_otherwise_does_no_harm(shop):
    folder, _ = shop
    fill(folder)
    path = resave(folder, lambda r: r | {"value": r["value"].replace(".", ",") + "0"})
    assert [r.value for r in bench_record.readings(folder, "small")] == [0.5, 1.2, 0.75]
    assert bench_record.harm(folder, "small") == []
    before = path.read_bytes()
    bench_record.record(folder, [reading(value=2.0)])
    assert [r.value for r in bench_record.readings(folder, "small")] == [0.5, 1.2, 0.75, 2.0]
    (aside,) = path.parent.glob("small.changed-*.csv")
    assert aside.read_bytes() == before
    assert bench_record.slugs(folder) == ["small"]


def test_a_value_that_a_spreadsheet_made_a_date_is_told_and_taken_from_the_copy(shop):
    folder, _ = shop
    fill(folder)
    path = resave(folder, lambda r: r | ({"value": "01. Feb"} if r["value"] == "1.2" else {}))
    assert [r.value for r in bench_record.readings(folder, "small")] == [0.5, 1.2, 0.75]
    assert bench_record.harm(folder) == [
        f"{path} has been changed by another program: number 2 is not as it was recorded. The second "
        "copy counts. To correct a value, record it again."
    ]
    bench_record.record(folder, [reading(value=2.0)])
    assert bench_record.harm(folder) == []
    assert path.read_bytes() == (folder.made / "bench" / "small.csv").read_bytes()


def test_a_wrong_value_with_the_old_check_is_seen(shop):
    folder, _ = shop
    fill(folder)
    for column, cell in (("value", "0.1"), ("student", "bench-02"), ("reading", "2"), ("by", "Al")):
        resave(folder, lambda r, c=column, v=cell: r | ({c: v} if r["number"] == "1" else {}))
        assert "number 1 is not as" in bench_record.harm(folder)[0]
        assert bench_record.readings(folder)[0].value == 0.5
        bench_record.record(folder, [reading()])


def test_rows_lost_to_a_spreadsheet_that_was_open_come_back(shop):
    folder, _ = shop
    fill(folder)
    resave(folder, lambda r: r if r["number"] == "1" else None)
    assert len(bench_record.readings(folder)) == 3
    (folder.path / "bench" / "small.csv").unlink()
    assert len(bench_record.readings(folder)) == 3
    bench_record.record(folder, [reading(value=9.0)])
    (folder.made / "bench" / "small.csv").unlink()
    assert [r.value for r in bench_record.readings(folder)] == [0.5, 1.2, 0.75, 9.0]
    bench_record.record(folder, [reading(value=8.0)])
    assert (folder.made / "bench" / "small.csv").is_file()


def test_a_row_lost_in_both_copies_is_never_passed_over(shop):
    folder, _ = shop
    fill(folder)
    for place in (folder.path, folder.made):
        path = place / "bench" / "small.csv"
        path.write_text(
            "".join(line for i, line in enumerate(path.read_text().splitlines(True)) if i != 2)
        )
    for call in (
        lambda: bench_record.readings(folder),
        lambda: bench_record.record(folder, [reading()]),
    ):
        with pytest.raises(ClassError, match="number 2 is changed or gone"):
            call()


def test_two_mixed_class_folders_are_told(shop, tmp_path):
    folder, _ = shop
    fill(folder)
    other, _ = opened(tmp_path / "other")
    bench_record.record(other, [reading(value=3.0)])
    path = folder.path / "bench" / "small.csv"
    path.write_bytes((other.path / "bench" / "small.csv").read_bytes())
    with pytest.raises(ClassError, match="line 1 must be the same in both copies"):
        bench_record.readings(folder)


def test_a_line_cut_short_anywhere_is_dropped_and_the_rest_stands(shop):
    """A kill can end a write after any byte; what was told as recorded is in the second copy."""
    folder, _ = shop
    bench_record.record(folder, [reading(value=0.5)])
    paths = [place / "bench" / "small.csv" for place in (folder.made, folder.path)]
    old = paths[0].read_bytes()
    bench_record.record(folder, [reading(value=1.2, by="Ünal, A."), reading(value=0.75)])
    new = paths[0].read_bytes()
    for cut in range(len(old), len(new) + 1):
        for ends in ((new[:cut], old), (new, new[:cut])):
            for path, data in zip(paths, ends, strict=True):
                path.write_bytes(data)
            told = [0.5] if ends[1] == old else [0.5, 1.2, 0.75]
            assert [r.value for r in bench_record.readings(folder)][: len(told)] == told
            assert bench_record.harm(folder) == []
            bench_record.record(folder, [reading(value=2.0)])
            assert [r.value for r in bench_record.readings(folder)][-1] == 2.0
            assert paths[0].read_bytes() == paths[1].read_bytes()
    assert not list((folder.path / "bench").glob("*.changed-*"))


WRITER = """
import sys
from pathlib import Path
from coursekit.classroom.bench.bench_record import Reading, record
from coursekit.classroom.register.class_folder import load
folder, name, count = load(Path(sys.argv[1])), sys.argv[2], int(sys.argv[3])
for i in range(count):
    record(folder, [Reading("bench-01", "small", "gap", 1, i, "mm", by=name)])
    print(i, flush=True)
"""


def writer(folder, name, count):
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder.path), name, str(count)],
        stdout=subprocess.PIPE, text=True, cwd=Path.cwd(),
    )  # fmt: skip


def test_two_writers_at_once_lose_nothing(shop):
    folder, _ = shop
    both = [writer(folder, name, 40) for name in ("one", "two")]
    assert [p.wait() for p in both] == [0, 0]
    for p in both:
        p.stdout.close()
    found = bench_record.readings(folder)
    assert [r.number for r in found] == list(range(1, 81))
    for name in ("one", "two"):
        assert [r.value for r in found if r.by == name] == list(range(40))


@pytest.mark.skipif(sys.platform == "win32", reason="a kill of this kind is not known there")
def test_a_writer_killed_at_any_moment_loses_nothing_it_told(shop):
    folder, _ = shop
    rng = random.Random(5)
    for turn in range(6):
        process = writer(folder, f"w{turn}", 1000)
        process.stdout.readline()  # it has begun
        time.sleep(rng.uniform(0.005, 0.1))
        process.send_signal(signal.SIGKILL)
        told = [0, *(int(line) for line in process.stdout if line.strip())]
        process.stdout.close()
        process.wait()
        kept = [r.value for r in bench_record.readings(folder) if r.by == f"w{turn}"]
        assert kept[: len(told)] == told
        assert len(kept) <= len(told) + 1
    assert [r.number for r in bench_record.readings(folder)] == list(
        range(1, len(bench_record.readings(folder)) + 1)
    )


def test_a_students_readings_can_be_erased_and_the_others_stand(shop):
    folder, _ = shop
    bench_record.record(folder, [reading(value=0.5, by="Ann"), reading("bench-02", value=0.6)])
    resave(folder, lambda r: r | {"by": "x"})
    bench_record.record(folder, [reading("bench-03", value=0.7)])
    assert bench_record.erase(folder, "bench-01") == 1
    assert values(folder) == [("bench-02", "gap", 1, 0.6), ("bench-03", "gap", 1, 0.7)]
    for path in folder.path.rglob("small*.csv"):
        assert "bench-01" not in path.read_text()
        assert "Ann" not in path.read_text()
    bench_record.record(folder, [reading(value=0.8)])
    assert bench_record.readings(folder)[-1].number == 4
