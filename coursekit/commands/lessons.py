"""The author's commands: begin a lesson, check that it is complete, look at its page."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click

from coursekit.commands.common import echo, json_option, json_text, plain_errors, say, share_bar
from coursekit.commands.kinds import lesson_argument, lessons_or_none_argument


@click.group("lesson")
def lesson() -> None:
    """Begin a lesson, check it, look at it: for the author."""


@lesson.command("new")
@click.argument("slug", metavar="LESSON")
@click.option("--title", default="", help="What the lesson is called. [default: from the slug]")
@click.option(
    "--after", default="", metavar="LESSON", help="The page that it stands after in the book."
)
@plain_errors
def lesson_new(slug: str, title: str, after: str) -> None:
    """Write the files of a new LESSON: page, exercise, solutions, test.

    They are a small lesson that works; fill them with your own. No file that exists is overwritten.
    """
    from coursekit import project
    from coursekit.book import author

    root = project.root()
    for path in author.new(slug, root, title, after):
        say(str(path.relative_to(root)))
    if not after:
        say(f"Give it a line in course/_toc.yml: - file: {slug}")
    say(f"Next: coursekit lesson check {slug}; coursekit lesson preview {slug}")


@lesson.command("check")
@lessons_or_none_argument
@click.option("--idle", is_flag=True, help="Show instead what sheets earn that show no work.")
@json_option
@plain_errors
def lesson_check(slugs: tuple[str, ...], idle: bool, as_json: bool) -> None:
    """Say what LESSON, or all lessons, still lack.

    It can check only what a machine can see. Ends with exit code 1 if anything is lacking.
    """
    from coursekit import project
    from coursekit.book import lesson_rules

    root = project.root()
    if idle:
        _show_idle(slugs or lesson_rules.lessons(root), root, as_json)
        return
    found = {s: lesson_rules.findings(s, root) for s in slugs or lesson_rules.lessons(root)}
    if as_json:
        echo(json_text({s: list(f) for s, f in found.items()}))
    for slug, words in () if as_json else found.items():
        if not words:
            say(f"{slug}: nothing is lacking that a machine can see.")
        for one in words:
            say(one if one.startswith(slug) else f"{slug}: {one}")
    if any(found.values()):
        raise click.exceptions.Exit(1)


def _show_idle(slugs: Iterable[str], root: Path, as_json: bool) -> None:
    """Print what idle sheets earn in each lesson; end with exit code 1 if one earns too much."""
    from coursekit.classroom.bank import exercises, keys
    from coursekit.classroom.marking import idle

    shares, over = {}, False
    if not as_json:
        say("Share of the marks, on average, and for the luckiest of twenty students:")
    for slug in slugs:
        exercise = exercises.load(slug, root)
        found = idle.table(exercise, keys.load(exercise, root))
        shares[slug] = idle.by_kind(found)
        over = over or any(idle.too_much(found))
        if not as_json:
            said = (f"{kind} {m:.1%}, {one:.1%}" for kind, (m, one) in shares[slug].items())
            say(f"{slug}: {'; '.join(said)}")
    if as_json:
        echo(json_text(shares))
    if over:
        raise click.exceptions.Exit(1)


@lesson.command("preview")
@lesson_argument
@plain_errors
def lesson_preview(slug: str) -> None:
    """Build the page of LESSON alone, for a quick look.

    The book itself is built by `coursekit book`.
    """
    from coursekit import project
    from coursekit.book import author

    with share_bar("Building the page") as tell:
        page = author.preview(slug, project.root(), tell)
    say(f"Open {page}")
