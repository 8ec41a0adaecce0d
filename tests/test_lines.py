"""Lines, signs and words of a joint mean the same on every page and sheet: what can be seen in their text.

The rule is the one of `course/notation.md`: 0° underside or rear, 90° drive side, 180° upper side or front,
270° non-drive side; sideways positive to the drive side; obtuse, acute and flank never with degrees of a line;
an ear is not the point that reaches farthest, and a finished length is not from ear to ear.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from coursekit import alignment, dropouts, pieces, tacks
from coursekit.figures import lines_and_signs, tack_order
from coursekit.sheets import cards
from tests.lessons.figure_words import troubles
from tests.sheets import builds, paper

OWN_PHI = (
    "coursekit/miters/"  # φ of the saddle counts from the obtuse corner, inside this package alone
)

RIGHT = {
    "0": ("underside", "rear", "the back"),
    "90": ("drive side",),
    "180": ("upper side", "top", "front"),
    "270": ("non-drive side",),
    "360": ("underside", "rear", "the back"),
}
LINE = r"(?<![\d.,·/−-])(0|90|180|270|360)(?:°| degrees)"
PLACE = (
    r"(non-drive side|drive side|underside|under\b|upper side|rear\b|the back\b|front\b|top\b"
    r"|flanks?\b|obtuse|acute)"
)
LINK = r"(?:[\s,:(]|\b(?:is|are|at|the|to|toward|in|on|line|its|points?|runs|side|corner)\b){1,24}?"
AFTER = re.compile(LINE + LINK + PLACE)
BEFORE = re.compile(PLACE + LINK + LINE)
SIGNS = (
    r"non-drive side (?:counts )?positive",
    r"positive to(?:ward)? the (?:non-drive|other) side",
    r"\+ \(to the non-drive side\)",
    r"so does the non-drive side",
    r"two directions are positive, to the front and to the non-drive side",
    r"front positive",
    r"forward counts positive",
    r"in plane is positive toward the front",
    r"in plane \+ \(to the front\)",
)
WORDS = (
    r"\bears? to ears?\b",
    r"finished [^.()=]{0,60}\bears\b",
    r"\bears?\b[^.]{0,40}\b(?:nearest|f[ua]rthest)",
    r"(?:nearest|f[ua]rthest)[^.]{0,30}\bears?\b",
)


def contradictions(text: str) -> Iterator[str]:
    """What a text says against the rule."""
    text = re.sub(r"\{\w+\}`([^`<]*?)(?: ?<[^>]*>)?`", r"\1", text)  # {term}`ears <ear>` is a word
    text = re.sub(r"\\n|[*`_\"]", " ", text)
    text = re.sub(r"\s+", " ", re.sub(r"^\s*[#%>]*", "", text, flags=re.MULTILINE))
    text = re.sub(r" ([,.;:])", r"\1", text)
    for found in AFTER.finditer(text):
        if found[2] not in RIGHT[found[1]]:
            yield found[0]
    # a place that belongs to the degrees before it says nothing about those after it
    rest = AFTER.sub(" ; ", text)
    for found in BEFORE.finditer(rest):
        if found[1] not in RIGHT[found[2]]:
            yield found[0]
    for pattern in (*SIGNS, *WORDS):
        yield from (found[0] for found in re.finditer(pattern, text, flags=re.IGNORECASE))


def texts(root: Path) -> dict[str, str]:
    """Every page, exercise, solution, sheet, figure and module, by its path."""
    places = (("course", "*.md"), ("course", "images/*.svg"), ("exercises", "*.md"), ("solutions", "*"), ("coursekit", "**/*.py"),
              ("coursekit", "**/*.typ"), ("coursekit", "**/*.j2"))  # fmt: skip
    files = [
        f for folder, names in places for f in sorted((root / folder).glob(names)) if f.is_file()
    ]
    return {str(f.relative_to(root)): f.read_text("utf-8") for f in files if f.suffix != ".pyc"}


def test_no_page_and_no_sheet_contradicts_the_lines(root: Path) -> None:
    found = {
        name: list(contradictions(text))
        for name, text in texts(root).items()
        if not name.startswith(OWN_PHI)
    }
    assert len(found) > 300
    wrong = {name: said for name, said in found.items() if said}
    assert wrong == {}


@pytest.mark.parametrize(
    "text",
    [
        "0° is the front of the bicycle.",
        "From there: 90° is the {term}`non-drive side`, and so on.",
        "**0° is toward the front**, 90° the drive side",
        '(90, 25, "90°, non-drive side")',
        "| obtuse side, 0° | 11.3 mm |",
        "the line in the **acute** corner (180°)",
        "The line in the obtuse corner is\nthe 0° line",
        "on the flank (90°)",
        "so its 0° line is the top.",
        "Mark 0° on top.",
        "The non-drive side, 90°: the third tack",
        '"0°\\ntop"',
        "across, non-drive side positive",
        "front positive",
        "Forward counts\npositive, and so does the non-drive side.",
        "the finished tube from {term}`ears <ear>` to ears",
        "ears to ears",
        "The ears are the points nearest to that axis.",
        "On 90°, the flank, it touches.",
    ],
)
def test_a_contradiction_is_seen(text: str) -> None:
    assert list(contradictions(text)), text


@pytest.mark.parametrize(
    "text",
    [
        "0° the underside, 90° the drive side, 180° the upper side, 270° the non-drive side",
        "0° is the rear and 180° the front; the drive side is at 90°.",
        "At the shell the axes meet at 90°, so obtuse and acute don't matter.",
        "the acute corner; 90° is square",
        "180° − 73° = 107° on the obtuse side",
        "the height with the non-drive side up is not the same",
        "An ear lies on the flank.",
        "Across: + toward 90°, the *drive side*.",
    ],
)
def test_what_agrees_is_left_alone(text: str) -> None:
    assert list(contradictions(text)) == [], text


# ---- the picture of the page on symbols ------------------------------------------------------------


@pytest.mark.parametrize("draw", ["lines", "ends", "joint"])
def test_words_of_the_picture_can_be_read(draw: str) -> None:
    assert troubles(getattr(lines_and_signs, draw)()) == []


def test_picture_has_the_lines_where_the_tubes_have_them() -> None:
    """Seen from behind, the drive side (z) to the right and y up; from above, x up the page."""
    lies, stands = lines_and_signs.lines().axes
    for axes, name, up in ((lies, "down_tube", 1), (stands, "seat_tube", 0)):
        piece = builds.example().pieces[name]
        shown = {t.get_text(): np.array(t.get_position()) for t in axes.texts}
        for k, place in enumerate(piece.lines):
            turn = np.radians(90 * k)
            out = np.cos(turn) * piece.zero + np.sin(turn) * piece.ninety
            (words,) = [
                at for text, at in shown.items() if text.split() == f"{90 * k}° {place}".split()
            ]
            way = np.array([out[2], out[up]])
            assert words @ way > 0.8 * np.linalg.norm(words) * np.linalg.norm(way)
        assert shown["+"][0] > 0 > shown["−"][0]


def test_picture_translates_phi_as_the_down_tube_is_cut() -> None:
    """`miters` counts φ from the obtuse line, counter-clockwise from the far end, here end a."""
    _, ring = lines_and_signs.joint().axes
    piece = builds.example().pieces["down_tube"]
    assert piece.hand == -1  # its degrees count counter-clockwise from end a too
    obtuse = piece.b.joints[0].turned_deg
    inside = {t.get_text(): np.array(t.get_position()) for t in ring.texts}
    for k in range(4):
        outer = next(at for text, at in inside.items() if text.startswith(f"{90 * k}°\n"))
        inner = inside[f"{round(90 * k - obtuse) % 360}°"]
        assert outer @ inner > 0.95 * np.linalg.norm(outer) * np.linalg.norm(inner)
    assert pieces.LYING[round(obtuse) // 90] == "upper side"


# ---- one order of joints, one sign sideways -------------------------------------------------------


def test_lesson_and_figure_number_the_joints_in_the_one_order(root: Path) -> None:
    """The figure's alt text says which joint each number is; the triangle comes before the stays."""
    page = (root / "course/tack-order.md").read_text("utf-8")
    alt = re.search(r"joints numbered\. ([^\"]*)", page)[1]
    triangle = [joint for joint in tacks.JOINTS if "stay" not in joint[0]]
    assert tacks.JOINTS[: len(triangle)] == tuple(triangle)
    assert [t.get_text() for t in tack_order.joints().axes[0].texts][:5] == list("12345")
    said = (
        "1: seat tube into the shell, marked as the datum",
        "2: top tube to the seat tube",
        "3: down tube to the shell",
        "4 and 5: down tube and top tube to the head tube, the closing joints",
    )
    assert all(words in alt for words in said), alt
    told = ["seat", "shell", "top", "seat", "down", "shell", "down", "head", "top", "head"]
    assert [part.split("_")[0] for joint in triangle for part in joint] == told


def test_alignment_card_works_to_the_drive_side() -> None:
    """The card's own formulas on a tube 1 mm to the drive side, as `alignment` and `dropouts` have it."""
    (on,) = paper.pages(cards.pdf(builds.example(), "alignment"))
    text = paper.text(on)
    for words in ("a: drive side up", "b: drive side down", "(a − b) / 2, + drive side",
                  "off centre: (drive − other) / 2", "+ is toward the drive side"):  # fmt: skip
        assert words in text
    up, down = 50.0 + 1.0, 50.0 - 1.0  # with the drive side up the tube stands higher
    line = alignment.line([0.0, 100.0, 200.0], [up] * 3, [down] * 3)
    assert line.offset == pytest.approx((up - down) / 2)
    assert line.offset > 0
    drive, other = 66.0, 64.0
    assert dropouts.centre(drive, other).off_centre == (drive - other) / 2 == 1.0
