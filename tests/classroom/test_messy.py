"""Hand-ins as they really are, sixty and more: every file is in the list, and nothing else has changed."""

from __future__ import annotations

import gzip
import io
import json
import os
import shutil
import tarfile
import zipfile
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage

import nbformat
import pytest

from coursekit.classroom.bank import answer_text
from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake import choosing, for_the_eye, take_in
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import Student, load, open_class
from coursekit.classroom.students import privacy, rename
from coursekit.commands import taking_in

from . import small
from .test_cli import call
from .test_take_in import raw_zip

# invented names in several scripts
CLASS = (
    Student("bench-01", "Zoë Çelik"),
    Student("bench-02", "Мария Иванова"),
    Student("bench-03", "山田 太郎"),
    Student("bench-04", "Tom Reed"),
)
NOON = datetime(2026, 12, 3, 12, tzinfo=UTC)
JPG, PNG = b"\xff\xd8\xff\xe0 a photo", b"\x89PNG\r\n\x1a\n a drawing"
HEIC = b"\0\0\0\x18ftypheic a photo"
PDF = b"%PDF-1.7 a scan"


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    path = tmp_path_factory.mktemp("messy")
    root = small.write(path / "course")
    folder = open_class(path / "class", CLASS, "Evening")
    assignments.hand_out(assignments.assignment(folder, "small", root))
    return path


class Inbox:
    """What came in one evening, and what the class makes of it."""

    def __init__(self, path):
        note_course(load(path / "e" / "class"), path / "e" / "course")
        self.work = small.opened(path / "e")
        self.folder = self.work.folder
        self.path = path / "inbox"
        self.path.mkdir()

    def notebook(self, student="bench-04", answer="225", stamped=True):
        """A student's copy with an answer; without one it is as it was handed out."""
        found = nbformat.reads(
            (self.folder.bundle(student, "small") / "small.ipynb").read_text(), as_version=4
        )
        for cell in found.cells:
            if answer and cell.metadata.nbgrader["grade_id"] == "area-answer":
                cell.source = f"area = {answer}"
        if not stamped:
            del found.metadata["coursekit"]
        return nbformat.writes(found).encode()

    def text(self, student="bench-04", area="225", copy="1", stamped=True):
        """Saved answers of a student."""
        check = stamps.stamp(self.folder, student, "small")["check"] if stamped else ""
        said = {"area": [area], "why": ["I measured it."]} if area else {"area": ["-"]}
        return answer_text.written(
            AnswerText("small", student, check, f"2026-12-03 18:2{copy} UTC", copy, said)
        ).encode()

    def put(self, name, data=b"", at=None):
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        if at:
            os.utime(path, (at.timestamp(), at.timestamp()))

    def take(self, **more):
        return take_in.take_in(self.folder, [self.path], **more)


@pytest.fixture
def inbox(handed_out, tmp_path):
    shutil.copytree(handed_out, tmp_path / "e")
    return Inbox(tmp_path)


def zipped(members, at=(2026, 12, 3, 12, 0, 0)):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(zipfile.ZipInfo(name, at), content)
    return data.getvalue()


def tarred(members):
    data = io.BytesIO()
    with tarfile.open(fileobj=data, mode="w:gz") as archive:
        for name, content in members.items():
            info = tarfile.TarInfo(name)
            info.size = len(content)
            archive.addfile(info, io.BytesIO(content))
    return data.getvalue()


def mailed(text="Here it is.", *attached):
    message = EmailMessage()
    message["Subject"], message["From"] = "Hand-in", "someone@example.org"
    message.set_content(text)
    for name, data in attached:
        message.add_attachment(data, maintype="application", subtype="octet-stream", filename=name)
    return message.as_bytes()


def docx():
    return zipped({"[Content_Types].xml": b"<Types/>", "word/document.xml": b"<w:document/>"})


def cut(data, share=0.5):
    return data[: int(len(data) * share)]


def page():
    return (
        b"<!DOCTYPE html><html><head><title>Small</title></head><body><h1>Small</h1>"
        b"<script>const first = 'coursekit answers\\n';</script></body></html>"
    )


CASES = {}


def case(*expected):
    """Note what is put into the inbox, and for each file what becomes of it and a word of why."""

    def note(build):
        CASES[build.__name__.strip("_").replace("_", " ")] = (build, expected)

    return note


WORDS_OF_MAIL = "passed m.eml/the message.txt: words of a mail"


@case("taken Zoe Celik small.ipynb bench-01: file name")
def a_name_without_its_accents(b):
    b.put("Zoe Celik small.ipynb", b.notebook("bench-01", stamped=False))


@case("taken Иванова Мария.ipynb bench-02: file name")
def a_name_in_cyrillic(b):
    b.put("Иванова Мария.ipynb", b.notebook("bench-02", stamped=False))


