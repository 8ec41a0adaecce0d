"""The built book: complete, at home, and without anything of the private half of marked questions."""

from __future__ import annotations

import html
import inspect
import re
import shutil
from html.parser import HTMLParser
from urllib.parse import unquote, urlsplit

import pytest

from coursekit.book import directives, worked_frame
from coursekit.book.build import BookError, build
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.closeness import same
from coursekit.classroom.bank.expressions import Expression
from coursekit.sheets.frame_facts import given

SLUG = "miter-angles"
PAGES = ("intro", "safety", "notation", SLUG, "glossary", "sources")


class Elements(HTMLParser):
    """All elements of a page with their attributes."""

    def __init__(self, text):
        super().__init__()
        self.found = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))

    def of(self, *tags):
        return [attrs for tag, attrs in self.found if tag in tags]


@pytest.fixture(scope="module")
def pages(book):
    return {p.name: Elements(p.read_text(encoding="utf-8")) for p in book.glob("*.html")}


def test_every_page_is_there(pages):
    assert {f"{name}.html" for name in PAGES} | {"index.html", "search.html"} <= set(pages)


def test_nothing_is_made_among_the_sources(root, book):
    own = {".md", ".yml", ".bib", ".svg"}
    files = [p for p in (root / "course").rglob("*") if p.is_file()]
    assert {p.name for p in files if p.suffix not in own} == {
        "whole-frame.toml",
        "worked-frame.toml",
    }
    assert not [p for p in (root / "course").rglob("*") if p.name.startswith(("_build", "."))]


def test_an_unchanged_book_is_left_as_it_is(root, book):
    before = {p: p.stat().st_mtime_ns for p in book.rglob("*.html")}
    told = []
    build(root, book.parent, lambda words, share: told.append((words, share)))
    assert {p: p.stat().st_mtime_ns for p in book.rglob("*.html")} == before
    assert told[-1] == ("nothing has changed", 1.0)


# Links and pictures


def test_links_lead_somewhere(book, pages):
    ids = {name: {a["id"] for _, a in page.found if a.get("id")} for name, page in pages.items()}
    for name, page in pages.items():
        for attrs in page.of("a", "link"):
            address = urlsplit(attrs.get("href") or "")
            assert not address.scheme and not address.netloc, f"{name}: {attrs}"
            target = unquote(address.path) or name
            assert (book / target).exists(), f"{name}: {attrs}"
            if address.fragment and target in ids:
                assert unquote(address.fragment) in ids[target], f"{name}: {attrs}"


def test_scripts_styles_and_pictures_are_at_home(book, pages):
    for name, page in pages.items():
        for attrs in page.of("script", "img", "iframe", "source"):
            if address := attrs.get("src"):
                assert not urlsplit(address).scheme, f"{name}: {address}"
                assert (book / urlsplit(address).path).exists(), f"{name}: {address}"


def test_style_sheets_fetch_nothing(book):
    for path in book.rglob("*.css"):
        fetched = re.findall(r"(?:url\(|@import)\s*[\"']?(https?:)?//", path.read_text("utf-8"))
        assert not fetched, path


def test_every_picture_has_words(pages):
    pictures = [a for page in pages.values() for a in page.of("img")]
    assert len(pictures) >= 8
    for attrs in pictures:
        assert len(attrs.get("alt") or "") > 60, attrs


def test_the_lesson_has_figures_cards_and_slider(pages):
    lesson = pages[f"{SLUG}.html"]
    assert len(lesson.of("img")) >= 4
    classes = [a.get("class") or "" for _, a in lesson.found]
    assert sum(c == "ck-card" for c in classes) >= 6
    assert sum(c == "ck-slider" for c in classes) >= 1


def test_one_file_of_mathjax_is_enough(book):
    mathjax = [p for p in book.rglob("*") if p.is_file() and "mathjax" in p.parts]
    assert [p.name for p in mathjax] == ["tex-svg.js"]


