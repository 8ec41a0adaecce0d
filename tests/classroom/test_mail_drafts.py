"""Mail drafts, read back by the standard library's parser, which is not what wrote their parts."""

from __future__ import annotations

import email
import email.policy
import json
import os
import re
import shutil
from dataclasses import replace
from email.header import decode_header, make_header
from email.utils import parseaddr

import pytest

from coursekit.classroom.handout import own_file, zips
from coursekit.classroom.register import class_folder, mail_draft
from coursekit.classroom.register.class_folder import ClassError, Student
from coursekit.classroom.register.mail_draft import Draft
from coursekit.classroom.report import feedback, feedback_mail

from ..tools import need
from . import small
from .conftest import mark_evening
from .test_cli import call

MAILS = {"bench-01": "one@example.org", "bench-02": "zwei@bücher.example"}
PLAIN = {"bench-01": "one@example.org", "bench-02": "zwei@xn--bcher-kva.example"}  # RFC 3492


def parsed(data):
    return email.message_from_bytes(data, policy=email.policy.default)


def draft(name="Ann", mail="ann@example.org", **more):
    return replace(Draft(Student("ann", name, mail), "Small", "Hello,\n", "a.html", b"<p>"), **more)


def to(message):
    (one,) = message["To"].addresses
    return one.display_name, one.addr_spec


def headers(data):
    """The header's lines as they stand in the file, before anything reads them."""
    return data.partition(b"\r\n\r\n")[0].split(b"\r\n")


def with_mails(work):
    students = [replace(s, mail=MAILS.get(s.id, "")) for s in work.folder.students]
    class_folder.write_roster(work.folder.path / "roster.csv", students)
    return small.opened(work.folder.path.parent)


@pytest.fixture(scope="module")
def sent(tmp_path_factory):
    """A class of three, two of them with an address, with their zips made."""
    work = with_mails(small.evening(tmp_path_factory.mktemp("mail"), 3))
    zips.make(work, None)
    return work


def test_a_draft_is_one_mail_to_one_student_with_one_file(sent, tmp_path):
    done = mail_draft.write(own_file.drafts(sent), tmp_path, "small")
    assert [p.name for p in done.drafts] == ["small-bench-01.eml", "small-bench-02.eml"]
    assert done.no_address == ("bench-03",)
    for path, student in zip(done.drafts, sent.folder.students, strict=False):
        message = parsed(path.read_bytes())
        assert message.defects == []
        assert message["X-Unsent"] == "1"
        assert to(message) == (student.name, PLAIN[student.id])
        assert message["Subject"] == "Evening: Small"
        assert [message[name] for name in ("From", "Date", "Message-ID", "Cc", "Bcc")] == [None] * 5
        body = message.get_body(("plain",)).get_content()
        assert body.splitlines()[0] == f"Hello {student.name},"
        (attached,) = message.iter_attachments()
        assert attached.get_content_type() == "application/zip"
        assert attached.get_filename() == f"small-{student.id}.zip"
        assert attached.get_content() == zips.zip_of(sent, student.id).read_bytes()
        others = {s.id for s in sent.folder.students} - {student.id}
        assert not any(other in str(message["To"]) + body for other in others)


def test_the_answer_page_goes_in_place_of_the_zip_once_it_is_there(sent, tmp_path):
    page = sent.folder.bundle("bench-01", "small") / "small-bench-01.html"
    to_lesson = '<a href="read-the-lesson.html#a">Ærø</a>'
    page.write_text(f"<!DOCTYPE html><p>{to_lesson} ½", encoding="utf-8")
    on_web = replace(sent, folder=replace(sent.folder, book="https://example.org/book/"))
    try:
        first, second, _ = own_file.drafts(sent)
        linked, *_ = own_file.drafts(on_web)
    finally:
        page.unlink()
    there = '<a href="https://example.org/book/small.html#a">Ærø</a>'
    assert linked.data.decode() == f"<!DOCTYPE html><p>{there} ½"
    assert second.file == "small-bench-02.zip"
    (attached,) = parsed(mail_draft.as_eml(first)).iter_attachments()
    assert attached.get_content_type() == "text/html"
    assert attached.get_filename() == "small-bench-01.html"
    assert attached.get_content() == "<!DOCTYPE html><p>Ærø ½"
    assert "Save to hand" in first.text


def test_what_was_not_made_is_asked_for(tmp_path):
    work = small.evening(tmp_path, 1)
    with pytest.raises(ClassError, match="must be made first; it is not there"):
        list(own_file.drafts(work))