@case("taken 山田太郎.ipynb bench-03: file name", "kept 山田 太郎 (2).jpg bench-03: a photo")
def a_name_in_ideographs(b):
    b.put("山田太郎.ipynb", b.notebook("bench-03", stamped=False))
    b.put("山田 太郎 (2).jpg", JPG)


@case("taken ZOË ÇELİK.ipynb bench-01: stamp")
def a_name_in_capitals_of_another_language(b):
    b.put("ZOË ÇELİK.ipynb", b.notebook("bench-01"))


@case("left علي.ipynb: no stamp of this class")
def a_name_that_is_nobody_s(b):
    b.put("علي.ipynb", b.notebook(stamped=False))


@case("taken 🚲 done!!.ipynb bench-04: stamp")
def a_name_of_signs(b):
    b.put("🚲 done!!.ipynb", b.notebook())


@case("taken evening/small.ipynb bench-04: stamp", "kept evening/IMG_0042.HEIC bench-04: a photo")
def a_heic_photo_beside_a_notebook(b):
    b.put("evening/small.ipynb", b.notebook())
    b.put("evening/IMG_0042.HEIC", HEIC)


@case(
    "taken a.zip/small.ipynb bench-04: stamp",
    "with a.zip/IMG_0042.HEIC bench-04: for you to look at",
)
def a_heic_photo_in_the_zip(b):
    b.put("a.zip", zipped({"small.ipynb": b.notebook(), "IMG_0042.HEIC": HEIC}))


@case("taken answers/answers.txt bench-04: stamp", "kept answers/sheet.jpg bench-04: it came with")
def a_photo_beside_saved_answers(b):
    b.put("answers/answers.txt", b.text())
    b.put("answers/sheet.jpg", JPG)


@case("left a.zip/b.zip/c.zip: archive in an archive in another")
def zip_in_zip_in_zip(b):
    b.put("a.zip", zipped({"b.zip": zipped({"c.zip": zipped({"small.ipynb": b.notebook()})})}))


@case(
    "taken a.zip/b.zip/small.ipynb bench-04: stamp",
    "taken a.zip/c.tar.gz/small.ipynb bench-01: stamp",
)
def archives_in_a_zip(b):
    b.put("a.zip", zipped({"b.zip": zipped({"small.ipynb": b.notebook()}), "c.tar.gz": tarred({"small.ipynb": b.notebook("bench-01")})}))  # fmt: skip


@case(
    "taken all.zip/m.eml/answers.txt bench-04: stamp",
    "taken all.zip/m.eml/w.zip/small.ipynb bench-01: stamp",
    "passed all.zip/m.eml/the message.txt: words of a mail",
)
def all_attachments_of_a_mail_program(b):
    b.put("all.zip", zipped({"m.eml": mailed("Both of us.", ("answers.txt", b.text()), ("w.zip", zipped({"small.ipynb": b.notebook("bench-01")})))}))  # fmt: skip


@case("left bench-04.txt: empty (0 bytes)")
def an_empty_text(b):
    b.put("bench-04.txt")


@case("taken bench-04 small.ipynb bench-04: empty (0 bytes)")
def an_empty_notebook_where_nothing_else_is(b):
    b.put("bench-04 small.ipynb")


@case("left small.ipynb: empty (0 bytes)")
def an_empty_notebook_of_nobody(b):
    b.put("small.ipynb")


@case("taken bench-04 small.ipynb bench-04: cut off: it ends in the middle")
def half_a_notebook(b):
    b.put("bench-04 small.ipynb", cut(b.notebook()))


@case("left a.zip: cut off: the zip ends before its list")
def half_a_zip(b):
    b.put("a.zip", cut(zipped({"small.ipynb": b.notebook()})))


@case("taken a.txt bench-04: cut off: its end is missing. Ask for it again")
def half_a_text(b):
    b.put("a.txt", b.text()[: b.text().index(b"[why]")])


@case("left a.txt: cut off: answers begin in it")
def a_text_of_one_line(b):
    b.put("a.txt", b"coursekit answers\nlesson: sma")


@case("taken a/small.ipynb bench-04: stamp", "older b/bench-04 small.ipynb bench-04: cut off")
def half_a_notebook_after_a_whole_one(b):
    b.put("a/small.ipynb", b.notebook(), NOON)
    b.put("b/bench-04 small.ipynb", cut(b.notebook()), NOON + timedelta(hours=1))


@case("taken a/small.ipynb bench-04: stamp", "older b/small.ipynb bench-04: no answers")
def a_blank_copy_after_the_work(b):
    b.put("a/small.ipynb", b.notebook(), NOON)
    b.put("b/small.ipynb", b.notebook(answer=""), NOON + timedelta(hours=1))


