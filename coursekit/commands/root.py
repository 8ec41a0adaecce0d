"""The `coursekit` command, put together from the groups and commands of the other modules."""

from __future__ import annotations

import click

from coursekit import light_start
from coursekit.classroom.register import dates
from coursekit.commands import (
    bench,
    classes,
    completion,
    course,
    desk,
    handing_out,
    lessons,
    marks,
    paper,
    reading,
    reports,
    students,
    taking_in,
)
from coursekit.commands.common import PlainGroup, print_safely


@click.group(cls=PlainGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="coursekit")
def main() -> None:
    """Teach and learn to build steel bicycle frames by brazing.

    Run it in the course's folder, the one with course/ and exercises/.
    """
    print_safely()
    dates.use_systems()
    light_start.imports()
    light_start.collections()
    light_start.one_thread()


for command in (
    course.demo,
    course.book,
    course.solutions,
    course.cage,
    desk.desk,
    classes.class_,
    handing_out.hand_out,
    taking_in.take_in,
    paper.worksheets,
    paper.sheets,
    marks.mark,
    reading.read,
    marks.feedback,
    marks.marks,
    marks.items,
    reports.report,
    reports.remind,
    students.student,
    lessons.lesson,
    bench.bench_,
    bench.answers_,
    completion.completion,
):
    main.add_command(command)
