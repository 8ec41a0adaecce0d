"""What the words of a command line may be: a lesson, a size of paper, a percentage.

Each is read by a function that the rest of the kit uses too; this is how click asks for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click
from click.shell_completion import CompletionItem

from coursekit.classroom.register import typed
from coursekit.classroom.register.outside_names import shown

Context = click.Context | None
Parameter = click.Parameter | None


class Lesson(click.ParamType):  # type: ignore[type-arg,unused-ignore]
    """A lesson by its slug or its title; Tab completes slugs."""

    name = "lesson"

    def convert(self, value: Any, param: Parameter, ctx: Context) -> str:
        """Return the slug; what is like no lesson is left to the command, which says what it lacks.

        So is everything outside of the course's folder.
        """
        from coursekit import project
        from coursekit.classroom.bank import lesson_names

        if not value or (param and value == param.default):
            return str(value)
        try:
            root = project.root()
            return lesson_names.named(value, root)
        except FileNotFoundError:
            return str(value)
        except ValueError as error:
            if lesson_names.near(value, root):
                raise click.ClickException(shown(str(error))) from None
            return str(value)

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Return the slugs of the course that begin so."""
        from coursekit import project
        from coursekit.classroom.bank import lesson_names

        try:
            found = lesson_names.slugs(project.root())
        except FileNotFoundError:
            return []
        return [CompletionItem(slug) for slug in found if slug.startswith(incomplete)]


class AnyLesson(Lesson):
    """A lesson that need not be there yet, or any more."""

    def convert(self, value: Any, param: Parameter, ctx: Context) -> str:
        """Return what was typed."""
        return str(value)


class Paper(click.Choice):  # type: ignore[type-arg,unused-ignore]
    """A size of paper, in any spelling of its name."""

    def __init__(self, papers: Sequence[str]) -> None:
        super().__init__(papers)

    def convert(self, value: Any, param: Parameter, ctx: Context) -> str:
        """Return the size's name as the kit spells it."""
        try:
            return typed.paper(value, tuple(self.choices))
        except ValueError as error:
            self.fail(str(error), param, ctx)


class PerCent(click.ParamType):  # type: ignore[type-arg,unused-ignore]
    """A percentage: `10`, `10%`, `"10 %"`."""

    name = "per cent"

    def convert(self, value: Any, param: Parameter, ctx: Context) -> float:
        """Return the number."""
        if isinstance(value, float):
            return value
        try:
            return typed.per_cent(value)
        except ValueError as error:
            self.fail(str(error), param, ctx)


LESSON, ANY_LESSON, PER_CENT = Lesson(), AnyLesson(), PerCent()
lesson_argument = click.argument("slug", metavar="LESSON", type=LESSON)
lesson_or_none_argument = click.argument("slug", metavar="[LESSON]", required=False, type=LESSON)
lessons_argument = click.argument(
    "slugs", metavar="LESSON...", nargs=-1, required=True, type=LESSON
)
lessons_or_none_argument = click.argument("slugs", metavar="[LESSON]...", nargs=-1, type=LESSON)
students_option = click.option(
    "--student",
    "students",
    multiple=True,
    metavar="STUDENT",
    help="Only this student's, by id or name. May be given more than once.",
)
