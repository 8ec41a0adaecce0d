"""Files of readings: taken in whatever a spreadsheet made of them, and given out again."""

from __future__ import annotations

import csv
import io
import json

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit.classroom.bench import bench_record, readings_file, take_file
from coursekit.classroom.register.class_folder import ClassError
from coursekit.cli import main

from .benches import opened


@pytest.fixture
def shop(tmp_path, monkeypatch):
    folder, exercise = opened(tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    monkeypatch.setenv("COURSEKIT_CLASS", str(folder.path))
    return folder, exercise


def take(shop, data, name="readings.csv", **more):
    folder, exercise = shop
    path = folder.path.parent / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())

    def find(slug):
        if slug != "small":
            raise ValueError(f"exercises/{slug}.md: …; got no such file.")
        return exercise

    return take_file.take_in(readings_file.READINGS_FILE, folder, path, find, **more)


def stand(shop):
    return {place: r.value for place, r in bench_record.latest(shop[0], "small").items()}


ROWS = "student,lesson,line,reading,value\nbench-01,small,gap,1,0.35\nbench-01,small,gap,2,0.4\n"
WANTED = {("bench-01", "gap", 1): 0.35, ("bench-01", "gap", 2): 0.4}
DIALECTS = {
    "plain": ROWS.encode(),
    "mark of byte order": b"\xef\xbb\xbf" + ROWS.encode(),
    "semicolons, decimal commas": ROWS.replace(",", ";").replace(".", ",").encode(),
    "tabs": ROWS.replace(",", "\t").encode(),
    "old line ends": ROWS.replace("\n", "\r\n").encode(),
    "sixteen bits": ROWS.replace(",", "\t").encode("utf-16"),
    "all quoted": "\n".join(",".join(f'"{c}"' for c in r.split(",")) for r in ROWS.split()).encode(),
    "says its sign": b"sep=;\r\n" + ROWS.replace(",", ";").encode(),
    "blank lines and columns": ("\n" + ROWS.replace("\n", ",,\n") + ",,,,,,\n\n").encode(),
    "other words and order": (
        "Value;ID;Bench Line;Remark;Reading No;Slug\n0,35;bench-01;gap;é;1;small\n"
        "0,4 mm;bench-01;gap;;2;small\n"
    ).encode("cp1252"),
}  # fmt: skip


@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_file_of_any_spreadsheet_is_read(shop, dialect):
    taken = take(shop, DIALECTS[dialect])
    assert (len(taken.added), taken.refused) == (2, [])
    assert stand(shop) == WANTED


def test_good_rows_are_taken_and_the_mended_file_adds_only_the_rest(shop):
    text = ROWS + 'bench-02,small,gap,1,"0,4"\nbench-09,small,gap,1,0.4\nbench-02,small,gap,1,\n'
    text += (
        "bench-02,small,play,1,1\nbench-02,,gap,1,1\nbench-02,small,gap,3,1\nbench-02,big,gap,1,1\n"
    )
    text += "bench-01,small,gap,1,0.45\nbench-04,small,gap,1,0,4\n"
    taken = take(shop, text)
    assert (len(taken.added), taken.empty, taken.known) == (3, 1, 0)
    said = [str(r) for r in taken.refused]
    assert said[0].startswith("line 5: ")
    assert said[0].endswith("a student must be on the roster; got 'bench-09'.")
    assert said[1] == "line 7: A reading must be of a line of small's bench record; got 'play'. The lines are gap, angle, force."  # fmt: skip
    assert said[2] == "line 8: A row must name its lesson; got none. Fill the column lesson."
    assert said[3] == "line 9: The reading of 'widest gap' must be 1 to 2; got '3'. Count them."
    assert said[4] == "line 10: exercises/big.md: …; got no such file."
    assert said[5] == "line 11: A reading must stand in a file once; got 0.45 here and 0.35 in line 2. Keep the right one."  # fmt: skip
    assert said[6] == 'line 12: A row must have at most as many cells as the first line, 5; got 6. Where commas part the columns, write 0.42 or put "0,42" in quotes.'  # fmt: skip
    mended = take(shop, text.replace("bench-09,small,gap,1", "bench-03,small,gap,1"))
    assert (len(mended.added), mended.known) == (1, 3)
    assert len(bench_record.readings(shop[0])) == 4
    assert len(mended.refused) == 6


