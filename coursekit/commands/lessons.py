"""The author's commands: begin a lesson, check that it is complete, look at its page."""

from __future__ import annotations

import json

import click

from coursekit.commands.common import console, json_option, plain_errors, share_bar


@click.group("lesson")
def lesson() -> None:
    """Begin a lesson, check it, look at it: for the author."""


@lesson.command("new")
@click.argument("slug")
@click.option("--title", default="", help="What the lesson is called. [default: from the slug]")
@click.option(
    "--after", default="", metavar="SLUG", help="The page that it stands after in the book."
)
@plain_errors
def lesson_new(slug: str, title: str, after: str) -> None:
    """Write the files of a new lesson SLUG: page, exercise, solutions, test.

    They are a small lesson that works; fill them with your own. No file that exists is overwritten.
    """
    from coursekit import project
    from coursekit.book import author

    root = project.root()
    for path in author.new(slug, root, title, after):
        console.print(str(path.relative_to(root)), soft_wrap=True, markup=False)
    if not after:
        console.print(f"Give it a line in course/_toc.yml: - file: {slug}", soft_wrap=True)
    console.print(
        f"Next: coursekit lesson check {slug}; coursekit lesson preview {slug}", soft_wrap=True
    )


@lesson.command("check")
@click.argument("slugs", metavar="[SLUG]...", nargs=-1)
@json_option
@plain_errors
def lesson_check(slugs: tuple[str, ...], as_json: bool) -> None:
    """Say what the lessons SLUG, or all, still lack.

    It can check only what a machine can see. Ends with exit code 1 if anything is lacking.
    """
    from coursekit import project
    from coursekit.book import lesson_rules

    root = project.root()
    found = {s: lesson_rules.findings(s, root) for s in slugs or lesson_rules.lessons(root)}
    if as_json:
        click.echo(json.dumps({s: list(f) for s, f in found.items()}, indent=1, ensure_ascii=False))
    for slug, words in () if as_json else found.items():
        if not words:
            click.echo(f"{slug}: nothing is lacking that a machine can see.")
        for one in words:
            click.echo(one if one.startswith(slug) else f"{slug}: {one}")
    if any(found.values()):
        raise click.exceptions.Exit(1)


@lesson.command("preview")
@click.argument("slug")
@plain_errors
def lesson_preview(slug: str) -> None:
    """Build the page of the lesson SLUG alone, for a quick look.

    The book itself is built by `coursekit book`.
    """
    from coursekit import project
    from coursekit.book import author

    with share_bar("Building the page") as tell:
        page = author.preview(slug, project.root(), tell)
    console.print(f"Open {page}", soft_wrap=True)
