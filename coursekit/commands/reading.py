"""The command with which an instructor reads written answers and marks them."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from coursekit.commands.common import (
    class_option,
    echo,
    json_option,
    json_text,
    keep_before,
    plain_errors,
    say,
    say_old_feedback,
    see_to_class,
    work_of,
)

_MOST_COMMENTS = 9  # earlier comments that can be picked by their number


@click.command()
@click.argument("slug", metavar="LESSON")
@class_option
@click.option("--question", default="", help="Read this question alone, named by its id.")
@click.option("--all", "everything", is_flag=True, help="Show what you have marked already too.")
@click.option("--no-names", is_flag=True, help="Don't show whose answer it is.")
@click.option(
    "--give",
    nargs=3,
    metavar="STUDENT QUESTION SCORE",
    help="Give one score without asking; the score `none` takes it back.",
)
@click.option("--comment", help="With --give: what to tell the student.")
@json_option
@plain_errors
def read(
    slug: str,
    class_path: Path,
    question: str,
    everything: bool,
    no_names: bool,
    give: tuple[str, str, str] | None,
    comment: str | None,
    as_json: bool,
) -> None:
    """Read what students wrote in LESSON, and mark it.

    It shows one answer after the other with what was expected, and asks for a score: 0, ½, 1, 2, or
    any number up to the question's marks. Scores and comments go into nbgrader's gradebook, where
    formgrader shows them too. With --json it lists all of it and asks nothing.
    """
    from coursekit.classroom.marking import by_hand

    if comment is not None and not give:
        raise click.UsageError("A comment must go with a score; got --comment without --give.")
    work = work_of(class_path, slug)
    if give or not as_json:
        see_to_class(class_path)
        keep_before(class_path, f"read {slug}")
    if give:
        student, id, score = give
        by_hand.give(work, student, id, by_hand.score_of(score), comment)
        if not as_json:
            say_old_feedback(work)
            return
    found = [one for one in by_hand.to_read(work) if question in ("", one.id)]
    if as_json:
        echo(json_text({"exercise": slug, "questions": [asdict(one) for one in found]}))
        return
    done = _read_on(work, found, everything, not no_names)
    if not done:
        say(f"Nothing of {slug} waits for you to read it.")
    say_old_feedback(work)


def _read_on(work: Any, found: list[Any], everything: bool, names: bool) -> int:
    """Show each answer and take its score; return how many were shown."""
    count = 0
    for question in found:
        comments = list(question.comments)
        wanted = [one for one in question.answers if everything or one.waits]
        for number, one in enumerate(wanted, start=1):
            if number == 1:
                _show_question(question)
            count += 1
            _show_answer(one, f"{number} of {len(wanted)}", names)
            if (score := _score(question.marks)) == "":
                return count
            if score is not None:
                said = _comment(comments)
                _give(work, one, question.id, score, said)
    return count


def _show_question(question: Any) -> None:
    marks = f"{question.marks:g} mark{'' if question.marks == 1 else 's'}"
    echo(f"\n{question.title} ({marks})\n\n{question.asked}")
    if question.expected:
        echo(f"\nExpected:\n{question.expected}")


def _show_answer(one: Any, place: str, names: bool) -> None:
    who = (
        "" if not names else one.name if one.name == one.student else f"{one.name} ({one.student})"
    )
    echo()
    say(f"--- {place}{': ' if who else ''}{who}")
    echo(one.trouble or one.text or "(nothing)")
    if one.expected:
        echo(f"Expected:\n{one.expected}")
    if one.score is not None or one.comment:
        say(f"You gave {'nothing' if one.score is None else f'{one.score:g}'}. {one.comment}")
    if one.newer:
        say("Newer work lies there that is not marked yet.")


def _score(most: float) -> float | str | None:
    """Return the score that was typed, None to leave the answer for later, "" to stop."""
    from coursekit.classroom.marking import by_hand

    while True:
        asked = f"Score, 0 to {most:g} (Enter: later, q: stop)"
        typed = click.prompt(asked, default="", show_default=False).strip()
        if typed in ("", "q"):
            return None if not typed else ""
        try:
            score = by_hand.score_of(typed)
        except ValueError as error:
            say(str(error))
            continue
        if score is not None and score <= most:
            return score
        say(f"A score must lie from 0 to {most:g}; got {typed}.")


def _comment(comments: list[str]) -> str | None:
    """Return the comment that was typed or picked, None for none; a new one is remembered."""
    for number, said in enumerate(comments[:_MOST_COMMENTS], start=1):
        say(f"  {number}  {said}")
    pick = ", or the number of one above" if comments else ""
    typed = click.prompt(f"Comment (Enter: none{pick})", default="", show_default=False).strip()
    if typed.isdecimal() and 1 <= int(typed) <= len(comments[:_MOST_COMMENTS]):
        return comments[int(typed) - 1]
    if typed and typed not in comments:
        comments.append(typed)
    return typed or None


def _give(work: Any, one: Any, question: str, score: float | str, comment: str | None) -> None:
    from coursekit.classroom.marking import by_hand
    from coursekit.classroom.register.class_folder import ClassError

    try:
        by_hand.give(work, one.student, question, float(score), comment, one.seen)
    except ClassError as error:  # it changed meanwhile: tell it, and go on with the next
        say(str(error), err=True)
