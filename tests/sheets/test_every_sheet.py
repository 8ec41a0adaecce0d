"""What holds of every PDF that is printed: tagged, titled, searchable, dark enough, any name, the dossier."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from coursekit import frame
from coursekit.sheets import cards, dossier, frame_file, fullsize, page, templates, tiles
from coursekit.sheets.build import Build
from tests.conftest import ROOT
from tests.sheets import builds, paper
from tests.sheets.conftest import Made

MAKERS: dict[str, Callable[[Build], bytes]] = {
    "templates": templates.pdf,
    "tiles": tiles.pdf,
    "roll": lambda b: fullsize.pdf(b, "roll"),
    "cut-list": lambda b: cards.pdf(b, "cut-list"),
    "fixture": lambda b: cards.pdf(b, "fixture"),
    "tacks": lambda b: cards.pdf(b, "tacks"),
    "alignment": lambda b: cards.pdf(b, "alignment"),
    "dossier": lambda b: dossier.pdf(b, ROOT, with_tiles=False),
}
NAMES = [
    "学生一号", "طالب رقم واحد", "विद्यार्थी एक", "תלמיד אחד", "Μαθητής Ένα", "Ученик Первый",
    "Øyvør Ĳßẞ ñçğő", "#panic() $x$ @ref <b>", "W" * 60, "a very long name " * 3 + "indeed so",
    "a\x00b\x07\u202ec\nd\ud800", "",
]  # fmt: skip
QUICK = ("Ученик Первый", "#panic() $x$ @ref <b>", "W" * 60)  # the others are set alike


@cache
def made(kind: str) -> bytes:
    return MAKERS[kind](builds.example())


def catalog(pdf: bytes) -> tuple[dict[str, Any], dict[str, Any]]:
    opened = pdfplumber.open(io.BytesIO(pdf))
    return opened.doc.catalog, opened.metadata


def assert_fit_for_a_screen_reader(pdf: bytes) -> None:
    root, facts = catalog(pdf)
    assert root["MarkInfo"]["Marked"]
    assert "StructTreeRoot" in root
    assert root["Lang"] in (b"en", "en")
    assert facts["Title"]
    assert b"pdfuaid" in pdf  # it claims PDF/UA-1, which the page setter has checked


@pytest.mark.parametrize("kind", MAKERS)
def test_pdf_is_tagged_titled_and_claims_the_standard(kind: str) -> None:
    assert_fit_for_a_screen_reader(made(kind))
    assert "Example frame" in catalog(made(kind))[1]["Title"]


def test_worksheets_key_and_safety_card_are_too(made_class: dict[str, bytes]) -> None:
    for pdf in made_class.values():
        assert_fit_for_a_screen_reader(pdf)


@pytest.fixture(scope="module")
def made_class(made: Made) -> dict[str, bytes]:
    return {
        "a4": made.pdf("a4", "bench-02").read_bytes(),
        "letter": made.pdf("us-letter", "blank").read_bytes(),
        "key": (made.folder / "answer-key" / "miter-angles-a4.pdf").read_bytes(),
        "safety": cards.safety(ROOT),
    }


def brightness(colour: Any) -> float:
    """0 black to 1 white, of a PDF's grey or red-green-blue."""
    parts = list(colour) if isinstance(colour, list | tuple) else [colour]
    return float(sum(parts) / len(parts))


@pytest.mark.parametrize("kind", MAKERS)
def test_words_are_dark_enough_in_grey(kind: str) -> None:
    """WCAG 2.1, 1.4.3 asks for 4.5 : 1; on white a grey of 0.46 and darker has that."""
    for on in paper.pages(made(kind)):
        for c in on.chars:
            grey = brightness(c["non_stroking_color"])
            assert grey <= 0.46 or grey == 1.0, (c["text"], grey)


@pytest.mark.parametrize("kind", [k for k in MAKERS if k != "roll"])
def test_words_are_large_enough_to_read(kind: str) -> None:
    """Nothing below 5 pt, little below 7; a narrow strip sets the limit."""
    sizes = [
        c["size"]
        for on in paper.pages(made(kind))
        for c in on.chars
        if c["text"].strip() and c["matrix"][1] == 0  # of turned words the size says nothing
    ]
    assert min(sizes) > 5
    assert sum(s < 6.4 for s in sizes) < 0.1 * len(sizes)


@pytest.mark.parametrize(
    "name",
    [n if n in QUICK else pytest.param(n, marks=pytest.mark.slow) for n in NAMES],
)
def test_any_name_makes_correct_pages(name: str, tmp_path: Path) -> None:
    build = builds.named(name, name)
    for kind in ("templates", "fixture"):
        pdf = MAKERS[kind](build)
        assert len(paper.pages(pdf)) == len(paper.pages(made(kind))), kind
        for on in paper.pages(pdf):
            assert build.version in paper.text(on)
    for on in paper.pages(MAKERS["cut-list"](build)):
        assert all(
            c["x0"] * paper.MM > 6 and c["x1"] * paper.MM < on.width * paper.MM - 6
            for c in on.chars
        )
    builds.assert_ink_keeps_off_the_edge(MAKERS["templates"](build), tmp_path, dpi=40)


