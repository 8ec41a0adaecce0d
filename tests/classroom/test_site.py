"""The folder for a web space: unguessable names, no list, nobody else's files touched."""

from __future__ import annotations

import json
import os
import re
import shutil

import pytest

from coursekit.classroom.handout import site, zips
from coursekit.classroom.register.class_folder import ClassError, load, open_class
from coursekit.classroom.students import privacy, rename

from ..tools import need
from . import small
from .test_cli import call

OWN = re.compile(r"[a-z2-7]{32}\.(html|zip)")  # base32 (RFC 4648, section 6) of 160 bits


def answer_page(work, student, text="numbers"):
    page = work.folder.bundle(student, "small") / f"small-{student}.html"
    page.write_text(
        f"<!DOCTYPE html>\n<html lang='en'>\n<head>\n<title>{student}</title></head>{text} "
        '<a href="read-the-lesson.html#two-corners">Two\ncorners</a>'
    )


@pytest.fixture
def work(tmp_path):
    """A class of three with their zips and, all but the last, an answer page."""
    work = small.evening(tmp_path, 3)
    zips.make(work, None)
    for student in ("bench-01", "bench-02"):
        answer_page(work, student)
    return work


@pytest.fixture
def pages(tmp_path):
    book = tmp_path / "html"
    (book / "_static").mkdir(parents=True)
    for name in ("index.html", "small.html", "_static/look.css"):
        (book / name).write_text(f"text of {name}")
    return book


def lay_out(work, target, pages=None):
    """Lay the site out as a later command does, which reads the class from its files."""
    return site.lay_out([small.opened(work.folder.path.parent)], target, pages)


def links(text):
    return re.findall(r'href="([^"]*)"', text)


def own(target):
    return {p.name for p in target.iterdir() if OWN.fullmatch(p.name)}


def test_each_student_has_a_page_that_leads_to_their_own_and_to_no_other(work, tmp_path):
    target = tmp_path / "web"
    done = lay_out(work, target)
    assert list(done.links) == ["bench-01", "bench-02", "bench-03"]
    assert (done.removed, done.left) == ([], [])
    led = {}
    for student, link in done.links.items():
        text = (target / link).read_text()
        (led[student],) = links(text)
        assert student not in text
        assert "Your lessons" in text
    assert b"bench-01" in (target / led["bench-01"]).read_bytes()
    assert b"bench-02" in (target / led["bench-02"]).read_bytes()
    assert (target / led["bench-03"]).read_bytes() == zips.zip_of(work, "bench-03").read_bytes()
    assert own(target) == {*done.links.values(), *led.values()}
    assert len(own(target)) == 6
    assert {p.name for p in target.iterdir()} == {*own(target), "index.html", "robots.txt"}


def test_nothing_lists_the_pages_and_no_name_says_whose(work, tmp_path, pages):
    target = tmp_path / "web"
    lay_out(work, target, pages)
    names = {p.relative_to(target).as_posix() for p in target.rglob("*")}
    for student in work.folder.students:
        assert not any(student.id in n or "small-" in n or student.name in n for n in names)
    others = [p for p in target.rglob("*") if p.is_file() and not OWN.fullmatch(p.name)]
    secret = {p.removesuffix(".html") for p in own(target)}
    for path in others:
        assert not any(name in path.read_text() for name in secret), path
    index = (target / "index.html").read_text()
    assert links(index) == []
    assert (target / "robots.txt").read_text() == "User-agent: *\nDisallow: /\n"
    for path in [target / "index.html", *map(target.joinpath, own(target))]:
        if path.suffix == ".html":
            assert path.read_text().count('<meta name="robots" content="noindex') == 1, path
    assert work.folder.secret.hex() not in "".join(p.read_text("latin-1") for p in target.rglob("*.*") if p.is_file())  # fmt: skip


def test_the_names_come_from_the_secret_the_student_and_the_lesson(work, tmp_path):
    """RFC 2104 by the standard library, put together here from the decision in the module's docstring."""
    import base64
    import hashlib
    import hmac

    key = bytes.fromhex((work.folder.path / "secret").read_text())
    mac = hmac.new(key, b"\0site\0bench-01\0small", hashlib.sha256).digest()
    assert (
        site.name(work.folder, "bench-01", "small") == base64.b32encode(mac[:20]).decode().lower()
    )
    other = open_class(tmp_path / "other", work.folder.students, "Other")
    names = {
        site.name(folder, s.id, slug)
        for folder in (work.folder, other)
        for s in folder.students
        for slug in ("", "small", "large")
    }
    assert len(names) == 18
    assert all(len(base64.b32decode(n.upper())) * 8 == 160 for n in names)


