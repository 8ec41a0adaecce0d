"""A student's data given out in one file, and taken out of everything."""

from __future__ import annotations

import json
import shutil
import zipfile

import pytest

from coursekit.classroom.bench import bench_record
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.handout import assignments, zips
from coursekit.classroom.intake import take_in
from coursekit.classroom.marking import mark_class
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.register import class_folder, lock_and_backup
from coursekit.classroom.register.class_folder import ClassError, load
from coursekit.classroom.report import feedback
from coursekit.classroom.students import privacy, rename

from . import small
from .conftest import LIMITS, mark_evening
from .test_cli import call

WHO = "bench-02"


@pytest.fixture(scope="module")
def full(once, tmp_path_factory):
    """The evening with all that a class can hold of a student: versions, paper, bench, a former id."""
    place = tmp_path_factory.mktemp("full") / "e"
    shutil.copytree(once("evening", mark_evening), place)
    early = bench_record.Reading(WHO, "small", "side", 2, 2.0, "mm", by=WHO)
    bench_record.record(small.opened(place).folder, [early])
    rename.rename(small.opened(place).folder, WHO, "ada")
    rename.rename(small.opened(place).folder, "ada", WHO + "x")
    rename.rename(small.opened(place).folder, WHO + "x", "berta")
    class_folder.write_draws(small.opened(place).folder.path, {("berta", "other"): "berta~2"})
    work = small.opened(place)
    small.print_paper(work)
    small.print_paper(work, large=True)
    zips.make(work, None)
    mark_class.mark_class(work, limits=LIMITS)
    feedback.give_feedback(work.folder, "small", root=work.root)
    path = work.folder.path / "late.ipynb"
    path.write_bytes((work.folder.submitted("berta", "small") / "small.ipynb").read_bytes() + b"\n")
    take_in.take_in(work.folder, [path], student="berta", slug="small")
    path.unlink()
    bench_record.record(
        work.folder,
        [
            bench_record.Reading(s, "small", "side", 1, 3.0, "mm", by=s)
            for s in ("berta", "bench-03")
        ],
    )
    paper_answers.record(
        work.folder,
        [paper_answers.PaperAnswer(s, "small", "area", "4", by=s) for s in ("berta", "bench-03")],
    )
    (work.folder.path / "reports").mkdir()
    (work.folder.path / "reports" / "report.html").write_text("berta 3 of 8")
    with gradebook(work.folder) as book:
        book.find_grade("why", "small", "small", "bench-03").manual_score = 1.5
        book.db.commit()
    lock_and_backup.backup(work.folder)
    return place


@pytest.fixture
def work(full, tmp_path):
    shutil.copytree(full, tmp_path / "e")
    return small.opened(tmp_path / "e")


def test_the_export_holds_what_is_the_student_s_and_no_more(work, tmp_path):
    target = tmp_path / "out" / "berta.zip"
    names = privacy.export(work.folder, "berta", work.root, target)
    with zipfile.ZipFile(target) as packed:
        files = {n: packed.read(n) for n in packed.namelist()}
    assert sorted(files) == sorted(names)
    marks = json.loads(files["marks.json"])
    assert [(m["exercise"], m["handed_in"], m["id"]) for m in marks] == [("small", True, "berta")]
    assert [q["id"] for q in marks[0]["questions"]] == ["area", "double", "shape", "why"]
    assert [r["value"] for r in json.loads(files["bench.json"])] == [2.0, 3.0]
    assert [a["answer"] for a in json.loads(files["answers-on-paper.json"])] == ["4"]
    assert {n.split("/")[0] for n in files} == {
        "about.json", "marks.json", "bench.json", "hand-out", "submitted", "taken-in", "feedback",
        "worksheets", "answers-on-paper.json",
    }  # fmt: skip
    assert sum(n.endswith("small.ipynb") and n.startswith("taken-in/") for n in files) == 2
    whole = b"".join(d for n, d in files.items() if not n.endswith((".pdf", ".js")))
    for other in ("bench-01", "bench-03", "bench-04", work.folder.secret.hex()):
        assert other.encode() not in whole
    with pytest.raises(ClassError, match="the export must be a new file"):
        privacy.export(work.folder, "berta", work.root, target)
    with pytest.raises(ClassError, match="must be on the roster"):
        privacy.export(work.folder, "nobody", work.root, tmp_path / "n.zip")