def test_an_old_file_does_not_undo_a_correction(shop):
    take(shop, ROWS, "evening.csv")
    take(shop, ROWS.replace("0.35", "0.45"), "later.csv")
    assert stand(shop)["bench-01", "gap", 1] == 0.45
    again = take(shop, ROWS, "evening.csv")
    assert again.added == []
    assert "must not be undone by an old file; 0.35 came from this file before, and 0.45 mm stands" in again.refused[0].why  # fmt: skip
    assert stand(shop)["bench-01", "gap", 1] == 0.45
    dated = ROWS.replace("value\n", "value,measured\n").replace("0.35\n", "0.35,12 March\n")
    assert [r.value for r in take(shop, dated, "evening.csv").added] == [0.35]
    assert stand(shop)["bench-01", "gap", 1] == 0.35


def test_units_instruments_and_who_typed_it(shop):
    head = "student,line,value,unit,instrument,resolution,by\n"
    taken = take(
        shop,
        head + "bench-01,gap,0.05,in,,,\nbench-02,gap,0.32,mm,digital calliper,0.01,Bo\n"
        "bench-03,gap,0.4 mm,in,,,\nbench-04,angle,61.5,deg,,,\nbench-04,gap,0.4,mm,,fine,\n",
        lesson="small", by="Ann",
    )  # fmt: skip
    assert [r.value for r in taken.added] == pytest.approx([1.27, 0.32, 0.4, 61.5])
    assert [r.by for r in taken.added] == ["Ann", "Bo", "Ann", "Ann"]
    assert taken.added[1].instrument == "digital calliper"
    assert (taken.added[1].resolution, taken.added[0].resolution) == (0.01, 0.05)
    assert [r.why for r in taken.refused] == [
        "'finest division of the instrument' must be a number, in mm; got 'fine'. Write it like 12.5."
    ]


UNREAD = [
    (None, "the file must be there; got no such file. Mend the name."),
    (b"PK\x03\x04" + b"\0" * 50, "the file must be CSV, which is text; got a spreadsheet's own file or another thing. In the spreadsheet choose to save it as CSV."),
    (b"", "the first line must name the columns student, line, value; got nothing. Add what is missing."),
    (b"who,what\n1,2\n", "the first line must name the columns student, line, value; got who, what. Add what is missing."),
    (b"student,line,value,id\n", "a column must be there once; got student again. Take one out."),
    (b"student,line,value\n" + b"x" * 5_000_001, "the file must be at most 5 MB; got more. Split it."),
    (b"student,line,value\n" + b'"' + b"x" * 200_000, "the file must be CSV; got field larger than field limit (131072). Save it again from the spreadsheet as CSV."),
    (b"student,line,value\n" + b"a,b,1\n" * 50_001, "a file must have at most 50000 rows; got 50001. Split it."),
]  # fmt: skip


@pytest.mark.parametrize(("data", "message"), UNREAD, ids=range(len(UNREAD)))
def test_a_file_that_cannot_be_read_is_told(shop, data, message):
    with pytest.raises(ClassError) as told:
        if data is None:
            take_file.take_in(
                readings_file.READINGS_FILE,
                shop[0],
                shop[0].path / "none.csv",
                lambda slug: shop[1],
            )
        take(shop, data)
    assert str(told.value).endswith(message)
    assert bench_record.readings(shop[0]) == []


def test_the_blank_file_filled_in_comes_back(shop):
    folder, exercise = shop
    rows = list(csv.DictReader(io.StringIO(readings_file.blank(folder, exercise), newline="")))
    assert len(rows) == 4 * (2 + 2 + 1)
    assert rows[0] == {
        "student": "bench-01", "name": "Bench 1", "lesson": "small", "line": "gap",
        "what": "widest gap", "reading": "1", "value": "", "unit": "mm",
        "instrument": "feeler gauge", "measured": "", "by": "",
    }  # fmt: skip
    marks = {"gap": "0,35", "angle": "61,5", "force": "30"}
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, rows[0], delimiter=";")
    writer.writeheader()
    writer.writerows(row | {"value": marks[row["line"]]} for row in rows[:5])
    writer.writerows(rows[5:])
    taken = take(shop, text.getvalue())
    assert (len(taken.added), taken.empty, taken.refused) == (5, 15, [])