@case("taken small.txt bench-04: stamp")
def a_notebook_renamed_to_txt(b):
    b.put("small.txt", b.notebook())


@case("taken small bench-04: stamp")
def a_notebook_without_an_ending(b):
    b.put("small", b.notebook())


@case("kept bench-04 small.ipynb bench-04: a document")
def a_word_file_named_ipynb(b):
    b.put("bench-04 small.ipynb", docx())


@case("left small.ipynb: a document, and whose it is cannot be told")
def a_word_file_named_ipynb_of_nobody(b):
    b.put("small.ipynb", docx())


@case("taken bench-04 small.ipynb bench-04: a web page, not a notebook")
def a_log_in_page_named_ipynb(b):
    b.put("bench-04 small.ipynb", b"<!DOCTYPE html><html><body>Please log in.</body></html>")


@case(
    "taken a.zip/small.ipynb bench-04: stamp",
    "passed a.zip/__MACOSX: macOS adds it",
    "passed a.zip/._small.ipynb: system",
    "passed a.zip/.DS_Store: system",
)
def what_macos_puts_into_a_zip(b):
    b.put("a.zip", zipped({"small.ipynb": b.notebook(), "__MACOSX/._small.ipynb": b"\0\5\x16\7", "._small.ipynb": b"\0\5\x16\7", ".DS_Store": b"\0\0\0\1Bud1"}))  # fmt: skip


@case("passed Thumbs.db: system", "passed desktop.ini: system", "passed ._x.jpg: system")
def what_systems_leave_behind(b):
    for name in ("Thumbs.db", "desktop.ini", "._x.jpg"):
        b.put(name, b"x")


@case(
    "taken small/small.ipynb bench-04: stamp",
    "passed small/.venv (312): The start files",
    "passed small/.ipynb_checkpoints: Jupyter",
    "passed small/numbers.json: kit makes",
    "passed small/uv.lock: kit makes",
    "passed small/lesson/index.html: kit makes",
)
def a_bundle_folder_as_it_lay_on_the_disk(b):
    b.put("small/small.ipynb", b.notebook())
    for i in range(312):
        b.put(f"small/.venv/lib/{i}.py", b"x")
    b.put("small/.ipynb_checkpoints/small-checkpoint.ipynb", b.notebook(answer="1"))
    b.put("small/numbers.json", b.work.numbers_text("bench-04").encode())
    b.put("small/uv.lock", b"x")
    b.put("small/lesson/index.html", b"<html></html>")


@case(
    "left a.ipynb bench-04: nothing says which is the newer",
    "left b.ipynb bench-04: nothing says which is the newer",
)
def two_versions_of_the_same_time(b):
    b.put("a.ipynb", b.notebook(answer="1"), NOON)
    b.put("b.ipynb", b.notebook(answer="2"), NOON)


@case("older a.ipynb bench-04: no answers", "taken b.ipynb bench-04: stamp")
def two_versions_of_the_same_time_one_of_them_blank(b):
    b.put("a.ipynb", b.notebook(answer=""), NOON)
    b.put("b.ipynb", b.notebook(), NOON)


@case("older a.txt bench-04: copy 1", "taken b.txt bench-04: copy 2")
def two_copies_of_the_same_time(b):
    b.put("a.txt", b.text(copy="1", area="1"), NOON)
    b.put("b.txt", b.text(copy="2", area="2"), NOON)


@case("taken a.ipynb bench-04: stamp", "same b.ipynb bench-04: taken in before")
def the_same_file_twice(b):
    b.put("a.ipynb", b.notebook(), NOON)
    b.put("b.ipynb", b.notebook(), NOON)


@case("taken m.eml/a.txt bench-04: stamp", "taken m.eml/b.txt bench-01: stamp", WORDS_OF_MAIL)
def a_mail_with_two_students_work(b):
    b.put("m.eml", mailed("From Tom and me", ("a.txt", b.text()), ("b.txt", b.text("bench-01"))))


@case(
    "older m.eml/the message.txt bench-04: copy 1", "taken m.eml/the message.txt bench-04: copy 2"
)
def a_message_with_quoted_answers(b):
    quoted = "".join(f"> {line}\n" for line in b.text(area="1").decode().splitlines())
    b.put("m.eml", mailed(f"{b.text(copy='2').decode()}\nI wrote:\n{quoted}"))


@case("left m.eml/the message.txt: no saved answers are in them")
def a_mail_of_words_alone(b):
    b.put("m.eml", mailed("My answer to the first is 225."))


