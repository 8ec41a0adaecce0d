"""Each line of the threat models names a test or an attack; it must be there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from coursekit import classroom, desk
from coursekit.classroom.running import cage

from . import attacks, class_attacks, intake_attacks

TESTS = Path(__file__).resolve().parent.parent
NAMES = {
    "attacks": {*attacks.FORGE, *attacks.TRY, *attacks.BREAK},
    "intake_attacks": {a.name for a in intake_attacks.ATTACKS},
    "class_attacks": {a.name for a in class_attacks.ATTACKS},
}
PAGES = (classroom.__doc__, cage.__doc__, desk.__doc__)


def named(page: str) -> list[str]:
    return [" ".join(found.split()) for found in re.findall(r"\[([^\]]+)\]", page)]


@pytest.mark.parametrize("page", PAGES, ids=["class", "cage", "desk"])
def test_every_line_names_a_test_that_is_there(page):
    found = named(page)
    assert len(found) > 14
    for one in found:
        if "::" in one:
            file, test = re.split(r"::\s*", one)
            assert f"def {test}(" in (TESTS / file).read_text(encoding="utf-8"), one
        else:
            table, name = one.split(": ", 1)
            assert name in NAMES[table], one


@pytest.mark.parametrize("page", PAGES, ids=["class", "cage", "desk"])
def test_what_holds_is_shown_line_by_line(page):
    held = page[page.index("off:") : page.index("What does not")]
    lines = re.split(r"\n- ", held)[1:]
    assert len(lines) > 8
    assert [line for line in lines if not named(line)] == []
