"""What is on a printed page, measured in mm from its upper left corner."""

from __future__ import annotations

import io
import subprocess
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
from numpy.typing import NDArray

from tests.tools import need

MM = 25.4 / 72


@lru_cache(maxsize=16)
def pages(pdf: bytes) -> list[Any]:
    """Return the pages of a PDF as pdfplumber reads them; read once for all tests that look."""
    return pdfplumber.open(io.BytesIO(pdf)).pages


@lru_cache(maxsize=200)
def text(page: Any) -> str:
    """Return the text of a page."""
    return str(page.extract_text())


@dataclass(frozen=True)
class Segment:
    """A straight line and how thick it is drawn."""

    x0: float
    y0: float
    x1: float
    y1: float
    thickness: float
    dashed: bool

    @property
    def length(self) -> float:
        return float(np.hypot(self.x1 - self.x0, self.y1 - self.y0))


def segments(page: Any) -> list[Segment]:
    """Return all straight lines of a page, mm."""
    return [
        Segment(
            *(c * MM for c in (*line["pts"][0], *line["pts"][-1])),
            thickness=line["linewidth"] * MM,
            dashed=bool(line["dash"] and line["dash"][0]),
        )
        for line in page.lines
    ]


def polyline(page: Any, points: int) -> NDArray[np.float64]:
    """Return the one stroked curve of a page that has so many points, mm, shape (points, 2)."""
    (found,) = [c for c in page.curves if c["stroke"] and len(c["pts"]) == points]
    return np.array(found["pts"]) * MM


def boxes(page: Any) -> list[tuple[float, float, float]]:
    """Return width, height and thickness of the line, mm, of every round-cornered box."""
    return [
        ((c["x1"] - c["x0"]) * MM, (c["bottom"] - c["top"]) * MM, c["linewidth"] * MM)
        for c in page.curves
        if c["stroke"] and not c["fill"] and len(c["pts"]) == 9
    ]


def frames(page: Any) -> list[Any]:
    """Return the sharp-cornered outlines of a page."""
    return [r for r in page.rects if r["stroke"] and not r["fill"]]


def ink(pdf: Path, page: int, dpi: int) -> NDArray[np.uint8]:
    """Return a page as `pdftoppm` renders it: rows of grey values, 255 where the paper is bare."""
    made = subprocess.run(
        [need("pdftoppm"), "-r", str(dpi), "-f", str(page), "-l", str(page), "-gray", str(pdf)],
        capture_output=True,
        check=True,
    ).stdout
    kind, size, depth, rest = made.split(b"\n", 3)
    assert (kind, depth) == (b"P5", b"255")
    width, height = map(int, size.split())
    return np.frombuffer(rest, dtype=np.uint8).reshape(height, width)