@case(
    "taken inner.eml/m.eml/a.txt bench-04: stamp",
    "passed inner.eml/the message.txt: words",
    "passed inner.eml/m.eml/the message.txt: words",
)
def a_mail_in_a_mail(b):
    b.put("inner.eml", mailed("Fwd", ("m.eml", mailed("Here", ("a.txt", b.text())))))


@case("taken a.txt bench-04: changed after it was saved")
def curly_quotes_and_other_spaces(b):
    text = b.text().decode().replace("I measured", "I\u00a0\u201cmeasured\u201d")
    b.put("a.txt", text.encode())


@case("taken a.txt bench-04: copy 1 saved 2026-12-03 18:21 UTC")
def a_byte_order_mark(b):
    b.put("a.txt", b"\xef\xbb\xbf" + b.text())


@case("taken a.txt bench-04: stamp")
def utf_16(b):
    b.put("a.txt", b.text().decode().encode("utf-16"))


@case("taken a.txt bench-04: stamp")
def ends_of_lines_of_windows(b):
    b.put("a.txt", b.text().replace(b"\n", b"\r\n"))


@case("taken a.txt bench-04: stamp")
def ends_of_lines_of_an_old_mac(b):
    b.put("a.txt", b.text().replace(b"\n", b"\r"))


@case("left small-bench-04.html: the answer page itself, not the answers")
def the_answer_page_itself(b):
    b.put("small-bench-04.html", page())


@case(
    "taken a.zip/small.ipynb bench-04: no answers",
    "left a.zip/small-bench-04.html: press “Save to hand in”",
)
def the_answer_page_in_a_zip(b):
    b.put("a.zip", zipped({"small.ipynb": b.notebook(answer=""), "small-bench-04.html": page()}))


@case("taken a.zip/small.ipynb bench-04: stamp", "passed a.zip/small-bench-04.html: kit makes")
def the_answer_page_beside_answers(b):
    b.put("a.zip", zipped({"small.ipynb": b.notebook(), "small-bench-04.html": page()}))


@case("left bench-04/bench-01.jpg: its file name says bench-01, its folder's name says bench-04")
def a_photo_named_after_a_friend(b):
    b.put("bench-04/bench-01.jpg", JPG)


@case(
    "kept bench-04 small worksheet.jpg bench-04 small: a photo",
    "kept bench-04.png bench-04: a photo",
)
def photos_of_worksheets(b):
    b.put("bench-04 small worksheet.jpg", JPG)
    b.put("bench-04.png", PNG)


@case("left IMG_1.jpg: a photo, and whose it is cannot be told")
def a_photo_of_nobody(b):
    b.put("IMG_1.jpg", JPG)


@case(
    "kept bench-04/0 bench-04 (100): a photo",
    "left bench-04/1 bench-04 (100): at most 100 files are kept",
)
def a_folder_of_200_photos(b):
    for i in range(200):
        b.put(f"bench-04/{i // 100}{i % 100:02}.jpg", JPG + bytes([i]))


@case("left bench-04.mp4: larger than 20 MB")
def a_video_of_30_mb(b):
    b.put("bench-04.mp4", b"\0" * 30_000_000)


@case("kept Tom Reed.m4a bench-04: a recording", "kept Tom Reed.mp4 bench-04: a recording")
def a_spoken_answer(b):
    b.put("Tom Reed.m4a", b"\0\0\0\x18ftypM4A x")
    b.put("Tom Reed.mp4", b"\0\0\0\x18ftypisom x")


@case(
    "kept bench-04 a.pdf bench-04: a PDF",
    "kept bench-04 b.odt bench-04: a document",
    "kept bench-04 c.docx bench-04: a document",
    "kept bench-04 d.pages bench-04: a document",
    "kept bench-04 e.xlsx bench-04: a spreadsheet",
    "kept bench-04 f.ods bench-04: a spreadsheet",
    "kept bench-04 g.webp bench-04: a photo",
    "kept bench-04 h.gif bench-04: a photo",
)
def scans_documents_and_sheets(b):
    b.put("bench-04 a.pdf", PDF)
    for name in ("b.odt", "c.docx", "d.pages", "e.xlsx", "f.ods"):
        b.put(f"bench-04 {name}", docx() if "docx" in name else name.encode())
    b.put("bench-04 g.webp", b"RIFF\0\0\0\0WEBP")
    b.put("bench-04 h.gif", b"GIF89a")


@case("kept bench-04 photo bench-04: a photo")
def a_photo_without_an_ending(b):
    b.put("bench-04 photo", JPG)


@case(
    "left a.url: a link to something",
    "left b.webloc: a link to something",
    "left c.lnk: a link to something",
)
def links_in_place_of_files(b):
    for name in ("a.url", "b.webloc", "c.lnk"):
        b.put(name, b"[InternetShortcut]\nURL=https://example.org\n")