def test_the_lesson_s_copy_is_shared_and_reached_as_from_the_bundle(work, tmp_path, pages):
    target = tmp_path / "web"
    lay_out(work, target, pages)
    shared = {p.relative_to(target / "lesson").as_posix() for p in (target / "lesson").rglob("*")}
    assert shared == {"index.html", "small.html", "_static", "_static/look.css"}
    own_page = target / f"{site.name(work.folder, 'bench-01', 'small')}.html"
    assert links(own_page.read_text()) == ["lesson/small.html#two-corners"]
    lay_out(work, target)
    assert (target / "lesson" / "small.html").is_file(), "a run without pages leaves them"
    assert links(own_page.read_text()) == []
    assert own_page.read_text().endswith(" Two\ncorners")
    (pages / "small.html").unlink()
    assert lay_out(work, target, pages).removed == ["lesson/small.html"]
    (pages / zips.INSTRUCTOR_MARK).write_text("")
    with pytest.raises(ClassError, match="must be the students' book"):
        lay_out(work, target, pages)


def test_the_same_again_changes_nothing(work, tmp_path, pages):
    target = tmp_path / "web"
    first = lay_out(work, target, pages)
    before = small.tree(target)
    for path in target.rglob("*"):
        os.utime(path, (1000, 1000))
    assert lay_out(work, target, pages) == first
    assert small.tree(target) == before
    assert {p.stat().st_mtime for p in target.rglob("*") if p.is_file()} == {1000}


def test_an_erased_student_s_files_go_and_nobody_else_s(work, tmp_path):
    target = tmp_path / "web"
    before = lay_out(work, target)
    theirs = {site.name(work.folder, "bench-02", slug) + ".html" for slug in ("", "small")}
    alike = "a" * 32 + ".html"
    (target / alike).write_text("not made by us")
    (target / "notes.txt").write_text("mine")
    (target / "sub").mkdir()
    (target / "sub" / min(theirs)).write_text("mine too")
    kept = {n: d for n, d in small.tree(target).items() if n not in theirs}
    privacy.erase(work.folder, "bench-02")
    zips.make(small.opened(tmp_path), None)
    done = lay_out(work, target)
    assert set(done.removed) == theirs
    assert small.tree(target) == kept
    assert done.links == {s: link for s, link in before.links.items() if s != "bench-02"}
    assert lay_out(work, target).removed == []


def test_what_others_put_there_is_left_alone_and_told(work, tmp_path, pages):
    target = tmp_path / "web"
    (target / "lesson").mkdir(parents=True)
    theirs = {"index.html": "my own", "robots.txt": "mine", "lesson/small.html": "my lesson"}
    for name, text in theirs.items():
        (target / name).write_text(text)
    for _ in range(2):
        done = lay_out(work, target, pages)
        assert sorted(done.left) == sorted(theirs)
        assert {n: (target / n).read_text() for n in theirs} == theirs
    (target / "index.html").unlink()
    assert "index.html" not in lay_out(work, target, pages).left
    (target / "index.html").write_text("mine after all")
    assert "index.html" in lay_out(work, target, pages).left
    (pages / "_static" / "look.css").write_text("a newer look")
    assert "lesson/_static/look.css" not in lay_out(work, target, pages).left
    assert (target / "lesson" / "_static" / "look.css").read_text() == "a newer look"


def test_a_site_that_the_class_does_not_know_keeps_all_it_has(work, tmp_path):
    """A copy of a site, laid out anew: what another class folder or place has put there is not ours."""
    target, copy = tmp_path / "web", tmp_path / "copy"
    lay_out(work, target)
    shutil.copytree(target, copy)
    privacy.erase(work.folder, "bench-02")
    zips.make(small.opened(tmp_path), None)
    before = set(small.tree(copy))
    assert lay_out(work, copy).removed == []
    assert set(small.tree(copy)) == before


def test_a_page_takes_the_zip_s_place(work, tmp_path):
    target = tmp_path / "web"
    lay_out(work, target)
    stem = site.name(work.folder, "bench-03", "small")
    assert (target / f"{stem}.zip").is_file()
    answer_page(work, "bench-03")
    done = lay_out(work, target)
    assert done.removed == [f"{stem}.zip"]
    assert links((target / done.links["bench-03"]).read_text()) == [f"{stem}.html"]


