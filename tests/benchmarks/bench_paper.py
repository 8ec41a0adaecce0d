"""How fast paper is made, beside matplotlib: all worksheets of a class, and one frame's own paper.

Pages per second and bytes per page are in `extra_info` of the saved figures (`--benchmark-json=…`).
"""

from __future__ import annotations

import io
import itertools
from typing import Any

import pytest
from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
from matplotlib.figure import Figure

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import (
    dossier,
    dxf,
    flat,
    frame_file,
    fullsize,
    page,
    templates,
    tiles,
    worksheet,
)
from coursekit.sheets.build import Build
from coursekit.sheets.scene import Arc, Path, Stroke, Words
from tests.conftest import ROOT
from tests.sheets import builds, paper

STUDENTS = 30


def lessons() -> list[str]:
    return sorted(p.stem for p in (ROOT / "exercises").glob("*.md"))


def note(benchmark: Any, pdf: bytes) -> None:
    pages = len(paper.pages(pdf))
    benchmark.extra_info["pages"] = pages
    benchmark.extra_info["pages_per_second"] = round(pages / benchmark.stats.stats.min, 1)
    benchmark.extra_info["bytes_per_page"] = round(len(pdf) / pages)


@pytest.mark.benchmark(group="class set, every lesson")
@pytest.mark.parametrize("slug", lessons())
def test_class_set_of_thirty(benchmark: Any, slug: str) -> None:
    exercise = exercises.load(slug, ROOT)
    key, body = keys.load(exercise, ROOT), worksheets.body(exercise)
    rounds = itertools.count()

    def unseen() -> Any:
        secret = f"round {next(rounds)}".encode()
        ids = [f"bench-{i:02}" for i in range(1, STUDENTS + 1)]
        numbers = [own_numbers.draw(exercise, key, secret, i) for i in ids]
        return (
            body,
            [worksheets.copy(exercise, i, i, n) for i, n in zip(ids, numbers, strict=True)],
        ), {}

    pdf = benchmark.pedantic(worksheet.pdf, setup=unseen, rounds=3)
    note(benchmark, pdf)


def fresh() -> tuple[tuple[Build], dict[str, Any]]:
    """A frame that no run has worked out yet, and no page kept from a run before."""
    page.forget()
    return (frame_file.build(builds.tables()),), {}


KINDS = {
    "templates": templates.pdf,
    "tiles": tiles.pdf,
    "dossier": lambda own: dossier.pdf(own, ROOT),
    "large page": lambda own: fullsize.pdf(own, "roll"),
}


@pytest.mark.benchmark(group="one frame")
@pytest.mark.parametrize("kind", KINDS)
def test_paper_of_one_frame(benchmark: Any, kind: str) -> None:
    pdf = benchmark.pedantic(KINDS[kind], setup=fresh, rounds=5)
    note(benchmark, pdf)


@pytest.mark.benchmark(group="one frame")
def test_dxf_of_one_frame(benchmark: Any) -> None:
    assert "EOF" in benchmark.pedantic(dxf.drawing, setup=fresh, rounds=5)


@pytest.mark.benchmark(group="one frame")
def test_peer_tiles_with_matplotlib(benchmark: Any) -> None:
    """The peer: the same tiles' strokes and words, without tags, bookmarks or a key map."""
    pdf = benchmark.pedantic(drawn, setup=fresh, rounds=3)
    note(benchmark, pdf)


def drawn(own: Build) -> bytes:
    """The tiles as matplotlib draws them."""
    scene, grid, file = fullsize.scene(own), tiles.grid(own), io.BytesIO()
    with PdfPages(file) as pages:
        for column, row in itertools.product(range(grid.columns), range(grid.rows)):
            left, bottom, right, top = grid.pane(column, row)
            figure = Figure(figsize=((right - left) / 25.4, (top - bottom) / 25.4))
            FigureCanvasPdf(figure)
            axes = figure.add_axes((0, 0, 1, 1))
            axes.set(xlim=(left, right), ylim=(bottom, top))
            axes.axis("off")
            for part in tiles._shown(scene, (left, bottom, right, top)):
                add(axes, part)
            pages.savefig(figure)
    return file.getvalue()


def add(axes: Any, part: Any) -> None:
    if isinstance(part, Stroke):
        axes.plot(*zip(part.start, part.end, strict=True), "k-", lw=0.5)
    elif isinstance(part, Path):
        axes.plot(*zip(*part.points, strict=True), "k-", lw=1.4)
    elif isinstance(part, Words):
        axes.text(*part.at, part.text, fontsize=12, rotation=part.turned_deg, clip_on=True)
    elif isinstance(part, Arc):
        _, curves = flat.bends(part)
        axes.plot(*zip(*(c[2] for c in curves), strict=True), "k-", lw=0.5)


def test_peer_and_kit_draw_the_same_tiles() -> None:
    own = builds.example()
    cells = tiles.grid(own).columns * tiles.grid(own).rows
    assert len(paper.pages(drawn(own))) == cells
    assert len(paper.pages(tiles.pdf(own))) - 1 <= cells
