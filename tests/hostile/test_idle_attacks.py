"""No sheet of the table of idle attacks earns anyone more than the table says."""

from __future__ import annotations

import pytest

from coursekit.classroom.marking import marker

from . import idle_attacks


@pytest.mark.parametrize("name", idle_attacks.ATTACKS)
def test_an_idle_attack_earns_no_more_than_expected(name):
    attack = idle_attacks.ATTACKS[name]
    share, slug = idle_attacks.worst(attack)
    assert share <= attack.expected, slug


def test_without_the_company_rule_attacks_get_through(monkeypatch):
    monkeypatch.setattr(marker, "paid", lambda sheet, answered: answered.found)
    through = [
        name
        for name, attack in idle_attacks.ATTACKS.items()
        if idle_attacks.worst(attack)[0] > attack.expected
    ]
    assert {"0 everywhere", "given numbers of each question"} <= set(through)


def test_right_answers_earn_full_marks():
    """The table would also be green if the marker paid nothing at all."""
    for case in idle_attacks.cases():
        right = {id: list(v) if isinstance(v, tuple) else v for id, v in case.right.items()}
        share = idle_attacks.got(idle_attacks.Attack(lambda _, right=right: right, 1.0), case)
        written = sum(q.marks for q in case.exercise.graded if q.kind == "written")
        assert share == pytest.approx(1 - written / case.exercise.marks)