def test_erased_means_gone_from_every_byte_of_the_folder(work):
    others = [r for r in small.rows(work) if r[0] != "berta"]
    assert privacy.traces(work.folder, "berta")
    done = privacy.erase(work.folder, "berta")
    assert done.left == ()
    for path in work.folder.path.rglob("*"):
        assert "berta" not in path.name
        assert path.is_dir() or b"berta" not in path.read_bytes(), path
    for words in ("gradebook: the student and 1 submission", "bench record: 2 readings", "answers on paper: 1", "roster.csv: the line",
                  "submitted/berta", "taken-in/berta", "worksheets/small/a4/class.pdf", "worksheets/small/a4-large/class.pdf", "reports/report.html"):  # fmt: skip
        assert words in done.removed
    assert any(words.startswith("backup gradebook-") for words in done.removed)
    kept = small.opened(work.root.parent)
    assert small.rows(kept) == others
    assert [r.student for r in bench_record.readings(kept.folder)] == ["bench-03"]
    assert [s.id for s in kept.folder.students] == ["bench-01", "bench-03", "bench-04", "bench-05"]
    told = {}
    mark_class.mark_class(kept, limits=LIMITS, progress=lambda s, what: told.update({s: what}))
    assert set(told) == {"bench-01", "bench-03", "bench-04"}
    assert small.rows(kept) == others
    with pytest.raises(ClassError, match="got 'berta', of whom nothing is"):
        privacy.erase(kept.folder, "berta")


MAIL = "berta@example.org"


def with_mail(folder):
    """The class with an address for one student, as a newer roster brings it."""
    students = [
        class_folder.Student(s.id, s.name, MAIL if s.id == "berta" else "") for s in folder.students
    ]
    return rename.open_with(folder.path, students)[0]


def files_with_mail(folder):
    return sorted(
        p.relative_to(folder.path).as_posix()
        for p in folder.path.rglob("*")
        if p.is_file() and MAIL.encode() in p.read_bytes()
    )


def test_an_address_follows_its_student_is_given_out_and_goes(work, tmp_path):
    folder = with_mail(work.folder)
    bare = [class_folder.Student(s.id, s.name) for s in folder.students]
    folder, _ = rename.open_with(folder.path, bare)
    assert folder.student("berta").mail == MAIL, "a roster without addresses leaves them"
    rename.rename(folder, "berta", "cora")
    folder = load(folder.path)
    assert folder.student("cora").mail == MAIL
    assert [s.mail for s in folder.students if s.id != "cora"] == [""] * 4
    for who in ("cora", "bench-03"):
        privacy.export(folder, who, work.root, tmp_path / f"{who}.zip")
        with zipfile.ZipFile(tmp_path / f"{who}.zip") as packed:
            told = json.loads(packed.read("about.json")).get("e-mail")
        assert told == (MAIL if who == "cora" else None)
    privacy.erase(folder, "cora")
    assert files_with_mail(folder) == []


def test_an_address_stands_in_the_roster_alone_and_in_nobodys_material(work):
    work = small.opened(with_mail(work.folder).path.parent)
    assignments.hand_out(work)
    small.print_paper(work)
    made = zips.make(work, None)
    mark_class.mark_class(work, limits=LIMITS)
    feedback.give_feedback(work.folder, "small", root=work.root)
    assert files_with_mail(work.folder) == ["roster.csv"]
    for path in (*made.zips, made.stick):
        with zipfile.ZipFile(path) as packed:
            whole = b"".join(map(packed.read, packed.namelist()))
        assert MAIL.encode() not in whole
        assert b"example.org" not in whole


def test_a_backup_put_back_knows_the_student_no_more(work):
    privacy.erase(work.folder, "berta")
    newest = lock_and_backup.backups(work.folder)[-1]
    work.folder.gradebook_file.write_bytes(newest.read_bytes())
    with gradebook(load(work.folder.path)) as book:
        assert "berta" not in {s.id for s in book.students}
        assert book.find_grade("why", "small", "small", "bench-03").manual_score == 1.5


def test_who_left_the_roster_can_still_be_erased(work):
    rename.open_with(work.folder.path, [s for s in work.folder.students if s.id != "berta"])
    folder = load(work.folder.path)
    assert privacy.erase(folder, "berta").left == ()


def test_the_commands(work, tmp_path, monkeypatch):
    monkeypatch.chdir(work.root)
    place = ["--class", work.folder.path]
    code, said = call("student", "export", "berta", tmp_path / "b.zip", *place)
    assert (code, "files are in" in said) == (0, True)
    code, said = call("student", "rename", "bench-04", "cleo", *place)
    assert (code, said.split(".")[0]) == (0, "bench-04 is now cleo")
    assert call("student", "renumber", "bench-05", "small", *place)[0] == 0
    assert call("student", "renumber", "cleo", "small", *place)[0] == 1
    assert call("student", "renumber", "bench-05", "large", *place)[0] == 1
    before = small.tree(work.folder.path)
    assert call("student", "erase", "berta", *place)[0] == 1  # nobody says yes
    assert small.tree(work.folder.path) == before
    told = json.loads(call("student", "erase", "berta", "--yes", "--json", *place)[1])
    assert told["still_named_in"] == []
    assert "submitted/berta" in told["removed"]