@settings(max_examples=15)
@given(
    st.lists(
        st.tuples(st.integers(1, 3), st.sampled_from(["gap", "angle"]), st.integers(1, 2), st.integers(0, 99),
                  st.text(st.characters(codec="utf-8"), max_size=20)),
        max_size=12,
    ),
    st.sampled_from([(",", "."), (";", ","), ("\t", ",")]),
)  # fmt: skip
def test_what_one_class_gives_out_another_takes_in(tmp_path_factory, rows, dialect):
    """Whatever the names in it, and saved again by a spreadsheet of another country."""
    path = tmp_path_factory.mktemp("two")
    folder, exercise = opened(path / "one")
    made = []
    for who, line, k, step, by in rows:
        text = f"{0.05 * step:.2f}" if line == "gap" else f"{40 + 0.5 * step:.1f}"
        made.append(
            bench_record.checked(folder, exercise, f"bench-{who:02d}", line, k, text, by=by)
        )
    bench_record.record(folder, made)
    text = readings_file.export(folder, bench_record.readings(folder), {"small": exercise})
    found = list(csv.reader(io.StringIO(text, newline="")))
    delimiter, sign = dialect
    value = found[0].index("value")
    again = io.StringIO(newline="")
    writer = csv.writer(again, delimiter=delimiter)
    writer.writerow(found[0])
    writer.writerows([*r[:value], r[value].replace(".", sign), *r[value + 1 :]] for r in found[1:])
    other, _ = opened(path / "two")
    file = path / "export.csv"
    file.write_bytes(again.getvalue().encode())
    taken = take_file.take_in(readings_file.READINGS_FILE, other, file, lambda slug: exercise)
    assert taken.refused == []
    first, second = bench_record.latest(folder, "small"), bench_record.latest(other, "small")
    assert {p: (r.value, r.by) for p, r in first.items()} == {
        p: (r.value, r.by) for p, r in second.items()
    }


def call(*words):
    done = CliRunner().invoke(main, [str(w) for w in words])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.stdout, done.stderr


def test_the_commands(shop, tmp_path):
    (tmp_path / "r.csv").write_text(ROWS + "bench-07,small,gap,1,0.4\n")
    code, said, asked = call("bench", "take-in", "r.csv", "--by", "=Ann")
    assert (code, said) == (
        1,
        "2 readings recorded, 0 known already, 0 not filled in, 1 asked back.\n",
    )
    assert asked.startswith("  line 4: ")
    code, said, _ = call("bench", "take-in", "r.csv", "--json")
    assert code == 1
    out = json.loads(said)
    assert (out["added"], out["known"], [r["line"] for r in out["asked back"]]) == ([], 2, [4])
    code, said, _ = call("bench", "show", "small", "--json")
    rows = json.loads(said)["readings"]
    assert [(r["student"], r["value"]) for r in rows] == [("bench-01", 0.35), ("bench-01", 0.4)]
    code, said, _ = call("bench", "show", "small")
    assert (code, "0.35  0.4" in said, "bench-04" in said) == (0, True, True)
    code, said, _ = call("bench", "show", "small", "--all")
    assert (code, "=Ann, file" in said) == (0, True)
    code, said, _ = call("bench", "export")
    exported = list(csv.DictReader(io.StringIO(said)))
    assert [(r["name"], r["value"], r["by"], r["stands"]) for r in exported] == [
        ("Bench 1", "0.35", "'=Ann", "yes"), ("Bench 1", "0.4", "'=Ann", "yes"),
    ]  # fmt: skip
    assert call("bench", "export", "small", "--out", "out.csv")[0] == 0
    assert (tmp_path / "out.csv").read_text(encoding="utf-8-sig") == said
    code, said, _ = call("bench", "blank", "small", "--out", "blank.csv")
    assert (code, said) == (0, "Written to blank.csv\n")
    assert len((tmp_path / "blank.csv").read_text().splitlines()) == 21


REFUSED = [
    (["take-in", "none.csv"], "none.csv: the file must be there; got no such file."),
    (["take-in", "roster.csv", "--class", "nowhere"], "nowhere: a class folder must hold class.toml"),
    (["show", "large"], "exercises/large.md: the public half of an exercise must be there"),
    (["export", "small", "--out", "."], ".: the file must have a name; got a folder."),
    (["blank"], "Missing argument 'LESSON'"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "message"), REFUSED)
def test_wrong_input_is_told_in_one_message(shop, words, message):
    code, _, said = call("bench", *words)
    assert code != 0
    assert message in " ".join(said.split())


def test_a_lesson_without_a_bench_record_gives_no_blank_file(tmp_path):
    folder, exercise = opened(tmp_path, bench="---\n\nTwo sums.\n")
    with pytest.raises(ClassError, match=r"small\.md: a bench record must have a line or more"):
        readings_file.blank(folder, exercise)


def test_a_name_that_is_nobody_s_is_looked_for_once_however_many_rows_it_has(shop, monkeypatch):
    asked = []

    def student(folder, text):
        asked.append(text)
        return known(folder, text)

    known = take_file.names.student
    monkeypatch.setattr(take_file.names, "student", student)
    rows = "bench-77,small,gap,1,0.4\n" * 3 + "bench-01,small,gap,1,0.4\nbench-01,small,gap,2,0.4\n"
    taken = take(shop, "student,lesson,line,reading,value\n" + rows)
    assert [r.line for r in taken.refused] == [2, 3, 4]
    assert len({r.why for r in taken.refused}) == 1
    assert (len(taken.added), asked) == (2, ["bench-77", "bench-01"])
