"""Commands about the course itself."""

from __future__ import annotations

from pathlib import Path

import click

from coursekit.commands.common import (
    bar,
    console,
    echo,
    json_option,
    json_text,
    paper_option,
    plain_errors,
    say,
    share_bar,
)

print_option = click.option(
    "--print", "to_print", is_flag=True, help="Also put all pages together to print, as one PDF."
)


@click.command()
@plain_errors
def demo() -> None:
    """Run the whole course once on an invented class of twelve.

    It goes from the book to the marked gradebook and the report, through every lesson. The book and
    the worksheets are made beside the rest. Everything it makes is in build/. Run it twice and it
    ends the same. You can stop it and start it again; it carries on where it stopped.
    """
    from coursekit import project
    from coursekit.book import build, sketches
    from coursekit.book.lesson import lessons
    from coursekit.classroom.demo import tour

    root = project.root()
    tour.demo(root, lessons(root), console, bar, build.build, sketches.pen(root))


@click.command()
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder of the book. [default: build/book]"
)
@print_option
@paper_option
@plain_errors
def book(out: Path | None, to_print: bool, paper: str) -> None:
    """Build the book's pages, for reading without a network.

    The book to print leaves room for your working where the screen folds the answers away.
    """
    from coursekit import project
    from coursekit.book import build

    root = project.root()
    with share_bar("Building the book") as tell:
        index = build.build(root, out, tell)
    say(f"Open {index}")
    if to_print:
        from coursekit.book import printed

        _tell(printed.make(index, root / "course", paper=paper))


def _tell(page: Path) -> None:
    from coursekit.book import printed

    with console.status("Setting the pages"):
        made = printed.pdf(page)
    said = (
        f"To print: {made}"
        if made
        else f"No browser to make a PDF was found. Print from yours: {page}"
    )
    say(said)


@click.command()
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder to build in. [default: build/instructor]"
)
@print_option
@paper_option
@plain_errors
def solutions(out: Path | None, to_print: bool, paper: str) -> None:
    """Build the instructor's edition of the book.

    Worked solutions and notes follow each lesson. It has a folder of its own and a banner on each
    page, and hand-out refuses to send it.
    """
    from coursekit import project
    from coursekit.book import instructor

    with share_bar("Building the edition") as tell:
        index = instructor.make(project.root(), out, tell)
    say(f"Open {index}", "It holds the solutions: keep it from students.")
    if to_print:
        _tell(instructor.printed(index, paper))


@click.command()
@json_option
def cage(as_json: bool) -> None:
    """Say what cages students' code on this machine.

    Without a cage no notebook is run. Ends with exit code 1 if the cage is too weak.
    """
    from coursekit.classroom.running.cage.layers import layers, refusal

    found = layers()
    told = {"isolated": found.isolated, "layers": list(found.lines())}
    echo(json_text(told) if as_json else "\n".join(found.lines()))
    if not found.isolated:
        raise click.ClickException(refusal(found))
