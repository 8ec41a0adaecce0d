"""The gate of the bench form: codes, waits and limits, on a clock of the test's own."""

from __future__ import annotations

import base64
import hashlib
import hmac
import re

import pytest

from coursekit.classroom.demo.invented_class import students
from coursekit.classroom.form import gate as gates
from coursekit.classroom.form.gate import ALL_TRIES, TRIES, DoorError, Gate
from coursekit.classroom.register import phone_code
from coursekit.classroom.register.class_folder import load, open_class
from coursekit.classroom.students import rename

CODES = {"7KQ2MX4D": "bench-01", "01Q2MX4D": "bench-02"}


class Clock:
    now = 1000.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def gate(clock):
    return Gate(CODES, clock)


def wrong(gate, address="10.0.0.9"):
    with pytest.raises(DoorError) as said:
        gate.enter("00000000", address)
    return str(said.value)


def test_a_code_opens_for_its_student_as_often_as_it_is_typed(gate):
    for _ in range(3):
        assert gate.enter("7KQ2MX4D", "10.0.0.2") == "bench-01"
    assert gate.enter(" 7kq2-mx4d ", "10.0.0.2") == "bench-01"
    assert gate.enter("oiq2-mx4d", "10.0.0.2") == "bench-02", "letters that are never used"


WORDS = [
    "", " ", "-", "0" * 7, "0" * 9, "💥", "\0", "a" * 10_000, "7KQ2MX4", "7KQ2MX4D7KQ2MX4D", "bench-01",
    "bench-99", "Bench 1", "bench-01/small/0f62a4/7K2M",
]  # fmt: skip


@pytest.mark.parametrize("typed", WORDS)
def test_no_other_word_opens_and_none_says_who_is_there(gate, typed):
    with pytest.raises(DoorError) as said:
        gate.enter(typed, "10.0.0.2")
    assert str(said.value) == wrong(gate, "10.0.0.3")


def test_without_codes_nothing_opens(clock):
    with pytest.raises(DoorError):
        Gate({}, clock).enter("", "10.0.0.2")


def test_after_five_wrong_codes_an_address_waits_and_the_right_code_does_not_help(gate, clock):
    for _ in range(TRIES):
        assert wrong(gate).startswith("The code must be the one")
    with pytest.raises(DoorError, match="shut for 1 minute after too many wrong codes"):
        gate.enter("7KQ2MX4D", "10.0.0.9")
    clock.now += 59
    with pytest.raises(DoorError, match="shut"):
        gate.enter("7KQ2MX4D", "10.0.0.9")
    assert gate.enter("7KQ2MX4D", "10.0.0.2") == "bench-01", "others may come in"
    clock.now += 2
    for _ in range(TRIES):
        wrong(gate)
    with pytest.raises(DoorError, match="shut for 2 minutes"):
        gate.enter("7KQ2MX4D", "10.0.0.9")
    for turn in range(8):
        clock.now += 16 * 60
        for _ in range(TRIES):
            wrong(gate, "10.0.0.9" if turn % 2 else "10.0.0.8")
    with pytest.raises(DoorError, match="shut for 15 minutes"):
        gate.enter("7KQ2MX4D", "10.0.0.9")


def test_a_right_code_forgives_the_slips_before_it(gate):
    for _ in range(3):
        for _ in range(TRIES - 1):
            wrong(gate)
        assert gate.enter("7KQ2MX4D", "10.0.0.9") == "bench-01"


def test_guessing_all_evening_from_everywhere_tries_few_codes(gate, clock):
    """A guess a millisecond, each from an address of its own; what was compared is counted."""
    compared = 0
    for i in range(20_000):
        compared += wrong(gate, f"10.{i // 65536}.{i // 256 % 256}.{i % 256}").startswith(
            "The code"
        )
        clock.now += 0.001
    most, rate = ALL_TRIES
    assert most <= compared <= most + rate * 20 + 1
    with pytest.raises(DoorError, match="shut for some seconds"):
        gate.enter("7KQ2MX4D", "10.9.9.9")
    clock.now += 1
    assert gate.enter("7KQ2MX4D", "10.9.9.9") == "bench-01"
    in_an_evening = most + rate * 4 * 3600
    assert in_an_evening * 60 / 2 ** (5 * phone_code.LENGTH) < 1 / 250_000


def test_what_is_remembered_is_bounded(gate):
    for i in range(3000):
        wrong(gate, f"address-{i}")
        gate.may_ask(f"address-{i}")
    assert len(gate._records) <= gates.MOST_ADDRESSES + 1
    assert len(gate._buckets) <= gates.MOST_ADDRESSES + 1


def test_a_student_s_code_comes_from_the_class_s_secret(tmp_path):
    """RFC 2104 and RFC 4648 by the standard library; base32 of other letters has the same bits."""
    folder = open_class(tmp_path / "class", students(300), "Evening")
    key = bytes.fromhex((folder.path / "secret").read_text())
    mac = hmac.new(key, b"\0phone\0bench-07", hashlib.sha256).digest()[:5]
    usual, ours = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567", "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    wanted = base64.b32encode(mac).decode().translate(str.maketrans(usual, ours))
    assert phone_code.phone_code(folder, "bench-07") == wanted
    found = phone_code.codes(folder)
    assert sorted(found.values()) == sorted(s.id for s in folder.students)
    assert all(re.fullmatch(r"[0-9A-HJKMNP-TV-Z]{8}", code) for code in found)
    other = open_class(tmp_path / "other", students(300), "Evening")
    assert not set(found) & set(phone_code.codes(other))


def test_a_student_keeps_the_code_with_another_id(tmp_path):
    folder = open_class(tmp_path / "class", students(3), "Evening")
    before = phone_code.phone_code(folder, "bench-02")
    rename.rename(folder, "bench-02", "ada")
    rename.rename(load(folder.path), "ada", "cora")
    assert phone_code.phone_code(load(folder.path), "cora") == before
    assert len(phone_code.codes(load(folder.path))) == 3


def test_requests_are_counted_by_session_else_by_address(gate, clock):
    many = int(gates.STRANGER[0])
    assert [gate.may_ask("10.0.0.9") for _ in range(many + 5)] == [True] * many + [False] * 5
    assert gate.may_ask("10.0.0.9", "a session"), "a flood of strangers does not stop a guest"
    clock.now += 1
    again = sum(gate.may_ask("10.0.0.9") for _ in range(many))
    assert again == int(gates.STRANGER[1])
