"""Commands that make paper: worksheets, and one frame's templates, drawing and cards."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from coursekit.commands.common import (
    bar,
    class_to_write_option,
    console,
    paper_of,
    paper_option,
    plain_errors,
    say,
    work_of,
)

if TYPE_CHECKING:
    from coursekit.closure import Check
    from coursekit.sheets.build import Build

_SHEETS = paper_of("a4", "us-letter", "a3", "a2", "a1", "a0")


@click.command()
@click.argument("slug", metavar="LESSON")
@class_to_write_option
@click.option("--large-print", "large", is_flag=True, help="Text of 16 pt and more, in one column.")
@paper_option
@plain_errors
def worksheets(slug: str, class_path: Path, paper: Any, large: bool) -> None:
    """Print the worksheets of LESSON, a blank set for the wall, and the answer key."""
    from coursekit.classroom.handout.worksheets import make_for_class

    with bar("Worksheets", None) as step:
        sheets, key = make_for_class(work_of(class_path, slug), paper, step, large)
    whole = "\n".join(f"Class set: {path}" for path in sheets)
    say(str(whole), f"Answer key (instructor only): {key}")


@click.group()
def sheets() -> None:
    """Print one frame's paper: wrap templates, drawing, cards.

    FRAME is a frame file; `coursekit sheets start frame.toml` writes one to begin with, and with
    --whole one that has a rear end and a fork. With --class and --student it is that student's own
    frame, and FRAME only names the folder.
    """


_FRAME_OPTIONS = (
    click.option(
        "--out", type=click.Path(path_type=Path), help="Where to write it; else build/<frame>/."
    ),
    click.option(
        "--student",
        help="With --class: this student's own frame, whole. FRAME may then be left out.",
    ),
    click.option(
        "--lesson",
        default="frame-drawing",
        show_default=True,
        help="With --student: the frame that this lesson is about.",
    ),
    click.option(
        "--class",
        "class_path",
        type=click.Path(path_type=Path),
        envvar="COURSEKIT_CLASS",
        show_envvar=True,
        help="The class folder.",
    ),
    click.argument("frame", type=click.Path(path_type=Path), required=False),
)


def _frame_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add FRAME, where to write, and whose own frame to take in its place."""
    for option in _FRAME_OPTIONS:
        command = option(command)
    return command


def _frame_command(say: str) -> Callable[[Any], Any]:
    """Return a decorator that turns a function of a `Build` and a paper size into a command.

    The function returns the PDF's bytes, and its docstring becomes the command's help text.
    """

    def make(sheet: Callable[..., bytes]) -> Any:
        name = sheet.__name__.replace("_", "-")

        @_frame_options
        @_SHEETS
        @plain_errors
        def command(paper: str, **where: Any) -> None:
            written(f"{name}-{paper}.pdf", say, lambda own: sheet(own, paper), **where)

        command.__doc__ = sheet.__doc__
        return sheets.command(name)(command)

    return make


def written(
    name: str,
    what: str,
    make: Callable[[Build], bytes],
    frame: Path | None,
    out: Path | None,
    student: str | None,
    lesson: str,
    class_path: Path | None,
) -> None:
    """Read a frame file, make something from it with `make`, write that and say where it is."""
    from coursekit.classroom.register.class_folder import write_bytes

    own = _frame_of(frame, student, lesson, class_path)
    path = _file(out or Path("build") / _stem(frame, student) / name)
    write_bytes(path, make(own))
    say(f"{what}: {path}")


def _file(path: Path) -> Path:
    """Return `path`; ValueError if it is a folder."""
    if path.is_dir():
        raise ValueError(
            f"--out must name a file; got {path}, which is a folder. Add a name to it."
        )
    return path


