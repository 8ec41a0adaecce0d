"""Rosters as spreadsheets save them, and what is refused, line by line."""

from __future__ import annotations

import pytest

from coursekit.classroom.register import class_folder
from coursekit.classroom.register.roster import ClassError, Roster, Student, read

ROWS = (Student("bench-01", "Ærøskøbing 王"), Student("bench-02", "Ng, Second"))
QUOTED = 'id,name\r\nbench-01,Ærøskøbing 王\r\nbench-02,"Ng, Second"\r\n'

SPELT = {
    "utf-8": QUOTED.encode(),
    "with its mark": b"\xef\xbb\xbf" + QUOTED.encode(),
    "utf-16 little": b"\xff\xfe" + QUOTED.encode("utf-16-le"),
    "utf-16 big": b"\xfe\xff" + QUOTED.encode("utf-16-be"),
    "utf-16 without a mark": QUOTED.encode("utf-16-le"),
    "old line ends": QUOTED.replace("\r\n", "\r").encode(),
    "semicolons": "ID;Name\nbench-01;Ærøskøbing 王\nbench-02;Ng, Second\n".encode(),
    "a line that says so": "sep=;\nid;name\nbench-01;Ærøskøbing 王\nbench-02;Ng, Second\n".encode(),
    "tabs": "id\tname\nbench-01\tÆrøskøbing 王\nbench-02\tNg, Second\n".encode(),
    "bars": "id|name\nbench-01|Ærøskøbing 王\nbench-02|Ng, Second\n".encode(),
    "other order and case": 'NAME , Student ID\nÆrøskøbing 王,bench-01\n"Ng, Second",bench-02\n'.encode(),
    "all quoted": '"id";"name"\n"bench-01";"Ærøskøbing 王"\n"bench-02";"Ng, Second"\n'.encode(),
    "empty lines and cells": "\n;;\nid;name;\n\nbench-01;Ærøskøbing 王;\n;;\nbench-02;Ng, Second;\n".encode(),
    "spaces about": "id;name\n  bench-01 ; Ærøskøbing  王\nbench-02\u00a0;Ng,\u200b Second\n".encode(),
    "letters in two parts": "id;name\nbench-01;Ærøskøbing 王\nbench-02;Ng, Second\n".encode(),
}  # fmt: skip


@pytest.mark.parametrize("how", SPELT)
def test_the_same_roster_however_it_was_saved(tmp_path, how):
    path = tmp_path / "roster.csv"
    path.write_bytes(SPELT[how])
    assert read(path, fresh=True) == Roster(ROWS)


def test_the_old_western_code_page(tmp_path):
    path = tmp_path / "r.csv"
    path.write_bytes("id;name\nbench-01;Ærøskøbing\n".encode("cp1252"))
    assert read(path).students == (Student("bench-01", "Ærøskøbing"),)


def test_first_and_last_name_and_columns_left_out(tmp_path):
    path = tmp_path / "r.csv"
    path.write_text("Surname;First Name;Phone;No.;Fee\nNg;Second;0123;7;12,50\nX;;;8;\n")
    assert read(path) == Roster((Student("7", "Second Ng"), Student("8", "X")), ("Phone", "Fee"))


@pytest.mark.parametrize(
    ("head", "row", "name"),
    [
        ("Nr;Nachname, Vorname", '7;"Ng, Zwei"', "Ng, Zwei"),
        ("Nr;Name;Vorname", "7;Ng;Zwei", "Zwei Ng"),
        ("Vorname;Familienname;Nr", "Zwei;Ng;7", "Zwei Ng"),
        ("Nom;Prénom;No", "Ng;Deux;7", "Deux Ng"),
    ],
)
def test_columns_named_as_in_other_languages(tmp_path, head, row, name):
    path = tmp_path / "r.csv"
    path.write_text(f"{head}\n{row}\n", encoding="utf-8")
    assert read(path).students == (Student("7", name),)


SPELT_MAIL = (
    "e-mail",
    "E-Mail",
    "EMAIL",
    "mail",
    "e-mail address",
    "E_mail Address",
    "Student e-mail",
)


@pytest.mark.parametrize("column", SPELT_MAIL)
def test_the_address_is_kept_however_its_column_is_called(tmp_path, column):
    path = tmp_path / "r.csv"
    path.write_text(f"{column};id;name\nann@example.org;a;Ann\n;b;Bo\n")
    assert read(path) == Roster((Student("a", "Ann", "ann@example.org"), Student("b", "Bo")))
    class_folder.write_roster(path, read(path).students)
    assert path.read_text() == "id,name,e-mail\na,Ann,ann@example.org\nb,Bo,\n"


def test_a_roster_without_addresses_is_written_as_ever(tmp_path):
    class_folder.write_roster(tmp_path / "r.csv", ROWS)
    assert (tmp_path / "r.csv").read_bytes().splitlines()[0] == b"id,name"


