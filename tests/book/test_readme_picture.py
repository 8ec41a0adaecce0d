"""The one made file under version control, a slider figure as a still picture, is up to date."""

from __future__ import annotations

from html import escape
from pathlib import Path
from xml.etree import ElementTree

from coursekit.book.slider import Slider, slider

# write it again: uv run python -m tests.book.test_readme_picture
PICTURE = "course/images/saddle.svg"


def svg(figure: Slider) -> str:
    """Return the default state of a slider figure as an SVG file, black on white, in mm."""
    size = f'width="{figure.width:g}mm" height="{figure.height:g}mm"'
    box = f'viewBox="0 0 {figure.width:g} {figure.height:g}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="img" color="#222" '
        f'font-family="sans-serif"><title>{escape(figure.alt)}</title>'
        f'<rect width="100%" height="100%" fill="#fff"/>{figure.still}'
        f"{figure.states[figure.default].svg}</svg>\n"
    )


def test_picture_is_what_the_kit_draws(root):
    assert (root / PICTURE).read_text(encoding="utf-8") == svg(slider("miter-angles/angle"))


def test_picture_is_a_drawing_with_a_name(root):
    picture = ElementTree.parse(root / PICTURE).getroot()
    assert picture.tag == "{http://www.w3.org/2000/svg}svg"
    assert "side view" in picture.find("{http://www.w3.org/2000/svg}title").text
    assert f"({PICTURE})" in (root / "README.md").read_text(encoding="utf-8")


if __name__ == "__main__":
    path = Path(__file__).resolve().parents[2] / PICTURE
    path.parent.mkdir(exist_ok=True)
    path.write_text(svg(slider("miter-angles/angle")), encoding="utf-8")
