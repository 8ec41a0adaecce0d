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
    two_sided_option,
)
from coursekit.commands.kinds import LESSON, lessons_argument, students_option

if TYPE_CHECKING:
    from coursekit.closure import Check
    from coursekit.sheets.build import Build

_SHEETS = paper_of("a4", "us-letter", "a3", "a2", "a1", "a0")


@click.command()
@lessons_argument
@class_to_write_option
@students_option
@click.option("--large-print", "large", is_flag=True, help="Text of 16 pt and more, in one column.")
@two_sided_option
@click.option(
    "--worked-key", is_flag=True, help="Also the long answer key, with every student's solutions."
)
@paper_option
@plain_errors
def worksheets(
    slugs: tuple[str, ...],
    class_path: Path,
    students: tuple[str, ...],
    paper: Any,
    two_sided: bool,
    large: bool,
    worked_key: bool,
) -> None:
    """Print the worksheets of every LESSON, a blank set for the wall, and the answer key.

    With `--student` it prints that student's own worksheet and nothing for the whole class.
    """
    from coursekit import project
    from coursekit.classroom.handout import printing
    from coursekit.classroom.register import class_folder, names

    folder = class_folder.load(class_path)
    how = printing.How(paper, two_sided, large)
    kinds: list[printing.Kind] = ["worksheets"]
    if not students:
        kinds += ["blank", "key"]
    kinds += ["worked-key"] if worked_key else []
    some = [names.student(folder, one).id for one in students] or None
    with bar("Worksheets", None) as step:
        made = printing.plan(
            folder, project.root(), kinds, slugs, some, how=how, tell=_counted(step)
        )
    say(*made.lines())
    done = printing.write(made, folder.path)
    say(*(f"Class set: {path}" for path in done.sets))
    each = zip(made.documents, done.files, strict=True)
    own = bool(students)
    named = ("key", "worked-key", "worksheets") if own else ("key", "worked-key")
    say(*(f"{printing.SAYS[d.kind]}: {path}" for d, path in each if d.kind in named))


def _counted(step: Callable[[str], None]) -> Callable[[str, int, int], None]:
    return lambda words, done, of: step(words)


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
        type=LESSON,
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


def _print(kind: str, paper: str, two_sided: bool, with_tiles: bool = True, **where: Any) -> None:
    """Set one document of a frame, say how many sheets it will take, write it."""
    from coursekit import project
    from coursekit.classroom.handout import printing
    from coursekit.classroom.register.class_folder import write_bytes

    out = where.pop("out")
    own = _frame_of(**where)
    root = project.root() if kind == "dossier" else None
    how = printing.How(paper, two_sided)
    (made,) = (plan := printing.plan_frame(own, [cast(Any, kind)], how, root, with_tiles)).documents
    path = _file(out or Path("build") / _stem(where["frame"], where["student"]) / made.place)
    say(*plan.lines())
    write_bytes(path, made.pdf)
    say(f"{printing.SAYS[made.kind]}: {path}")


def written(
    name: str, what: str, make: Callable[[Build], bytes], out: Path | None, **whose: Any
) -> None:
    """Read a frame file, make something from it with `make`, write that and say where it is."""
    from coursekit.classroom.register.class_folder import write_bytes

    own = _frame_of(**whose)
    path = _file(out or Path("build") / _stem(whose["frame"], whose["student"]) / name)
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
    from coursekit.classroom.handout import frames
    from coursekit.classroom.register import class_folder, names

    if class_path is None:
        raise ValueError(
            "A student's frame must come from a class; got no --class. Name its folder."
        )
    folder = class_folder.load(class_path)
    return frames.of_student(folder, names.student(folder, student).id, lesson, project.root())


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
@two_sided_option
@_SHEETS
@plain_errors
def drawing(form: str, paper: str, two_sided: bool, **where: Any) -> None:
    """Draw FRAME at full size from the drive side: outlines with saddles, axes, dimensions."""
    from coursekit.sheets import dxf, fullsize, svg

    makers: dict[str, tuple[str, Callable[[Build], bytes]]] = {
        "svg": ("drawing.svg", lambda own: svg.drawing(own).encode()),
        "dxf": ("drawing.dxf", lambda own: dxf.drawing(own).encode()),
        "a0": ("drawing-a0.pdf", lambda own: fullsize.pdf(own, "a0")),
        "roll": ("drawing-roll.pdf", lambda own: fullsize.pdf(own, "roll")),
    }
    if form == "tiles":
        _print("drawing", paper, two_sided, **where)
    else:
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
@two_sided_option
@_SHEETS
@plain_errors
def dossier(with_tiles: bool, paper: str, two_sided: bool, **where: Any) -> None:
    """Print everything the bench needs of FRAME in one PDF."""
    _print("dossier", paper, two_sided, with_tiles, **where)


@sheets.command()
@_frame_options
@two_sided_option
@_SHEETS
@plain_errors
def templates(paper: str, two_sided: bool, **where: Any) -> None:
    """Print wrap templates of FRAME: every mitered tube, both ends in phase, true to size."""
    _print("templates", paper, two_sided, **where)


def _card(kind: str, say: str) -> None:
    """Add the command that prints a card of one page."""

    @_frame_options
    @_SHEETS
    @plain_errors
    def command(paper: str, **where: Any) -> None:
        _print(kind, paper, False, **where)

    command.__doc__ = say
    sheets.command(kind)(command)


for _kind, _say in (
    (
        "cut-list",
        "Print the cut list of FRAME: each tube to scale with its butts, where to saw and mark it.",
    ),
    (
        "fixture",
        "Print the fixture card of FRAME: every scale's reading, checks, what a slip does.",
    ),
    (
        "tacks",
        "Print the tack card of FRAME: the order of tacks as a ring, room for what each did.",
    ),
    (
        "alignment",
        "Print the alignment record of FRAME: places to read, room for readings and calculations.",
    ),
):
    _card(_kind, _say)


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