def test_links_outlast_another_id_and_other_numbers(work, tmp_path):
    target = tmp_path / "web"
    before = lay_out(work, target).links
    rename.rename(work.folder, "bench-01", "ada")
    rename.rename(load(work.folder.path), "ada", "cora")
    rename.renumber(load(work.folder.path), "cora", [small.opened(tmp_path)], even_so=True)
    (load(work.folder.path).bundle("cora", "small") / "small-bench-01.html").unlink()
    answer_page(small.opened(tmp_path), "cora", "other numbers")
    done = lay_out(work, target)
    assert done.removed == []
    assert done.links["cora"] == before["bench-01"]
    assert (
        "other numbers"
        in (target / links((target / done.links["cora"]).read_text())[0]).read_text()
    )


def test_two_students_drawn_alike_do_not_share_a_name(work):
    """own-numbers.csv may give two students the same numbers; only a former id carries names on."""
    from coursekit.classroom.register.class_folder import write_draws

    write_draws(work.folder.path, {("bench-02", ""): "bench-01"})
    folder = load(work.folder.path)
    assert folder.drawn_as("bench-02", "") == "bench-01"
    assert site.name(folder, "bench-02") != site.name(folder, "bench-01")


@pytest.mark.parametrize("where", ["class", "class/web", "", "class/hand-out/../web"])
def test_a_site_lies_apart_from_the_class(work, tmp_path, where):
    with pytest.raises(ClassError, match="a site must lie apart from the class folder"):
        lay_out(work, tmp_path / where)


def test_a_title_is_text_and_no_markup(tmp_path):
    work = small.evening(tmp_path, 1)
    zips.make(work, None)
    folder = open_class(work.folder.path, work.folder.students, "<script>alert(1)</script>")
    done = lay_out(work, tmp_path / "web")
    text = (tmp_path / "web" / done.links["bench-01"]).read_text()
    assert folder.title not in text
    assert "&lt;script&gt;" in text


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_the_link_leads_on(work, tmp_path, pages, scheme):
    """Opened as files at 390 px, under the pages' own policy for what they load."""
    chromium = need("chromium")
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import sync_playwright

    target = tmp_path / "web"
    done = lay_out(work, target, pages)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, color_scheme=scheme, bypass_csp=True
        )
        page = context.new_page()
        wrong = []
        page.on("console", lambda m: m.type == "error" and wrong.append(m.text))
        for name in ("index.html", done.links["bench-01"]):
            page.goto((target / name).as_uri())
            found = Axe().run(page).response["violations"]
            assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found] == [], name
            assert page.evaluate("document.documentElement.scrollWidth") <= 390
        assert page.get_by_role("link").bounding_box()["height"] >= 44, "WCAG 2.2, 2.5.5"
        page.get_by_role("link", name="Small").click()
        assert page.title() == "bench-01"
        browser.close()
    assert wrong == []


def test_the_command(tmp_path, monkeypatch):
    """Two lessons at once; a lesson that was laid out before stays when another comes."""
    small.write(tmp_path)
    for suffix, place in ((".md", "exercises"), (".py", "solutions"), (".md", "solutions")):
        text = (tmp_path / place / f"small{suffix}").read_text()
        (tmp_path / place / f"other{suffix}").write_text(
            text.replace("title: Small", "title: Other").replace('Key("small")', 'Key("other")')
        )
    (tmp_path / "roster.csv").write_text("id,name\nbench-01,First\nbench-02,bench-02\n")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    call("class", "open", "evening", "--roster", "roster.csv")
    make = ("--class", "evening", "--no-pages", "--as-site", "web")
    code, said = call("hand-out", "small", *make)
    assert code == 0
    found = dict(
        re.findall(r"^  (bench-0\d)(?: · First)?: ([a-z2-7]{32}\.html)$", said, re.MULTILINE)
    )
    assert set(found) == {"bench-01", "bench-02"}
    assert len(links((tmp_path / "web" / found["bench-01"]).read_text())) == 1
    told = json.loads(call("hand-out", "other", *make, "--json")[1])
    assert (told["exercise"], told["site"]["links"]) == ("other", found)
    text = (tmp_path / "web" / found["bench-01"]).read_text()
    assert re.findall(r">([^<]+)</a>", text) == ["Other", "Small"]
    told = json.loads(call("hand-out", "small", "other", *make, "--json")[1])
    assert [one["exercise"] for one in told["exercises"]] == ["small", "other"]
    (tmp_path / "web" / "index.html").write_text("mine")
    call("student", "erase", "bench-02", "--yes", "--class", "evening")
    code, said = call("hand-out", "small", *make)
    assert "LEFT: web/index.html is not ours, so it stays as it is." in said
    assert (
        "Removed, as nobody needs them any more: 3 files. Take them off the web space too:" in said
    )
    assert found["bench-02"] in said
    code, said = call("hand-out", "small", "--class", "evening", "--as-site", "evening/web")
    assert (code, "must lie apart from the class folder" in said) == (1, True)