@case("left a.zip: locked with a password")
def a_zip_with_a_password(b):
    raw_zip(b.path / "a.zip", "small.ipynb", locked=True)


@case(
    "left a.rar: Only zip",
    "left b.7z: Only zip",
    "left c.zip/d.rar: Only zip",
    "taken c.zip/small.ipynb bench-04: stamp",
)
def archives_that_are_not_opened(b):
    b.put("a.rar", b"Rar!\x1a\7")
    b.put("b.7z", b"7z\xbc\xaf\x27\x1c")
    b.put("c.zip", zipped({"d.rar": b"Rar!", "small.ipynb": b.notebook()}))


@case("left small.zip.txt: a zip under another name")
def a_zip_under_another_name(b):
    b.put("small.zip.txt", zipped({"small.ipynb": b.notebook()}))


@case("left link.ipynb: link is not followed", "left photos: link is not followed")
def symbolic_links(b):
    (b.path / "link.ipynb").symlink_to(b.folder.path / "secret")
    (b.path / "photos").symlink_to(b.folder.path)


@case("left a.zip: a name longer than the 255 bytes")
def a_name_of_300_characters(b):
    b.put("a.zip", zipped({"n" * 300 + ".ipynb": b.notebook()}))


@case("kept bench-04 nnnnnn bench-04: a photo")
def a_photo_of_a_long_name(b):
    b.put("bench-04 " + "n" * 240 + ".jpg", JPG)


@case("left setup.exe: a program", "left bench-04.jpg: a program")
def programs(b):
    b.put("setup.exe", b"MZ\x90")
    b.put("bench-04.jpg", b"MZ\x90")


@case("left small.ipynb.part: half of a download", "left .small.ipynb.icloud: stands for a file")
def half_downloads(b):
    b.put("small.ipynb.part", cut(b.notebook(), 0.1)[:20])
    b.put(".small.ipynb.icloud", b"bplist00")


@case("left mail.msg: a form that only its own program reads")
def a_mail_in_its_program_s_own_form(b):
    b.put("mail.msg", b"\xd0\xcf\x11\xe0")


@case("left a.zip: Nothing is in it")
def nothing_at_all(b):
    b.put("a.zip", zipped({}))


@case(
    "left notes.txt: a document, and whose it is cannot be told",
    "kept bench-04 notes.md bench-04: a document",
)
def notes(b):
    b.put("notes.txt", b"Bring the strip of paper.")
    b.put("bench-04 notes.md", b"I could not do the third.")


@case("taken a.txt bench-04: which anybody can edit")
def answers_without_their_stamp(b):
    b.put("a.txt", b.text(stamped=False))


@case("left a.txt: Its lesson, 'large', is not handed out")
def answers_to_another_class_s_lesson(b):
    b.put("a.txt", b.text(stamped=False).replace(b"lesson: small", b"lesson: large"))


@case("left a.txt: Its stamp is for small, but the lesson in it is large")
def answers_whose_lesson_was_changed(b):
    b.put("a.txt", b.text().replace(b"lesson: small", b"lesson: large"))


@case("taken a.txt bench-04: no answers")
def saved_answers_without_any(b):
    b.put("a.txt", b.text(area=""))


@case("taken gz.tar.gz/small.ipynb bench-04: stamp", "left x.gz: Only zip")
def packed_the_other_way(b):
    b.put("gz.tar.gz", tarred({"small.ipynb": b.notebook()}))
    b.put("x.gz", gzip.compress(b.notebook()))


@case("left bench-01 small.ipynb: its stamp says bench-04, its file name says bench-01")
def a_friend_s_notebook_renamed(b):
    b.put("bench-01 small.ipynb", b.notebook())


@case(
    "taken a.zip/small.ipynb bench-04: stamp",
    "with a.zip/trace.csv bench-04: beside small.ipynb",
    "left a.zip/nul: does not lie on every disk",
)
def files_beside_a_notebook(b):
    b.put("a.zip", zipped({"small.ipynb": b.notebook(), "trace.csv": b"1,2", "nul": b"x"}))


@case("left a.zip/x.ipynb: no stamp", "left a.zip/photo.jpg: came with a notebook that is left")
def a_notebook_of_nobody_with_a_photo(b):
    b.put("a.zip", zipped({"x.ipynb": b.notebook(stamped=False), "photo.jpg": JPG}))


@case("taken chat.txt bench-04: copy 1", "taken chat2.txt bench-01: copy 1")
def a_messenger_s_copy_with_time_and_name_before_it(b):
    b.put("chat.txt", b"[19:22, 3.12.2026] Tom: " + b.text())
    b.put("chat2.txt", b"[03/12/26, 19:22:01] Zoe Celik: " + b.text("bench-01"))


