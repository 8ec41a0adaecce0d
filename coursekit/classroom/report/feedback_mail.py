"""Mail drafts with feedback: each student's page, whole in one file, attached to a mail to them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.gradebook.nbgrader_settings import course_root
from coursekit.classroom.marking.marked_work import has_newer_work
from coursekit.classroom.register import mail_draft
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.mail_draft import Draft
from coursekit.classroom.report import feedback
from coursekit.classroom.running.page_policy import sha256_source

_TEXT = """\
{hello}

the attached page says what came of your work on "{title}", question by question. Save it, and open
it in a browser.

{class_title}
"""


def drafts(folder: ClassFolder, slug: str, root: Path | None = None) -> Iterator[Draft]:
    """Yield a mail to each student who has a feedback page on `slug`, with the page attached.

    A page about older work than lies there is not sent.
    """
    title = exercises.load(slug, root or course_root(folder)).title
    for student in map(folder.student, feedback.marked_students(folder, slug)):
        page = folder.feedback(student.id, slug) / f"{slug}.html"
        if not page.is_file() or has_newer_work(folder, student.id, slug):
            continue  # no page was made, and the command has said why
        text = _TEXT.format(
            hello=mail_draft.greeting(student), title=title, class_title=folder.title
        )
        subject = f"{folder.title}: {title}, feedback"
        data = whole(page.read_text(encoding="utf-8")).encode()
        yield Draft(student, subject, text, f"{slug}-{student.id}-feedback.html", data)


def whole(text: str) -> str:
    """Return a feedback page that needs no second file: MathJax, if it asks for it, stands in it.

    A mail can't carry the script beside the page, because mail programs refuse scripts.
    """
    if not feedback.has_maths(text):
        return text
    script = feedback.mathjax_source().read_text(encoding="utf-8").replace("<!--", "\\x3C!--")
    asks = f'<script defer src="{feedback.MATHJAX}"></script>'
    return text.replace("script-src ", f"script-src {sha256_source(script)} ", 1).replace(
        asks, f"<script>{script}</script>", 1
    )
