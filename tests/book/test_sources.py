"""The page of sources: every entry is whole, stands alone, and names its edition where it is a table's."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from tests.conftest import ROOT

TEXT = (ROOT / "course" / "sources.md").read_text(encoding="utf-8")
BLOCKS = [b for b in re.split(r"\n{2,}", TEXT.strip()) if "\n: " in b]


def test_every_entry_is_a_source_and_what_it_is_for() -> None:
    """One line that names the source, one that begins with a colon, others indented below it."""
    assert len(BLOCKS) > 40
    for block in BLOCKS:
        name, used, *more = block.splitlines()
        assert not name.startswith((":", " ")), block
        assert used.startswith(": "), block
        assert all(line.startswith("  ") for line in more), block
        assert block.rstrip().endswith("."), block


def test_no_line_is_said_twice() -> None:
    lines = Counter(line.strip() for block in BLOCKS for line in block.splitlines()[1:])
    assert [line for line, times in lines.items() if times > 1] == []


@pytest.mark.parametrize(
    ("source", "says"),
    [
        ("Machinery's Handbook, 31st edition, 2020", "follow AWS A5.8-1981"),
        ("AWS A5.31-92", "from memory"),
        ("MIL-T-6736B", "517 and 655 MPa"),
    ],
)
def test_tables_of_filler_flux_and_steel_name_their_edition(source: str, says: str) -> None:
    (block,) = [b for b in BLOCKS if b.startswith(source)]
    assert says in " ".join(block.split())
