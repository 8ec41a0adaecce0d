"""The command that hands work out to a class."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from typing import Any

import click

from coursekit.commands.common import (
    bar_unless,
    class_to_write_option,
    echo,
    json_option,
    json_text,
    paper_option,
    plain_errors,
    quiet_option,
    say,
    share_bar,
    work_of,
)


@click.command("hand-out")
@click.argument("slug")
@class_to_write_option
@paper_option
@click.option(
    "--book",
    type=click.Path(path_type=Path),
    help="Folder of the pages to send. [default: the book, built where it is not]",
)
@click.option("--no-pages", is_flag=True, help="Send no pages: students have the book already.")
@click.option("--no-stick", is_flag=True, help="Make no file with everybody's folders.")
@quiet_option
@json_option
@plain_errors
def hand_out(
    slug: str,
    class_path: Path,
    paper: Any,
    book: Path | None,
    no_pages: bool,
    no_stick: bool,
    quiet: bool,
    as_json: bool,
) -> None:
    """Make what each student gets for the exercise SLUG.

    It makes one zip a student, and one for a USB stick with everybody's folders. A zip holds the
    answer page, which any phone or computer opens, the notebook with the student's own numbers, the
    worksheet, the lesson's pages, and files that start the notebook on Windows, macOS and Linux.
    Nothing of the solutions is in it. If class.toml names an nbgrader exchange, the release goes
    there as well.
    """
    from coursekit.classroom.answer_page import pages as answer_pages
    from coursekit.classroom.handout import assignments, given_away, nbgrader_exchange, zips

    work = work_of(class_path, slug)
    say(*given_away.given_away(work, work.root), err=True)
    silent = quiet or as_json
    count = len(work.folder.students)
    with bar_unless(silent, "Notebooks, own numbers", count) as step:
        assignments.hand_out(work, step)
    pages = None if no_pages else book or _pages(work.root, silent)
    answer_pages.make(work, lesson=pages is not None)
    with bar_unless(silent, "Zip files", count) as step:
        sent = zips.make(work, pages, paper, not no_stick, step)
    exchange = nbgrader_exchange
    released = exchange.put_release(work) if exchange.is_there(work) else None
    if as_json:
        told = {
            "exercise": slug,
            "zips": [str(p) for p in sent.zips],
            "stick": str(sent.stick) if sent.stick else None,
            "pages": str(pages) if pages else None,
            "exchange": str(released) if released else None,
        }
        echo(json_text(told))
    elif not quiet:
        _say(class_path, zips.folder_of(work), sent, pages, released)


def _say(
    class_path: Path, folder: Path, sent: Any, pages: Path | None, released: Path | None
) -> None:
    size = max(p.stat().st_size for p in sent.zips) / 1e6
    say(f"One zip a student, {size:.1f} MB, in {folder}")
    if sent.stick:
        say(f"For a USB stick, everybody's folders: {sent.stick}")
    if pages is None:
        say("The lesson's pages are not in them.")
    if released:
        say(f"In the exchange: {released}")
    say(f"The notebooks are in {class_path / 'hand-out'}")


def _pages(root: Path, silent: bool) -> Path | None:
    """Return the folder of the book's pages, built if anything has changed; None without a book."""
    from coursekit.book import build

    if not (root / "course" / "_config.yml").is_file():
        return None
    with nullcontext(lambda words, share: None) if silent else share_bar("The book") as tell:
        return build.build(root, None, tell).parent