def test_pages_are_light(book, pages):
    """A page and its own pictures weigh 400 kB or less; shared scripts and styles aside."""
    for name in PAGES:
        own = [book / f"{name}.html"]
        own += {book / a["src"] for a in pages[f"{name}.html"].of("img")}
        assert sum(p.stat().st_size for p in own) <= 400_000, name


# Nothing of the private half


def said(what, sum):
    """The line of an answer or a slip as it stands in the private half."""
    return f"{what}: {sum.text}" if isinstance(sum, Expression) else inspect.getsource(sum)


@pytest.fixture(scope="module")
def private(root):
    """Name → text of the private half that no page may hold, for marked questions."""
    texts = {}
    for slug in exercises.slugs(root):
        exercise = exercises.load(slug, root)
        key = keys.load(exercise, root)
        texts[f"notes of {slug}"] = key.notes
        for question in exercise.graded:
            where = f"{question.id} of {slug}"
            texts[f"worked solution of {where}"] = key.worked[question.id]
            if question.id in key.answers:
                texts[f"answer of {where}"] = said("answer", key.answers[question.id].sum)
            for slip in key.slips.get(question.id, ()):
                texts[f"slip {slip.name} of {where}"] = said(f"slip {slip.name}", slip.sum)
                texts[f"hint {slip.name} of {where}"] = slip.hint
    return texts


def plain(text):
    """Return a file's text with entities, tags, curly quotes and line breaks made plain."""
    text = re.sub(r"<[^<>]*>", "", html.unescape(text.replace("\\u0026", "&")))
    return re.sub(r"[\s’'\"\\*`]+", " ", text)


def pieces(secret):
    """Return the sentences and lines of a private text that are long enough to be its own."""
    for line in re.split(r"\n|\{\w+\}|(?<=[.:?!]) ", secret):
        piece = plain(line).strip()
        if len(piece) > 24 and piece != "n = SimpleNamespace(**numbers)":
            yield piece


@pytest.fixture(scope="module")
def needles(private):
    """What to look for, with its name: the pieces of all private texts, cut once."""
    return [(what, piece) for what, secret in private.items() for piece in pieces(secret)]


def leaks(text, needles):
    text = plain(text)
    return [f"{what}: {piece}" for what, piece in needles if piece in text]


def test_the_search_for_leaks_finds_one(needles):
    longest = dict(sorted(needles, key=lambda one: len(one[1])))
    assert len(longest) > 500
    for what, piece in longest.items():
        assert leaks(f"<p>Some <b>text</b> {piece} and more", needles), what
    assert leaks(
        "<p>You used the radius where the diameter belongs: once round is pi times", needles
    )


def test_no_page_holds_anything_of_the_private_half(book, needles):
    own = [
        p
        for p in book.rglob("*")
        if p.suffix in {".html", ".js", ".json", ".txt", ".md", ".ipynb", ".py", ".inv", ".svg"}
        and "mathjax" not in p.parts
    ]
    assert len(own) > len(PAGES)
    for path in own:
        assert not leaks(path.read_text("utf-8", errors="ignore"), needles), path


def test_sources_of_pages_are_not_handed_out(book):
    assert not list(book.rglob("*.md")) and not list(book.rglob("*.ipynb"))
    assert not list(book.rglob("*.py"))


def test_the_lesson_works_other_numbers_than_the_students(root):
    """The lesson is on the worked frame; hardly a student could copy its results."""
    text = (root / "course" / f"{SLUG}.md").read_text(encoding="utf-8")
    assert 'angle, wall = given(facts, "down_tube.head_tube.angle_deg")' in text
    assert 'centre_length = given(facts, "down_tube.axis")' in text
    facts = worked_frame.facts()
    exercise = exercises.load(SLUG, root)
    key = keys.load(exercise, root)
    lesson = {q.name: given(facts, q.fact) for q in exercise.quantities if q.fact}
    assert {"tube_diameter", "head_diameter", "angle_deg", "centre_length"} <= set(lesson)
    alike = 0
    for i in range(100):
        own = own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}")
        assert any(own[name] != ours for name, ours in lesson.items()), own
        right = own_numbers.answers(exercise, key, own)
        copied = own_numbers.answers(exercise, key, own | lesson)
        alike += all(same(q, copied[q.id], right[q.id]) for q in exercise.graded if q.id in right)
    assert alike <= 1  # a frame that happens to be much like the worked one: 1 of 400 counted