@pytest.mark.parametrize("name", ["טالب 1", "W" * 60])
def test_dossier_and_tiles_of_an_odd_name_have_as_many_pages(name: str) -> None:
    build = builds.named(name, name)
    for kind in ("tiles", "dossier"):
        pages = paper.pages(MAKERS[kind](build))
        assert len(pages) == len(paper.pages(made(kind)))
        assert build.version in paper.text(pages[2])


def test_markup_in_a_name_is_printed_as_it_stands() -> None:
    text = paper.text(paper.pages(MAKERS["fixture"](builds.named("#panic() @x <b>")))[0])
    assert "#panic()" in text


# ---- the dossier --------------------------------------------------------------------------------


@cache
def whole(with_tiles: bool = True, two_sided: bool = False) -> bytes:
    return dossier.pdf(builds.example(), ROOT, with_tiles=with_tiles, two_sided=two_sided)


def test_dossier_holds_everything_in_order() -> None:
    opened = pdfplumber.open(io.BytesIO(whole()))
    titles = [o[1] for o in opened.doc.get_outlines() if o[0] == 1]
    assert titles == [
        "Dossier", "Safety", "Fixture card", "Cut list",
        *(f"Wrap template: {templates.SAYS[n]}" for n in templates.mitered(builds.example())),
        "Tack card", "Alignment record", "Full-size drawing: key map",
    ]  # fmt: skip
    tiles_in = [p for p in paper.pages(whole()) if re.search("cross to cross [0-9]", paper.text(p))]
    key_map = next(p for p in paper.pages(whole()) if "key map" in paper.text(p))
    assert len(tiles_in) == len(tiles.parts(builds.example())) - 1
    assert f"Print all {len(tiles_in)} tiles" in paper.text(key_map)


def test_printed_on_one_side_no_page_is_empty() -> None:
    assert not any(is_empty(on) for on in paper.pages(whole()))


def is_empty(on: Any) -> bool:
    """Whether a page holds at most its foot."""
    return not on.curves and not on.lines and all(c["top"] > on.height - 60 for c in on.chars)


def test_on_two_sides_what_is_cut_out_lies_on_a_front_with_a_bare_back() -> None:
    pages = paper.pages(whole(two_sided=True))
    cut_out = [
        i for i, p in enumerate(pages) if re.search("CUT AWAY|cross to cross [0-9]", paper.text(p))
    ]
    assert len(cut_out) > 20
    assert all(i % 2 == 0 for i in cut_out)
    bare = {i for i, on in enumerate(pages) if is_empty(on)}
    assert bare <= {i + 1 for i in cut_out} | {i - 1 for i in cut_out}
    for i in cut_out:
        if i + 1 < len(pages):
            back = pages[i + 1]
            assert not back.curves, i
            assert all(c["top"] > back.height - 60 for c in back.chars), i


def test_cover_gives_every_driving_dimension() -> None:
    text = paper.text(paper.pages(whole(False))[0])
    for said in ("seat angle 73°", "chainstay 425 mm", "front centre 595 mm", "fork offset 45 mm",
                 "trail 60.0", "certifies a frame"):  # fmt: skip
        assert said in text


def test_cover_calls_driving_what_was_given_and_nothing_else() -> None:
    """The example's frame given by trail and reach; a shop draws from what the rider asked for."""
    own = builds.example().frame
    data = builds.tables()
    given = {
        n: v for n, v in data["drawing"].items() if n not in ("head_angle_deg", "front_centre")
    }
    data["drawing"] = given | {"trail": round(own.trail, 3), "reach": round(own.reach, 3)}
    cover = dossier.cover(frame_file.build(data))
    driving, following = dict(cover["driving"]), dict(cover["following"])
    assert len(driving) == len(data["drawing"])
    assert driving["trail"] == f"{own.trail:.2f} mm"
    assert driving["wheels, radius"] == "340 mm"
    assert not driving.keys() & following.keys()
    assert (following["head angle"], following["front centre"]) == ("72.50°", "595.0")


def test_every_dimension_that_a_drawing_takes_has_a_name() -> None:
    assert dossier.SAID.keys() == set(frame.DIMENSIONS)


def test_small_drawing_on_the_cover_is_to_its_scale() -> None:
    on = paper.pages(whole(False))[0]
    scale = float(re.search(r"Scale 1 : ([0-9.]+)", paper.text(on))[1])
    shells = [c for c in on.curves if abs((c["x1"] - c["x0"]) * paper.MM - 40 / scale) < 0.01]
    assert len(shells) == 1


def test_dossier_keeps_its_ink_off_the_edge_on_letter(tmp_path: Path) -> None:
    pdf = dossier.pdf(builds.example(), ROOT, "us-letter", with_tiles=False)
    builds.assert_ink_keeps_off_the_edge(pdf, tmp_path, dpi=50)


def test_dossier_bytes_are_the_same_again() -> None:
    page.forget()
    again = dossier.pdf(frame_file.read(frame_file.EXAMPLE), ROOT)
    assert again == whole()


def test_dossier_refuses_a_frame_that_cannot_be_cut() -> None:
    data = builds.tables()
    data["tubes"]["seat_tube"] |= {"walls": [0.9, 0.6, 0.6], "lengths": [20, 40, 540, 0, 0]}
    with pytest.raises(ValueError, match="seat tube: The butt at end a must reach past its joint"):
        dossier.pdf(frame_file.build(data), ROOT)
