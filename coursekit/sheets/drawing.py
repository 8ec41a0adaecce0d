"""A drawing of a student's own case on the worksheet, to a stated scale."""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Mapping
from dataclasses import dataclass

WIDEST, TALLEST = 180.0, 200.0  # mm that a page has room for, on both papers


@dataclass(frozen=True)
class Drawing:
    """A drawing as it is printed.

    `say` is its heading, `scale` what stands below it ("1 : 5"); `width` and `height` are mm on
    paper. `svg` is a whole SVG document whose viewBox is `0 0 width height`, black on white, its
    text in the font-family "Libertinus Serif", which is inside typst: a bare machine has no other.

    Raises
    ------
    ValueError
        A drawing must fit its page, 180 × 200 mm; got 190 × 80 mm. Take a smaller scale.

    Examples
    --------
    >>> Drawing("Side view", "1 : 5", 190.0, 80.0, "<svg/>")
    Traceback (most recent call last):
    ValueError: A drawing must fit its page, 180 × 200 mm; got 190 × 80 mm. Take a smaller scale.
    """

    say: str
    scale: str
    width: float
    height: float
    svg: str

    def __post_init__(self) -> None:
        if not (0 < self.width <= WIDEST and 0 < self.height <= TALLEST):
            raise ValueError(
                f"A drawing must fit its page, {WIDEST:g} × {TALLEST:g} mm; got {self.width:g} × "
                f"{self.height:g} mm. Take a smaller scale."
            )


def of_lesson(slug: str, numbers: Mapping[str, float]) -> tuple[Drawing, ...]:
    """Return the drawing of the lesson's own module for these numbers; none where it has no module.

    Examples
    --------
    >>> of_lesson("no-such-lesson", {})
    ()
    """
    name = f"coursekit.sheets.drawings.{slug.replace('-', '_')}"
    if importlib.util.find_spec(name) is None:
        return ()
    drawn: Drawing = importlib.import_module(name).draw(numbers)
    return (drawn,)
