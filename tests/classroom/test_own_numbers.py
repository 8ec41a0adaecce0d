"""Own numbers: the same for ever, different for every student, drawn as FIPS 198-1 says."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import replace

import pytest

from coursekit.classroom import bank, key, own_numbers

from .small import write


@pytest.fixture(scope="module")
def real(root):
    exercise = bank.load("miter-angles", root)
    return exercise, key.load(exercise, root)


@pytest.fixture
def small(tmp_path):
    exercise = bank.load("small", write(tmp_path))
    return exercise, key.load(exercise, tmp_path)


def hmac_sha256(secret: bytes, message: bytes) -> bytes:
    """HMAC written out from FIPS 198-1, section 4, table 1, with SHA-256 (block of 64 bytes)."""
    block = (hashlib.sha256(secret).digest() if len(secret) > 64 else secret).ljust(64, b"\0")
    inner = hashlib.sha256(bytes(b ^ 0x36 for b in block) + message).digest()
    return hashlib.sha256(bytes(b ^ 0x5C for b in block) + inner).digest()


def test_hmac_of_the_standard():
    # RFC 4231, section 4.3, test case 2
    digest = hmac_sha256(b"Jefe", b"what do ya want for nothing?")
    assert digest.hex() == "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"


def test_numbers_are_the_hmac_of_secret_student_slug_try_and_name(small):
    exercise, private = small
    secret = b"a secret"
    message = b"bench-01\0small\x000\0side"
    word = int.from_bytes(hmac_sha256(secret, message)[:8], "big")
    values = [10 + 0.5 * i for i in range(41)]
    assert own_numbers.draw(exercise, private, secret, "bench-01") == {"side": values[word % 41]}


def test_another_student_secret_or_slug_gives_other_numbers(real):
    exercise, private = real
    drawn = [
        own_numbers.draw(exercise, private, b"one", "bench-01"),
        own_numbers.draw(exercise, private, b"one", "bench-02"),
        own_numbers.draw(exercise, private, b"two", "bench-01"),
        own_numbers.draw(replace(exercise, slug="other"), private, b"one", "bench-01"),
    ]
    assert len({tuple(d.items()) for d in drawn}) == 4


def test_a_quantity_added_later_leaves_the_others(small):
    exercise, private = small
    more = replace(
        exercise,
        quantities=(bank.Quantity("edge", "an edge", "mm", (1.0, 2.0)), *exercise.quantities),
    )
    before = own_numbers.draw(exercise, private, b"s", "bench-07")
    assert own_numbers.draw(more, private, b"s", "bench-07")["side"] == before["side"]


def test_all_values_come_up_about_equally_often(small):
    exercise, _ = small
    counts = Counter(
        own_numbers._once(exercise, b"s", f"student-{i}", 0)["side"] for i in range(4100)
    )
    assert set(counts) == set(exercise.quantity("side").values)
    # chi-square with 40 degrees of freedom: 99.9 % lie below 73.4 (NIST/SEMATECH handbook, 1.3.6.7.4)
    assert sum((c - 100) ** 2 / 100 for c in counts.values()) < 73.4


def test_a_slip_that_equals_the_answer_is_a_fault(real):
    exercise, private = real
    numbers = own_numbers.draw(exercise, private, b"x", "bench-01")
    assert own_numbers.fault(exercise, private, numbers) == ""
    wide = replace(
        exercise, questions=tuple(replace(q, tolerance=20.0) for q in exercise.questions)
    )
    assert "equals" in own_numbers.fault(wide, private, numbers)
    wider = replace(
        exercise, questions=tuple(replace(q, tolerance=50.0) for q in exercise.questions)
    )
    assert "sign is lost in the tolerance" in own_numbers.fault(wider, private, numbers)
    assert own_numbers.fault(exercise, private, {**numbers, "head_diameter": 20.0}) == (
        "the key refuses the case"
    )


def test_no_sound_case_is_said(small):
    exercise, private = small
    private.conditions.append(lambda n: False)
    with pytest.raises(
        bank.AuthoringError,
        match="the ranges must give sound cases; got none in 500 tries, the last because the key refuses",
    ):
        own_numbers.draw(exercise, private, b"x", "bench-01")
