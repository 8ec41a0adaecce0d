"""The gate of the bench form: codes, waits and limits, on a clock of the test's own."""

from __future__ import annotations

import re

import pytest

from coursekit.classroom.form import gate as gates
from coursekit.classroom.form.gate import ALL_TRIES, TRIES, DoorError, Gate


class Clock:
    now = 1000.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def told():
    return []


@pytest.fixture
def gate(clock, told):
    return Gate(True, told.append, clock)


def wrong(gate, address="10.0.0.9"):
    with pytest.raises(DoorError) as said:
        gate.enter("000000" if gate.code != "000000" else "111111", address)
    return str(said.value)


def test_a_code_lets_one_in_once(gate, told):
    first = gate.code
    assert re.fullmatch(r"[0-9A-HJKMNP-TV-Z]{6}", first)
    assert told == []
    gate.enter(f" {first[:3].lower()}-{first[3:]} ", "10.0.0.2")
    assert told == [gate.code]
    assert gate.code != first
    with pytest.raises(DoorError, match="each opens the form once"):
        gate.enter(first, "10.0.0.3")


@pytest.mark.parametrize("typed", ["", " ", "0" * 5, "0" * 7, "💥", "\0", "a" * 10_000])
def test_no_other_word_opens(gate, typed):
    gate.code = "7KQ2MX"
    with pytest.raises(DoorError):
        gate.enter(typed, "10.0.0.2")


def test_letters_that_are_never_used_count_as_the_digits_they_look_like(gate):
    gate.code = "01Q2MX"
    gate.enter("oiq2mx", "10.0.0.2")
    assert gate.code != "01Q2MX", "used up"


def test_after_five_wrong_codes_an_address_waits_and_the_right_code_does_not_help(gate, clock):
    for _ in range(TRIES):
        assert wrong(gate).startswith("The code must be the one")
    with pytest.raises(DoorError, match="shut for 1 minute after too many wrong codes"):
        gate.enter(gate.code, "10.0.0.9")
    clock.now += 59
    with pytest.raises(DoorError, match="shut"):
        gate.enter(gate.code, "10.0.0.9")
    code = gate.code
    gate.enter(code, "10.0.0.2")
    assert gate.code != code, "others may come in"
    clock.now += 2
    for _ in range(TRIES):
        wrong(gate)
    with pytest.raises(DoorError, match="shut for 2 minutes"):
        gate.enter(gate.code, "10.0.0.9")
    for turn in range(8):
        clock.now += 16 * 60
        for _ in range(TRIES):
            wrong(gate, "10.0.0.9" if turn % 2 else "10.0.0.8")
    with pytest.raises(DoorError, match="shut for 15 minutes"):
        gate.enter(gate.code, "10.0.0.9")


def test_guessing_from_many_addresses_changes_the_code(gate, told):
    first = gate.code
    for i in range(ALL_TRIES):
        wrong(gate, f"10.0.1.{i}")
    assert told == [gate.code]
    assert gate.code != first


def test_what_is_remembered_is_bounded(gate):
    for i in range(3000):
        wrong(gate, f"address-{i}")
        gate.may_ask(f"address-{i}")
    assert len(gate._records) <= gates.MOST_ADDRESSES + 1
    assert len(gate._buckets) <= gates.MOST_ADDRESSES + 1


def test_requests_are_counted_by_session_else_by_address(gate, clock):
    many = int(gates.STRANGER[0])
    assert [gate.may_ask("10.0.0.9") for _ in range(many + 5)] == [True] * many + [False] * 5
    assert gate.may_ask("10.0.0.9", "a session"), "a flood of strangers does not stop a guest"
    clock.now += 1
    again = sum(gate.may_ask("10.0.0.9") for _ in range(many))
    assert again == int(gates.STRANGER[1])