# Mistakes of authors


@pytest.fixture
def small_book(root, tmp_path):
    """A book of one page, beside a copy of the bank, that a test may spoil."""
    for folder in ("exercises", "solutions"):
        shutil.copytree(root / folder, tmp_path / folder)
    course = tmp_path / "course"
    course.mkdir()
    shutil.copy(root / "course" / "_config.yml", course)
    shutil.copy(root / "course" / "references.bib", course)
    (course / "_toc.yml").write_text("format: jb-book\nroot: intro\n", encoding="utf-8")
    return tmp_path


def test_mistakes_on_pages_stop_the_build_and_are_all_named(small_book, root):
    head = (root / "course" / "notation.md").read_text("utf-8").split("# Symbols")[0]
    mistakes = {
        "lesson": (
            "```{practice} miter-angel\n```",
            "There is no lesson 'miter-angel'. Did you mean miter-angles",
        ),
        "card": (
            "```{practice} miter-angles\n:only: mill-setting\n```",
            "A practice card must be among practice-swing, .* got mill-setting",
        ),
        "figure": ("```{slider} miter-angles/colour\n```", "got 'miter-angles/colour'"),
        "link": ("{doc}`nowhere`", "unknown document: 'nowhere'"),
        "wrong-sum": ("```{code-cell} ipython3\nassert 2 + 2 == 5\n```", "AssertionError"),
    }
    for name, (text, _) in mistakes.items():
        start = head if name == "wrong-sum" else ""
        page = f"{start}# Page {name}\n\n{text}\n"
        (small_book / "course" / f"{name}.md").write_text(page, encoding="utf-8")
    (small_book / "course" / "intro.md").write_text("# One\n", encoding="utf-8")
    toc = "format: jb-book\nroot: intro\nchapters:\n" + "".join(
        f"  - file: {name}\n" for name in mistakes
    )
    (small_book / "course" / "_toc.yml").write_text(toc, encoding="utf-8")
    with pytest.raises(BookError, match="must build without a warning") as caught:
        build(small_book)
    for _, told in mistakes.values():
        assert re.search(told, str(caught.value)), told
    assert not (small_book / "build" / "book" / "stamp").exists()


@pytest.mark.slow
def test_a_changed_key_makes_the_cards_again_and_other_files_stay(small_book, tmp_path):
    page = "# One\n\n```{practice} miter-angles\n:only: practice-strip\n```\n"
    (small_book / "course" / "intro.md").write_text(page, encoding="utf-8")
    out = tmp_path / "elsewhere"
    out.mkdir()
    (out / "letter.txt").write_text("keep me", encoding="utf-8")
    intro = build(small_book, out).with_name("intro.html")
    assert "This is half way round." in intro.read_text("utf-8")
    key = small_book / "solutions" / f"{SLUG}.md"
    changed = key.read_text("utf-8").replace("This is half way round.", "Only half way round.")
    key.write_text(changed, encoding="utf-8")
    told = []
    build(small_book, out, lambda words, share: told.append(share))
    assert "Only half way round." in intro.read_text("utf-8")
    assert told == sorted(told) and told[0] == 0 and told[-1] == 1
    assert (out / "letter.txt").read_text("utf-8") == "keep me"


def test_mathjax_is_taken_from_an_installed_package():
    assert directives.mathjax_source().stat().st_size > 1_000_000