def _frame_of(
    frame: Path | None, student: str | None, lesson: str, class_path: Path | None
) -> Build:
    """Return the frame of the file, or a student's own where one is named."""
    from coursekit.sheets import frame_file

    if student is not None:
        return _own_frame(student, lesson, class_path)
    if frame is None:
        raise click.UsageError(
            "A frame must be given; got neither FRAME nor --student. Name a frame file, or a "
            "student of a class."
        )
    return frame_file.read(frame)


def _own_frame(student: str, lesson: str, class_path: Path | None) -> Build:
    from coursekit import project
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.students import own_frames

    if class_path is None:
        raise ValueError(
            "A student's frame must come from a class; got no --class. Name its folder."
        )
    return own_frames.build(class_folder.load(class_path), student, lesson, project.root())


def _stem(frame: Path | None, student: str | None) -> str:
    """Return the folder's name for what is made of a frame."""
    return "-".join(part for part in (frame.stem if frame else "", student) if part)


@sheets.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--whole", is_flag=True, help="With the tables for rear end and fork.")
@plain_errors
def start(file: Path, whole: bool) -> None:
    """Write an example frame file to FILE, to put your own numbers in."""
    from coursekit.sheets import frame_file

    if file.exists():
        raise ValueError(
            f"The frame file must be a new one; got {file}, which is there. Name another."
        )
    file.parent.mkdir(parents=True, exist_ok=True)
    example = frame_file.WHOLE_EXAMPLE if whole else frame_file.EXAMPLE
    file.write_text(example.read_text(encoding="utf-8"), encoding="utf-8")
    say(f"Frame file: {file}")


@sheets.command()
@_frame_options
@plain_errors
def closure(
    frame: Path | None,
    out: Path | None,
    student: str | None,
    lesson: str,
    class_path: Path | None,
) -> None:
    """Say whether FRAME can be built, then work every number out a second way.

    It ends with an error where something forbids the frame, or where two ways disagree.
    """
    from coursekit.sheets import checks

    own = _frame_of(frame, student, lesson, class_path)
    made = checks.of(own)
    told = "\n".join([*_built(own), "", *(_told(check) for check in made)])
    say(*told.split("\n"))
    if out is not None:
        _file(out).parent.mkdir(parents=True, exist_ok=True)
        out.write_text(told + "\n", encoding="utf-8")
    bars = sum(found.forbids for found in own.findings)
    if bars:
        raise ValueError(
            f"The frame must be one that can be built; got {bars} "
            f"{'place' if bars == 1 else 'places'} marked CAN'T above. Mend the frame file there."
        )
    if missed := sum(not check.closes for check in made):
        raise ValueError(
            f"Every number must be the same by both ways; got {missed} of {len(made)} that "
            f"{'is' if missed == 1 else 'are'} not, marked OPEN above. Mend the frame file "
            "there, then print the dossier."
        )
    sums = sum(check.arithmetic for check in made)
    console.print(
        f"All {len(made) - sums} numbers found in two ways close. In the other {sums}, marked "
        "`agrees`, one side is worked out from the other: there the arithmetic agrees, and no "
        "more. All share the frame file: read it against your drawing."
    )


def _built(own: Build) -> list[str]:
    """Return the lines about building: a heading that sums up, and a line for each finding."""
    found = own.findings
    bars = sum(one.forbids for one in found)
    head = "Can it be built? Nothing that the kit checks forbids it."
    if bars:
        head = "Can it be built? Not as it is drawn."
    mark = {True: "CAN'T ", False: "care  "}
    lines, costs = [head], [""]
    for one in found:
        say = one.say.removesuffix(f" {one.ease}") if one.ease in costs else one.say
        costs.append(one.ease)  # what it costs is told once
        lines.append(f"{mark[one.forbids]}  {say}")
    return lines


def _told(check: Check) -> str:
    """Return a line about one check: closed or open, both ways, what it is.

    It says `agrees` where two sides agree by arithmetic alone.
    """
    fine = "agrees" if check.arithmetic else "closes"
    state = fine if check.closes else "OPEN  "
    return f"{state}  {check.one:8.2f}  {check.other:8.2f}  {check.say}"


