"""Students' numbers of each exercise are sound, by a look of their own, and few are redrawn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.bank.keys import Slip

from . import draws

SLUGS = exercises.slugs(draws.ROOT)


@pytest.mark.parametrize("slug", SLUGS)
def test_a_class_of_thirty(slug):
    exercise = exercises.load(slug, draws.ROOT)
    found = draws.tally(exercise, keys.load(exercise, draws.ROOT), 30)
    assert found.students == 30
    assert not found.unsound
    assert min(apart for apart, _ in found.nearest.values()) > 2


@pytest.mark.slow
@pytest.mark.parametrize("slug", SLUGS)
def test_two_hundred_students(slug):
    exercise = exercises.load(slug, draws.ROOT)
    found = draws.tally(exercise, keys.load(exercise, draws.ROOT), 200)
    assert found.students == 200
    assert not found.unsound
    # of 19,900 pairs: in a class of twelve two share theirs once in 75 times at most
    assert found.shared <= 4
    assert found.rate < 0.9  # the key's own conditions refuse much: a table of ranges is a box
    assert found.stands < 0.4 * found.students, found.why
    alike = found.raw - (found.students - found.stands) - found.again["the key refuses the case"]
    assert alike < 0.5 * found.raw, found.again  # values that marking could not tell apart
    assert min(apart for apart, _ in found.nearest.values()) > 2


def test_what_is_unsound_is_found(root, monkeypatch):
    """A slip that equals the answer is seen here even where `fault` lets it pass."""
    exercise = exercises.load("miter-angles", root)
    key = keys.load(exercise, root)
    same = Slip("same", lambda n: 90 - n.angle_deg, "Nothing.", 0.0)
    spoilt = replace(key, slips={**key.slips, "mill-setting": [same]})
    assert "question 'mill-setting': slip 'same' equals the right answer" in str(
        draws.own_numbers.fault(
            exercise, spoilt, draws.own_numbers._case(exercise, key, b"x", "y", 0)
        )
    )
    monkeypatch.setattr(draws.own_numbers, "fault", lambda *_: "")
    found = draws.tally(exercise, spoilt, 3)
    assert len(found.unsound) == 3
    assert found.nearest["mill-setting"] == (0.0, "the answer and same")


def test_the_table_says_what_was_found(capsys):
    assert draws.main(["20", "tack-order"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("tack-order: 20 students, ")
    assert "\n  0 of 190 pairs have the same numbers\n" in told
    assert "tolerances at least between" in told


def test_students_who_share_their_numbers_are_counted(root):
    exercise = exercises.load("tack-order", root)
    one = tuple(replace(q, values=(*q.values, 560.0)[:1], fact="") for q in exercise.quantities)
    key = keys.load(exercise, root)
    few = replace(key, conditions=[], makers={}, slips={id: [] for id in key.slips})
    assert draws.tally(replace(exercise, quantities=one), few, 4).shared == 6