@case("taken a.txt bench-04: copy 1 saved 2026-12-03 18:21 UTC")
def words_that_look_like_a_beginning(b):
    said = {"why": ["I wrote:", "coursekit answers", "and: coursekit answers", "lesson: learned"]}
    one = AnswerText(
        "small",
        "bench-04",
        stamps.stamp(b.folder, "bench-04", "small")["check"],
        "2026-12-03 18:21 UTC",
        "1",
        said,
    )
    b.put("a.txt", answer_text.written(one).encode())


@case(
    "taken m.eml/w.zip/small.ipynb bench-04: stamp",
    "kept m.eml/IMG_1.heic bench-04: it came with",
    "kept m.eml/p.zip/IMG_2.heic bench-04: it came with",
    WORDS_OF_MAIL,
)
def photos_beside_a_zip_in_a_mail(b):
    b.put(
        "m.eml",
        mailed(
            "All of it",
            ("w.zip", zipped({"small.ipynb": b.notebook()})),
            ("IMG_1.heic", HEIC),
            ("p.zip", zipped({"IMG_2.heic": HEIC + b"2"})),
        ),
    )


@case(
    "taken m.eml/a.txt bench-04: stamp",
    "left m.eml/bench-01.jpg: its file name says bench-01, the work that it came with says bench-04",
    WORDS_OF_MAIL,
)
def a_friend_s_photo_in_a_mail(b):
    b.put("m.eml", mailed("Mine", ("a.txt", b.text()), ("bench-01.jpg", JPG)))


@case(
    "taken all.zip/a.txt bench-04: stamp",
    "taken all.zip/b.txt bench-01: stamp",
    "left all.zip/IMG.jpg: the work that it came with says bench-01, the work that it came with says bench-04",
)
def a_photo_in_a_whole_class_s_zip(b):
    b.put("all.zip", zipped({"a.txt": b.text(), "b.txt": b.text("bench-01"), "IMG.jpg": JPG}))


WRITTEN_FOR = ("taken-in", "submitted", "to-look-at")


@pytest.mark.parametrize("name", CASES)
def test_every_file_is_in_the_list_and_nothing_else_has_changed(inbox, name):
    build, expected = CASES[name]
    build(inbox)
    before = small.tree(inbox.folder.path)
    told = inbox.take()
    rows = [row(t) for t in told]
    for line in expected:
        what, source, whose, count, why = parts(line)
        fitting = [r for r in rows if fits(r, what, source, whose)]
        assert sum(r[3] for r in fitting) == count, f"{line}: {rows}"
        assert all(why in r[4] for r in fitting), f"{line}: {fitting}"
        rows = [r for r in rows if r not in fitting]
    assert rows == [], "no file but those"
    given = {p.name for p in inbox.path.rglob("*") if p.is_file() or p.is_symlink()}
    hidden = {p.name for p in inbox.path.rglob(".venv/**/*")} | {"small-checkpoint.ipynb"}
    named = " ".join(t.source for t in told)
    assert [n for n in given - hidden if n not in named and len(n) < 200] == []
    after = small.tree(inbox.folder.path)
    assert {k: v for k, v in before.items() if after.get(k) != v} == {}
    owners = {t.student for t in told if t.what not in ("left", "passed")}
    new = {tuple(p.split("/")[:2]) for p in set(after) - set(before) - {".made/lock"}}
    assert new <= {(place, owner) for place in WRITTEN_FOR for owner in owners} | {
        (".made", "incoming")
    }


def row(told):
    source = told.source.removeprefix("inbox").removeprefix("/")
    return told.what, source, f"{told.student} {told.slug}".strip(), told.count, told.why


def parts(line):
    """The parts of an expectation: what, source, whose, how many, why."""
    head, _, why = line.partition(": ")
    what, _, rest = head.partition(" ")
    count = 1
    if (
        rest.endswith(")")
        and rest[rest.rindex("(") + 1 : -1].isdigit()
        and int(rest[rest.rindex("(") + 1 : -1]) > 2
    ):
        rest, count = rest[: rest.rindex("(")].strip(), int(rest[rest.rindex("(") + 1 : -1])
    source, whose = rest, ""
    for student in CLASS:
        for end in (f" {student.id}", f" {student.id} small"):
            if rest.endswith(end) and rest != end.strip():
                source, whose = rest[: -len(end)], end.strip()
    return what, source, whose, count, why


def fits(row, what, source, whose):
    of_many = source in ("bench-04/0", "bench-04/1", "bench-04 nnnnnn")
    same = row[1].startswith(source) if of_many else row[1] == source
    return row[0] == what and same and row[2].startswith(whose)


def test_there_are_sixty_and_more():
    assert len(CASES) >= 60