def test_the_same_again_writes_nothing_and_has_the_same_bytes(sent, tmp_path):
    done = mail_draft.write(own_file.drafts(sent), tmp_path, "small")
    before = small.tree(tmp_path)
    for path in done.drafts:
        os.utime(path, (1000, 1000))
    mail_draft.write(own_file.drafts(small.opened(sent.folder.path.parent)), tmp_path, "small")
    assert small.tree(tmp_path) == before
    assert {p.stat().st_mtime for p in done.drafts} == {1000}


def test_two_students_of_one_name_get_a_file_each(tmp_path):
    two = [replace(draft(), to=Student(id, "Ann", "ann@example.org")) for id in ("a", "b")]
    done = mail_draft.write(two, tmp_path, "small")
    assert [p.name for p in done.drafts] == ["small-a.eml", "small-b.eml"]
    assert len({p.read_bytes() for p in done.drafts}) == 2, "not even their boundaries are the same"


NAMES = {
    "Ærøskøbing 王": "Ærøskøbing 王",
    'Ng, "Second" <x@y>': 'Ng, "Second" <x@y>',
    "Zoë " * 40: ("Zoë " * 40).strip(),
    "أحمد": "أحمد",
    "🚲": "🚲",
    "a\r\nBcc: eve@example.org": "a Bcc: eve@example.org",
    "a\nX-Evil: 1\n\nbody": "a X-Evil: 1 body",
    "a\x0bb\x0cc\x85d\u2028e": "a b c d e",
    "a\x00b\x1b[2Jc\u202ed": "a?b?[2Jc?d",
    "half a \udcff": "half a ?",
    "=?utf-8?q?a=0ABcc=3A_eve?=": "= ?utf-8?q?a=0ABcc=3A_eve?=",
    "=?utf-8?b?YQpCY2M6IGV2ZUBleGFtcGxlLm9yZw==?= =?utf-8?q?x=0D=0A=0D=0Abody?=": None,
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_can_be_anything_and_adds_no_header(name):
    data = mail_draft.as_eml(draft(name))
    message = parsed(data)
    assert message.defects == []
    assert sorted(message.keys()) == [
        "Content-Type", "MIME-Version", "Subject", "To", "X-Unsent",
    ]  # fmt: skip
    assert all(b.isascii() and len(b) <= 998 for b in headers(data)), "RFC 5322, 2.1.1 and 2.3"
    (line,) = re.findall(rb"^To: ((?:.*\r\n )*.*)\r\n", data, re.MULTILINE)
    said = str(make_header(decode_header(line.replace(b"\r\n ", b" ").decode())))
    found, address = parseaddr(said)  # the newer parser puts blanks into a long name
    assert address == "ann@example.org"
    assert to(message)[1] == "ann@example.org"
    assert NAMES[name] is None or "<x@y>" in name or found == NAMES[name]


@pytest.mark.parametrize("text", [n for n in NAMES if NAMES[n]])
def test_a_title_can_be_anything_too(text):
    message = parsed(mail_draft.as_eml(draft(subject=text, file=f"{text[:9]}.zip", text=text)))
    assert message.defects == []
    assert message["Subject"] == NAMES[text]
    assert sorted(message.keys()) == [
        "Content-Type", "MIME-Version", "Subject", "To", "X-Unsent",
    ]  # fmt: skip
    body = message.get_body().get_content()
    assert all(c.isprintable() or c in "\r\n\t" for c in body)
    (attached,) = message.iter_attachments()
    assert "\n" not in attached.get_filename()
    assert attached["Content-Type"].content_type == "application/zip"


@pytest.mark.parametrize("mail", ["o'neil+b@example.org", "a..b@example.org", "a#b@x-y.example"])
def test_an_address_arrives_as_it_stands_in_the_roster(mail):
    assert to(parsed(mail_draft.as_eml(draft(mail=mail))))[1].replace('"', "") == mail


def test_an_address_beyond_ascii_is_written_in_utf_8():
    """RFC 6532: such an address has no other form; only then are the headers not ASCII."""
    data = mail_draft.as_eml(draft("Jürgen", "jürgen@bücher.example"))
    assert "jürgen@xn--bcher-kva.example".encode() in data
    message = email.message_from_string(data.decode(), policy=email.policy.SMTPUTF8)
    assert to(message) == ("Jürgen", "jürgen@xn--bcher-kva.example")


def test_every_line_fits_a_mail_and_no_part_ends_early():
    """RFC 5322, 2.1.1: no line above 998; the boundary stands at the parts' own starts and ends alone."""
    trap = b"--=_" + b"0" * 40 + b"\r\n" * 3
    one = draft(data=trap * 500, text="--=_x\n" + "long " * 400 + "\n.\nFrom here\n")
    data = mail_draft.as_eml(one)
    assert max(map(len, data.split(b"\r\n"))) <= 998
    message = parsed(data)
    boundary = message.get_boundary().encode()
    assert data.count(b"--" + boundary) == 3
    (attached,) = message.iter_attachments()
    assert attached.get_payload(decode=True) == trap * 500
    assert message.get_body().get_content().replace("\r\n", "\n") == one.text


# ---- feedback ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def marked(once, tmp_path_factory):
    place = tmp_path_factory.mktemp("marked") / "e"
    shutil.copytree(once("evening", mark_evening), place)
    work = with_mails(small.opened(place))
    feedback.give_feedback(work.folder, "small", root=work.root)
    return work


def test_feedback_goes_to_whom_it_is_of(marked, tmp_path):
    drafts = list(feedback_mail.drafts(marked.folder, "small", marked.root))
    done = mail_draft.write(drafts, tmp_path, "small-feedback")
    assert [p.name for p in done.drafts] == [f"small-feedback-bench-0{i}.eml" for i in (1, 2)]
    assert done.no_address == ("bench-03", "bench-04"), "bench-05 has handed nothing in"
    for path in done.drafts:
        id = path.stem.removeprefix("small-feedback-")
        message = parsed(path.read_bytes())
        assert to(message)[1] == PLAIN[id]
        assert message["Subject"] == "Evening: Small, feedback"
        (attached,) = message.iter_attachments()
        assert attached.get_filename() == f"small-{id}-feedback.html"
        page = marked.folder.feedback(id, "small") / "small.html"
        assert attached.get_content() == feedback_mail.whole(page.read_text("utf-8"))
        assert id in attached.get_content()


WITH_MATHS = (
    '<!DOCTYPE html><meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src '
    "'unsafe-inline'; script-src DIGEST 'self' file:\"><title>x</title><script>SETUP</script>"
    '<script defer src="tex-svg.js"></script><body class="plain"><p class="maths">$x^2$</p>'
)


def test_a_page_with_formulas_carries_what_draws_them(tmp_path):
    """In Chromium from a file alone in its folder, under the page's own policy."""
    chromium = need("chromium")
    from playwright.sync_api import sync_playwright

    text = WITH_MATHS.replace("DIGEST", feedback.sha256_source(feedback._MATHJAX_SET_UP))
    page = tmp_path / "page.html"
    page.write_text(
        feedback_mail.whole(text.replace("SETUP", feedback._MATHJAX_SET_UP)), encoding="utf-8"
    )
    assert "tex-svg.js" not in page.read_text("utf-8").partition("<body")[0].split("MathJax")[0]
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        tab = browser.new_page()
        wrong = []
        tab.on("console", lambda m: m.type == "error" and wrong.append(m.text))
        tab.goto(page.as_uri())
        tab.wait_for_selector("mjx-container svg")
        browser.close()
    assert wrong == []
    assert feedback_mail.whole("<p>none") == "<p>none"


# ---- commands ------------------------------------------------------------------------------


def test_the_commands_say_who_has_no_address(tmp_path, monkeypatch):
    small.write(tmp_path)
    (tmp_path / "roster.csv").write_text(
        "id,name,E-Mail\nbench-01,First,one@example.org\nbench-02,Second,\nbench-03,Third,a@b@c\n"
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    code, said = call("class", "open", "evening", "--roster", "roster.csv")
    assert (code, "line 4: an e-mail address must be one address" in said) == (0, True)
    assert "Columns left out" not in said
    code, said = call("hand-out", "small", "--class", "evening", "--mail", "mails", "--no-pages")
    assert code == 0
    assert "1 mail draft in mails; nothing was sent." in said
    assert "No e-mail address on the roster: bench-02, bench-03." in said
    assert [p.name for p in (tmp_path / "mails").iterdir()] == ["small-bench-01.eml"]
    told = json.loads(
        call("hand-out", "small", "--class", "evening", "--mail", "mails", "--no-pages", "--json")[1]
    )  # fmt: skip
    assert told["mail"] == {
        "drafts": ["mails/small-bench-01.eml"],
        "no_address": ["bench-02", "bench-03"],
    }
    code, said = call("feedback", "small", "--class", "evening", "--mail", "mails")
    assert (code, "0 mail drafts in mails; nothing was sent." in said) == (0, True)
