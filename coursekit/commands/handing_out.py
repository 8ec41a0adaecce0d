"""The command that hands work out to a class."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import click

from coursekit.classroom.register.outside_names import shown
from coursekit.commands.common import (
    bar_unless,
    class_to_write_option,
    echo,
    json_option,
    json_text,
    mail_facts,
    mail_lines,
    mail_option,
    paper_option,
    plain_errors,
    quiet_option,
    say,
    share_bar,
    work_of,
)
from coursekit.commands.kinds import lessons_argument, students_option


@dataclass(frozen=True)
class _Sent:
    """What was made of one exercise, and the mail drafts that were written."""

    made: Any
    mail: Any

    def as_json(self) -> dict[str, Any]:
        made = self.made
        told = {
            "exercise": made.work.slug,
            "zips": [str(p) for p in made.zips.zips],
            "stick": str(made.zips.stick) if made.zips.stick else None,
            "pages": str(made.pages) if made.pages else None,
            "exchange": str(made.exchange) if made.exchange else None,
        }
        return told | ({"mail": mail_facts(self.mail)} if self.mail else {})


@click.command("hand-out")
@lessons_argument
@class_to_write_option
@students_option
@paper_option
@click.option(
    "--book",
    type=click.Path(path_type=Path),
    help="Folder of the pages to send. [default: the book, built where it is not]",
)
@click.option("--no-pages", is_flag=True, help="Send no pages: students have the book already.")
@click.option("--no-stick", is_flag=True, help="Make no file with everybody's folders.")
@mail_option
@click.option(
    "--as-site",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder to lay the students' pages out in, for any static web space.",
)
@quiet_option
@json_option
@plain_errors
def hand_out(
    slugs: tuple[str, ...],
    class_path: Path,
    students: tuple[str, ...],
    paper: Any,
    book: Path | None,
    no_pages: bool,
    no_stick: bool,
    mail: Path | None,
    as_site: Path | None,
    quiet: bool,
    as_json: bool,
) -> None:
    """Make what each student gets for every LESSON.

    It makes one zip a student, and one for a USB stick with everybody's folders. A zip holds the
    answer page, which any phone or computer opens, the notebook with the student's own numbers, the
    worksheet, the lesson's pages, and files that start the notebook on Windows, macOS and Linux.
    Nothing of the solutions is in it. If class.toml names an nbgrader exchange, the release goes
    there as well.

    With `--as-site` it also lays out a folder to put on a web space: each student's pages under
    names that nobody can guess, the lesson's pages for all, and no list of them. It says which link
    is whose. Lessons that were laid out there before stay.

    With `--student` it makes what that student gets, and leaves everybody else's as it is. It then
    makes no file for a stick, because that one holds the whole class.
    """
    from coursekit.classroom.handout import site, zips

    if book and not no_pages:
        zips.refuse_solutions(book)
    works = [work_of(class_path, slug) for slug in dict.fromkeys(slugs)]
    if as_site:
        site.refuse(works[0].folder, as_site)
    silent = quiet or as_json

    @cache
    def pages() -> Path | None:
        return None if no_pages else book or _pages(works[0].root, silent)

    sent = [_hand_out(w, students, paper, pages, not no_stick, mail, silent) for w in works]
    laid = site.lay_out(works, as_site, pages()) if as_site else None
    if as_json:
        each = [one.as_json() for one in sent]
        told = each[0] if len(each) == 1 else {"exercises": each}
        echo(json_text(told | ({"site": asdict(laid)} if laid else {})))
    elif not quiet:
        for one in sent:
            _say(class_path, one.made)
            say(*(mail_lines(one.mail, mail) if mail else ()))
    if laid and as_site and not as_json:
        _say_site(sent[0].made.work.folder, as_site, laid, quiet)


def _hand_out(
    work: Any,
    students: tuple[str, ...],
    paper: Any,
    pages: Callable[[], Path | None],
    stick: bool,
    mail: Path | None,
    silent: bool,
) -> _Sent:
    """Make what the students get for one exercise, and write the drafts."""
    from coursekit.classroom.answer_page.handing_out import hand_out_lesson
    from coursekit.classroom.handout import given_away, own_file
    from coursekit.classroom.register import mail_draft

    say(*given_away.given_away(work, work.root), err=True)
    made = hand_out_lesson(
        work,
        pages,
        lambda what, count: bar_unless(silent, what, count),
        paper=paper,
        stick=stick,
        students=students,
    )
    drafts = mail_draft.write(own_file.drafts(made.work), mail, work.slug) if mail else None
    return _Sent(made, drafts)


def _say(class_path: Path, made: Any) -> None:
    from coursekit.classroom.handout import zips

    size = max(p.stat().st_size for p in made.zips.zips) / 1e6
    say(f"One zip a student, {size:.1f} MB, in {zips.folder_of(made.work)}")
    if made.zips.stick:
        say(f"For a USB stick, everybody's folders: {made.zips.stick}")
    elif (there := zips.stick_of(made.work)).is_file():
        say(f"The file for a USB stick is as it was: {there}")
    if made.pages is None:
        say("The lesson's pages are not in them.")
    if made.exchange:
        say(f"In the exchange: {made.exchange}")
    say(f"The notebooks are in {class_path / 'hand-out'}")


def _say_site(folder: Any, target: Path, site: Any, quiet: bool) -> None:
    """Say whose page lies where in a site, and what was removed or not replaced."""
    if not quiet:
        say(f"The site is in {target}. Give each student the address of their own page, no other:")
        for student in folder.students:
            name = "" if student.name == student.id else f" · {shown(student.name)}"
            say(f"  {student.id}{name}: {site.links[student.id]}")
    if site.removed:
        say(
            f"Removed, as nobody needs them any more: {len(site.removed)} files. Take them off "
            "the web space too:",
            *(f"  {file}" for file in site.removed),
        )
    for file in site.left:
        say(f"LEFT: {target / file} is not ours, so it stays as it is.", err=True)


def _pages(root: Path, silent: bool) -> Path | None:
    """Return the folder of the book's pages, built if anything has changed; None without a book."""
    from coursekit.book import build

    quiet = silent or not build.is_there(root)
    with nullcontext(lambda words, share: None) if quiet else share_bar("The book") as tell:
        return build.pages_to_send(root, tell)