def test_an_empty_folder_is_told(inbox):
    (told,) = inbox.take()
    assert (told.what, told.source, told.why) == ("left", "inbox", "Nothing is in it.")


def test_what_is_to_be_looked_at_is_shown_with_the_student(inbox):
    inbox.put("bench-04 small.jpg", JPG)
    inbox.put("bench-04.pdf", PDF)
    inbox.put("bench-01.jpg", PNG)
    inbox.put("z.zip", zipped({"small.ipynb": inbox.notebook(), "trace.png": PNG, "uv.lock": b"x"}))
    inbox.take(came=NOON - timedelta(days=400))
    found = for_the_eye.for_the_eye(inbox.folder, "bench-04", "small")
    assert [(f.name, f.kind, bool(f.came)) for f in found] == [
        ("bench-04 small.jpg", "a photo", True),
        ("bench-04.pdf", "a PDF", True),
        ("trace.png", "a photo", False),
    ]
    assert [f.path.read_bytes() for f in found] == [JPG, PDF, PNG]
    assert {t.what for t in inbox.take() if t.student and "small.ipynb" not in t.source} <= {
        "same",
        "with",
    }
    assert for_the_eye.for_the_eye(inbox.folder, "bench-04", "small") == found
    assert for_the_eye.for_the_eye(inbox.folder, "bench-02", "small") == []


def test_what_is_kept_follows_the_student(inbox):
    inbox.put("bench-04.jpg", JPG)
    inbox.take()
    folder = rename.rename(inbox.folder, "bench-04", "ada")
    assert [f.name for f in for_the_eye.for_the_eye(folder, "ada", "small")] == ["bench-04.jpg"]
    privacy.erase(folder, "ada")
    assert list((folder.path / "to-look-at").rglob("*.jpg")) == []


def listed(inbox, student="bench-04"):
    return [
        (v.number, v.answers, v.counts, v.why)
        for v in choosing.versions(inbox.folder, student, "small")
    ]


def answer(inbox, student="bench-04"):
    path = inbox.folder.submitted(student, "small") / "small.ipynb"
    book = nbformat.read(path, as_version=4)
    return next(
        c.source
        for c in book.cells
        if c.metadata.get("nbgrader", {}).get("grade_id") == "area-answer"
    )


def taken(inbox, name, data, **more):
    inbox.put(name, data)
    (told,) = take_in.take_in(inbox.folder, [inbox.path / name], **more)
    return told


def test_an_older_version_is_chosen_and_chosen_back(inbox):
    taken(inbox, "a.ipynb", inbox.notebook(answer="1"))
    taken(inbox, "b.ipynb", inbox.notebook(answer="2"))
    where = ["--class", inbox.folder.path]
    code, said = call("take-in", "--use", "bench-04", "small", *where)
    assert code == 0 and "* 2" in said and "1 answer, from b.ipynb, by its stamp" in said
    code, said = call("take-in", "--use", "bench-04", "small", "1", *where)
    assert code == 0 and "* 1" in said and "it was chosen" in said
    assert answer(inbox) == "area = 1"
    assert listed(inbox) == [
        (1, 1, True, "it was chosen"),
        (2, 1, False, "another was chosen"),
    ]
    code, said = call("take-in", "--use", "bench-04", "small", "2", "--json", *where)
    assert [v["counts"] for v in json.loads(said)] == [False, True]
    assert answer(inbox) == "area = 2"
    assert call("take-in", "--use", "bench-04", "small", "3", *where)[0] == 1


def test_newer_work_counts_again_after_a_choice_and_the_list_says_so(inbox):
    for note in "12":
        taken(inbox, "a.ipynb", inbox.notebook(answer=note))
    choosing.use(inbox.folder, "bench-04", "small", 1)
    assert taken(inbox, "a.ipynb", inbox.notebook(answer="2")).what == "same"
    assert answer(inbox) == "area = 1", "what is there already changes nothing"
    assert (
        taken(
            inbox, "late.ipynb", inbox.notebook(answer="9"), came=datetime(2026, 1, 1, tzinfo=UTC)
        ).what
        == "older"
    )
    assert taken(inbox, "blank.ipynb", inbox.notebook(answer="")).what == "older"
    assert (
        taken(inbox, "bench-04 x.ipynb", inbox.notebook(answer="8", stamped=False)).what == "older"
    )
    assert answer(inbox) == "area = 1"
    told = taken(inbox, "b.ipynb", inbox.notebook(answer="3"))
    assert (
        told.what == "taken" and "in place of the version of" in told.why and "chosen" in told.why
    )
    assert answer(inbox) == "area = 3"