GOOD_MAILS = (
    "a@b",
    "ann.o'neil+bench@mail.example.org",
    "jürgen@bücher.example",
    "a_b-c%d@x-y.example",
)
BAD_MAILS = (
    "ann", "@", "ann@", "@example.org", "a@b@c", "a@b,c@d", "a@b;c@d", "a b@c", "Ann <a@b>", "mailto:a@b",
    '"a"@b', "a@b\\c", "a@[1.2.3.4]", "a@" + "b" * 253, "a@b\nBcc: c@d", "a\r\n@b", "a\t@b", "=?utf-8?q?a=0A?=@b", "a\u2028@b",
)  # fmt: skip


@pytest.mark.parametrize("mail", GOOD_MAILS)
def test_an_address_that_may_be_one_is_kept(tmp_path, mail):
    path = tmp_path / "r.csv"
    path.write_text(class_folder.csv_text([("id", "email"), ("a", mail)]), encoding="utf-8")
    assert read(path) == Roster((Student("a", "a", mail),))


@pytest.mark.parametrize("mail", BAD_MAILS)
def test_an_address_that_is_none_is_told_and_the_student_taken(tmp_path, mail):
    path = tmp_path / "r.csv"
    path.write_text(class_folder.csv_text([("id", "email"), ("a", mail)]), encoding="utf-8")
    found = read(path)
    assert found.students == (Student("a", "a"),)
    (told,) = found.told
    assert told.startswith(f"{path}, line 2: an e-mail address must be one address with one @")
    assert told.endswith("The student is taken without it.")
    assert told.isprintable()


def test_no_name_is_the_id(tmp_path):
    path = tmp_path / "r.csv"
    path.write_text("id\nbench-01\n")
    assert read(path).students == (Student("bench-01", "bench-01"),)


REFUSED = {
    "id;name\na;x\nb;y\na;z\nb;w\nA;q": "an id must be used once, capitals or not; got 'a and A' in lines 2, 4, 6; 'b' in lines 3, 5.",
    "who,what\n1,2\n": "the first line must name the columns id and name; got 'who', 'what'.",
    "": "got an empty file.",
    "id,name\n,x\n": "line 2: an id must be letters, digits, - _ and .; got ''.",
    "id,name\n\n\nok,x\n../up,y\n": "line 5: an id must be letters, digits, - _ and .; got '../up'.",
    "id,name\na b,y\n": "line 2: an id must be letters, digits, - _ and .; got 'a b'.",
    "id,name\n.a,y\n": "got '.a'.",
    "id,name\na.,y\n": "got 'a.'.",
    "id,name\nCON,y\n": "line 2: an id must not be a name that the kit or a system keeps for itself; got 'CON'.",
    "id,name\nlpt1.x,y\n": "keeps for itself; got 'lpt1.x'.",
    "id,name\ninstructor,y\n": "keeps for itself; got 'instructor'.",
    "id,name\nclass,y\n": "keeps for itself; got 'class'.",
    "id,name\n" + "a" * 65 + ",y\n": "line 2: an id must have at most 64 letters; got 65.",
    "id,name\na," + "y" * 121 + "\n": "line 2: a name must have at most 120 letters; got 121.",
    "id,name\na,Ng, Second\n": "line 2: a line must have no more cells than the first one; got 3 for 2.",
    'id,name\na,"open\nb,c\n': "line 2: quotes must come in pairs round a whole cell;",
    "id,name,ID\na,b,c\n": "a column must be named once; got 'id' twice in the first line.",
}  # fmt: skip


@pytest.mark.parametrize("text", REFUSED, ids=range(len(REFUSED)))
def test_refused(tmp_path, text):
    path = tmp_path / "r.csv"
    path.write_text(text)
    with pytest.raises(ClassError) as caught:
        read(path, fresh=True)
    assert REFUSED[text] in str(caught.value)
    assert str(caught.value).startswith(str(path))


@pytest.mark.parametrize("start", [b"PK\x03\x04rest", b"\xd0\xcf\x11\xe0rest", b"%PDF-1.7"])
def test_a_spreadsheet_itself_is_refused_with_the_cure(tmp_path, start):
    path = tmp_path / "roster.xlsx"
    path.write_bytes(start)
    with pytest.raises(ClassError, match="Save it there as CSV"):
        read(path)


def test_bytes_that_are_no_text_are_refused(tmp_path):
    path = tmp_path / "r.csv"
    path.write_bytes(b"id,name\n\x81\x00\x8d,b\n")
    with pytest.raises(ClassError, match="got bytes that are none"):
        read(path)


def test_a_class_that_is_open_reads_its_own_roster_as_before(tmp_path):
    """Ids that a new roster may not have go on working in a class that has them."""
    path = tmp_path / "roster.csv"
    path.write_text("id,name\ninstructor,I\na,x\nA,y\n")
    assert [s.id for s in read(path).students] == ["instructor", "a", "A"]
