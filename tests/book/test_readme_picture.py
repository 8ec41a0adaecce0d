"""The one made file under version control is what the kit makes."""

from __future__ import annotations

from xml.etree import ElementTree

from coursekit.book.picture import svg
from coursekit.book.slider import slider

# write it again: uv run python -m tests.book.test_readme_picture
PICTURE = "course/images/saddle.svg"


def test_picture_is_what_the_kit_draws(root):
    assert (root / PICTURE).read_text(encoding="utf-8") == svg(slider("miter-angles/angle"))


def test_picture_is_a_drawing_with_a_name(root):
    picture = ElementTree.parse(root / PICTURE).getroot()
    assert picture.tag == "{http://www.w3.org/2000/svg}svg"
    assert "side view" in picture.find("{http://www.w3.org/2000/svg}title").text
    assert f"({PICTURE})" in (root / "README.md").read_text(encoding="utf-8")


if __name__ == "__main__":
    from pathlib import Path

    path = Path(__file__).resolve().parents[2] / PICTURE
    path.parent.mkdir(exist_ok=True)
    path.write_text(svg(slider("miter-angles/angle")), encoding="utf-8")