WORSE = {
    "cut off": lambda b: cut(b.notebook(answer="2")),
    "empty (0 bytes)": lambda b: b"",
    "does not read": lambda b: b"{ broken" + b" text" * 20,
    "no answers": lambda b: b.notebook(answer=""),
}


@pytest.mark.parametrize("why", WORSE)
@pytest.mark.parametrize("said", ["by its name", "by the instructor"])
def test_worse_never_takes_the_place_of_better_unless_it_is_chosen(inbox, why, said):
    taken(inbox, "a.ipynb", inbox.notebook())
    more = {"student": "bench-04", "slug": "small"} if said == "by the instructor" else {}
    told = taken(inbox, "bench-04 small.ipynb", WORSE[why](inbox), **more)
    assert told.what == "older" and why in told.why and "take-in --use bench-04 small 2" in told.why
    assert answer(inbox) == "area = 225"
    choosing.use(inbox.folder, "bench-04", "small", 2)
    assert (inbox.folder.submitted("bench-04", "small") / "small.ipynb").read_bytes() == WORSE[why](
        inbox
    )
    assert taken(inbox, "c.ipynb", inbox.notebook(answer="3")).what == "taken"


def test_anything_readable_takes_the_place_of_what_is_not(inbox):
    taken(inbox, "x.ipynb", b"{", student="bench-04", slug="small")
    assert taken(inbox, "bench-04 small.ipynb", inbox.notebook(stamped=False)).what == "taken"


def test_a_version_of_before_is_weighed_by_what_is_in_it(inbox):
    """Classes of earlier versions of the kit have no word of it in origin.json."""
    taken(inbox, "a.ipynb", inbox.notebook())
    (origin,) = (inbox.folder.path / "taken-in").rglob("origin.json")
    known = json.loads(origin.read_text())
    origin.write_text(json.dumps({k: known[k] for k in ("source", "by", "taken_in")}))
    assert taken(inbox, "b.ipynb", inbox.notebook(answer="")).what == "older"
    assert listed(inbox)[0] == (1, 1, True, "")


def test_whose_numbers_the_answers_fit_is_proposed_and_nothing_is_taken(inbox):
    sides = {s.id: inbox.work.numbers(s.id)["side"] for s in CLASS}
    alone = [
        s for s in CLASS if list(sides.values()).count(sides[s.id]) == 1
    ]  # others share a number
    who = alone[0]
    side = sides[who.id]
    found = nbformat.reads(
        inbox.notebook(answer=f"'{side**2:.2f}'".replace(".", ","), stamped=False), as_version=4
    )
    for cell in found.cells:
        if cell.metadata.nbgrader["grade_id"] == "double-answer":
            cell.source = f"double = {2 * side**2}"
        if cell.metadata.nbgrader["grade_id"] == "shape-answer":
            cell.source = "shape = 'square'"
    data = nbformat.writes(found).encode()
    inbox.put("untitled.ipynb", data)
    where = ["--class", inbox.folder.path]
    code, said = call("take-in", inbox.path / "untitled.ipynb", *where)
    words = " ".join(said.split())
    assert code == 1 and f"2 of 2 answers fit the numbers of {who.name} ({who.id})." in words
    assert f"take it in with --student {who.id}" in words
    assert not (inbox.folder.path / "taken-in").exists()
    code, said = call("take-in", inbox.path / "untitled.ipynb", "--json", *where)
    assert json.loads(said)[0]["fits"] == who.id
    inbox.put("untitled.ipynb", data.replace(f"double = {2 * side**2}".encode(), b"double = 1"))
    assert "fit the numbers" not in call("take-in", inbox.path / "untitled.ipynb", *where)[1], (
        "one is not enough"
    )
    said = AnswerText(
        "small", "nobody", "", answers={"area": [f"{side**2}"], "double": [f"{2 * side**2}"]}
    )
    inbox.put("a.txt", answer_text.written(said).encode())
    assert f"--student {who.id}" in " ".join(
        call("take-in", inbox.path / "a.txt", *where)[1].split()
    )


def test_a_long_list_is_summed_up_in_80_columns(inbox):
    for i in range(315):
        inbox.put(f"photos/{i:03}.jpg", JPG + str(i).encode())
    inbox.put("small.ipynb", inbox.notebook())
    code, said = call("take-in", inbox.path, "--class", inbox.folder.path)
    assert code == 1 and max(map(len, said.splitlines())) <= 80 and len(said.splitlines()) < 12
    words = " ".join(said.split())
    assert "000.jpg, inbox/photos/001.jpg, inbox/photos/002.jpg and 312 more of these" in words
    assert words.endswith("1 taken in, 315 LEFT")


def test_every_word_of_the_list_has_its_words():
    assert set(taking_in._WORDS) == {"taken", "older", "same", "kept", "with", "passed", "left"}
