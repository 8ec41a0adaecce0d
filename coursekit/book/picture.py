"""A slider figure as one still picture, such as the one in the README."""

from __future__ import annotations

from html import escape

from coursekit.book.slider import Slider


def svg(slider: Slider) -> str:
    """Return the default state of `slider` as an SVG file of its own, black on white, in mm."""
    size = f'width="{slider.width:g}mm" height="{slider.height:g}mm"'
    box = f'viewBox="0 0 {slider.width:g} {slider.height:g}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="img" color="#222" '
        f'font-family="sans-serif"><title>{escape(slider.alt)}</title>'
        f'<rect width="100%" height="100%" fill="#fff"/>{slider.still}'
        f"{slider.states[slider.default].svg}</svg>\n"
    )
