"""The full-size drawing in tiles for a desk printer, with a key map."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from math import ceil
from typing import Any

from coursekit.sheets import bench, flat, fullsize, page
from coursekit.sheets.build import Build
from coursekit.sheets.scene import Box, Part, box_of, overlap

BARE = 10.0  # bare paper round what a tile shows, its pane, mm
LAP = 10.0  # neighbouring panes overlap by, mm
STRIP = 9.0  # below the pane for the tile's name and what to do, mm
KEY_WIDE, KEY_HIGH = 176.0, 150.0  # room for the key map, mm


@dataclass(frozen=True)
class Grid:
    """How a drawing is cut up into `columns` × `rows` tiles.

    The crosses stand `across` and `up` mm apart; `left` and `top` are the scene's x and y of the
    upper left one. `landscape` says whether pages lie on their side.
    """

    left: float
    top: float
    across: float
    up: float
    columns: int
    rows: int
    landscape: bool

    def pane(self, column: int, row: int) -> Box:
        """What a tile shows of the scene, its pane: its cell and half the lap on every side."""
        left, top = self.left + column * self.across, self.top - row * self.up
        half = LAP / 2
        return left - half, top - self.up - half, left + self.across + half, top + half


def grid(build: Build, paper: page.Sheet = "a4") -> Grid:
    """The grid with the fewest tiles, whether pages stand upright or lie on their side."""
    both = (_grid(_room(build), paper, lying) for lying in (False, True))
    return min(both, key=lambda g: (g.columns * g.rows, g.landscape))


def _room(build: Build) -> Box:
    return flat.room(fullsize.scene(build))


def _grid(box: Box, paper: page.Sheet, landscape: bool) -> Grid:
    wide, high = page.any_size(paper)[::-1] if landscape else page.any_size(paper)
    across = (wide - 2 * BARE - LAP) // 5 * 5
    up = (high - 2 * BARE - LAP - STRIP) // 5 * 5
    columns, rows = ceil((box[2] - box[0]) / across), ceil((box[3] - box[1]) / up)
    left, top = (box[0] + box[2] - columns * across) / 2, (box[1] + box[3] + rows * up) / 2
    return Grid(left, top, across, up, columns, rows, landscape)


def name_of(column: int, row: int) -> str:
    """The name of a tile: its row's letter and its column's number.

    Examples
    --------
    >>> name_of(0, 0), name_of(4, 2)
    ('A1', 'C5')
    """
    return f"{chr(ord('A') + row)}{column + 1}"


def parts(build: Build, paper: page.Sheet = "a4") -> list[dict[str, Any]]:
    """Page data of the key map and of every tile with something on it, for `bench.pdf`."""
    own, scene = grid(build, paper), fullsize.scene(build)
    tiles = []
    for row in range(own.rows):
        for column in range(own.columns):
            if shown := _shown(scene, own.pane(column, row)):
                tiles.append(_tile(own, column, row, shown))
    neighbours = {t["name"] for t in tiles}
    for tile in tiles:
        tile["beside"] = {w: n if n in neighbours else "" for w, n in tile["beside"].items()}
    return [_key(build, own, scene, tiles), *tiles]


def _shown(scene: list[Part], pane: Box) -> list[Part]:
    return [p for p in scene if overlap(box_of(p), pane)]


def _tile(own: Grid, column: int, row: int, shown: list[Part]) -> dict[str, Any]:
    pane = own.pane(column, row)
    beside = {
        "left": (column - 1, row),
        "right": (column + 1, row),
        "above": (column, row - 1),
        "below": (column, row + 1),
    }
    return {
        "kind": "tile",
        "name": name_of(column, row),
        "column": column,
        "row": row,
        "landscape": own.landscape,
        "bare": BARE,
        "lap": LAP,
        "across": own.across,
        "up": own.up,
        "beside": {w: name_of(*at) if min(at) >= 0 else "" for w, at in beside.items()},
        "items": flat.laid(shown, (pane[0], pane[3])),
    }


def _key(build: Build, own: Grid, scene: list[Part], tiles: list[dict[str, Any]]) -> dict[str, Any]:
    """The whole drawing small, with the tiles' cells and names over it."""
    wide, high = own.columns * own.across, own.rows * own.up
    scale = min(KEY_WIDE / wide, KEY_HIGH / high)
    lines = [p for p in scene if getattr(p, "layer", "") in ("outline", "sheet", "point")]
    return {
        "kind": "key-map",
        "scale": scale,
        "grid": asdict(own),
        "wide": wide * scale,
        "high": high * scale,
        "tiles": [{"name": t["name"], "column": t["column"], "row": t["row"]} for t in tiles],
        "items": [flat.small(i, scale) for i in flat.laid(lines, (own.left, own.top))],
        "layers": flat.layers(),
    }


def pdf(build: Build, paper: page.Sheet = "a4", two_sided: bool = False) -> bytes:
    """The full-size drawing in tiles, the key map first; in two-sided print with bare backs."""
    return bench.pdf(build, "full-size drawing in tiles", parts(build, paper), paper, two_sided)