@_frame_command("Wrap templates, print at 100 %")
def templates(own: Build, paper: Any) -> bytes:
    """Print wrap templates of FRAME: every mitered tube, both ends in phase, true to size."""
    from coursekit.sheets import templates

    return templates.pdf(own, paper)


_FORMS = ("a0", "roll", "tiles", "svg", "dxf")


@sheets.command()
@_frame_options
@click.option(
    "--as",
    "form",
    type=click.Choice(_FORMS),
    default="tiles",
    show_default=True,
    help="One large page (A0, or a roll plotter's paper as long as it needs), tiles for a desk "
    "printer, or a file for a drawing program.",
)
@_SHEETS
@plain_errors
def drawing(form: str, paper: str, **where: Any) -> None:
    """Draw FRAME at full size from the drive side: outlines with saddles, axes, dimensions."""
    from coursekit.sheets import dxf, fullsize, svg, tiles

    makers: dict[str, tuple[str, Callable[[Build], bytes]]] = {
        "tiles": (f"drawing-tiles-{paper}.pdf", lambda own: tiles.pdf(own, cast(Any, paper))),
        "svg": ("drawing.svg", lambda own: svg.drawing(own).encode()),
        "dxf": ("drawing.dxf", lambda own: dxf.drawing(own).encode()),
        "a0": ("drawing-a0.pdf", lambda own: fullsize.pdf(own, "a0")),
        "roll": ("drawing-roll.pdf", lambda own: fullsize.pdf(own, "roll")),
    }
    name, make = makers[form]
    written(name, "Full-size drawing, scale 1 : 1", make, **where)


@sheets.command()
@_frame_options
@click.option(
    "--tiles/--no-tiles",
    "with_tiles",
    default=True,
    show_default=True,
    help="With the full-size drawing in tiles.",
)
@_SHEETS
@plain_errors
def dossier(with_tiles: bool, paper: str, **where: Any) -> None:
    """Print everything the bench needs of FRAME in one PDF, ready to print on both sides."""
    from coursekit import project
    from coursekit.sheets import dossier

    def make(own: Build) -> bytes:
        return dossier.pdf(own, project.root(), cast(Any, paper), with_tiles)

    written(f"dossier-{paper}.pdf", "Dossier", make, **where)


def _card(kind: str, say: str) -> Callable[..., bytes]:
    def make(own: Build, paper: Any) -> bytes:
        from coursekit.sheets import cards

        return cards.pdf(own, cast(Any, kind), paper)

    make.__name__ = kind.replace("-", "_")
    make.__doc__ = say
    return make


for _kind, _name, _say in (
    (
        "cut-list",
        "Cut list",
        "Print the cut list of FRAME: each tube to scale with its butts, where to saw and mark it.",
    ),
    (
        "fixture",
        "Fixture card",
        "Print the fixture card of FRAME: every scale's reading, checks, what a slip does.",
    ),
    (
        "tacks",
        "Tack card",
        "Print the tack card of FRAME: the order of tacks as a ring, room for what each did.",
    ),
    (
        "alignment",
        "Alignment record",
        "Print the alignment record of FRAME: places to read, room for readings and calculations.",
    ),
):
    _frame_command(_name)(_card(_kind, _say))


@sheets.command()
@_SHEETS
@click.option("--out", type=click.Path(path_type=Path), help="Where to write it; else build/.")
@plain_errors
def safety(paper: str, out: Path | None) -> None:
    """Print the safety card for the wall, from the course's own safety page."""
    from coursekit import project
    from coursekit.classroom.register.class_folder import write_bytes
    from coursekit.sheets import cards

    path = _file(out or Path("build") / f"safety-{paper}.pdf")
    write_bytes(path, cards.safety(project.root(), cast(Any, paper)))
    say(f"Safety card: {path}")
