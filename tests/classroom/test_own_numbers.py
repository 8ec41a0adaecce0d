"""Own numbers: the same for ever, different for every student, drawn as FIPS 198-1 says."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from dataclasses import replace

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers

from .small import PRIVATE, PUBLIC, write


@pytest.fixture(scope="module")
def real(root):
    exercise = exercises.load("miter-angles", root)
    return exercise, keys.load(exercise, root)


@pytest.fixture
def small(tmp_path):
    exercise = exercises.load("small", write(tmp_path))
    return exercise, keys.load(exercise, tmp_path)


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


def test_another_student_secret_or_slug_gives_other_numbers(small):
    exercise, private = small
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
        quantities=(exercises.Quantity("edge", "an edge", "mm", (1.0, 2.0)), *exercise.quantities),
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
    draws = (own_numbers.draw(exercise, private, b"x", f"bench-{i:02d}") for i in range(99))
    numbers = next(n for n in draws if not own_numbers.fault(exercise, private, n))
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
        exercises.AuthoringError,
        match="the ranges must give sound cases; got none in 500 tries, the last because the key refuses",
    ):
        own_numbers.draw(exercise, private, b"x", "bench-01")


# Quantities that the key makes: readings that hang together


MADE = """\
---
title: Small
numbers:
  side:
    say: side of a square
    unit: mm
    low: 10
    high: 30
    step: 0.5
  low_end:
    say: reading at one end
    unit: mm
    low: -1
    high: 1
    step: 0.02
  high_end:
    say: reading at the other end
    unit: mm
    low: -1
    high: 1
    step: 0.02
---
"""


def with_a_maker(tmp_path, maker):
    public = MADE + PUBLIC.split("---\n", 2)[2]
    exercise = exercises.load("small", write(tmp_path, public, PRIVATE + maker))
    return exercise, keys.load(exercise, tmp_path)


LEANING = """

@key.makes("low_end", "high_end")
def _(n, chance):
    start = chance.random() - 0.5
    return start, start + n.side / 100
"""


def test_made_readings_hang_together_and_are_rounded_to_their_ranges(tmp_path):
    exercise, private = with_a_maker(tmp_path, LEANING)
    grid = set(exercise.quantity("low_end").values)
    starts = set()
    for i in range(300):
        n = own_numbers.draw(exercise, private, b"s", f"bench-{i}")
        assert {n["low_end"], n["high_end"]} <= grid
        assert abs(n["high_end"] - n["low_end"] - n["side"] / 100) < 0.0200001  # two roundings
        starts.add(n["low_end"])
        assert n == own_numbers.draw(exercise, private, b"s", f"bench-{i}")
    assert len(starts) > 40
    assert min(starts) < -0.4 and max(starts) > 0.4


@pytest.mark.parametrize(
    ("made", "kept"),
    [(0.013, 0.02), (0.007, 0.0), (-0.013, -0.02), (1.0, 1.0), (-1.0, -1.0), (1.015, 1.0), (-1.015, -1.0)],
)  # fmt: skip
def test_a_made_reading_is_rounded_to_the_nearest_division(tmp_path, made, kept):
    maker = LEANING.replace("start, start + n.side / 100", f"{made}, 0.0")
    n = own_numbers.draw(*with_a_maker(tmp_path, maker), b"s", "bench-01")
    assert n["low_end"] == pytest.approx(kept, abs=1e-12)


def test_a_maker_leaves_the_drawn_numbers_as_they_were(tmp_path, small):
    exercise, private = with_a_maker(tmp_path / "made", LEANING)
    for i in range(20):
        plain, made = (
            own_numbers.draw(*one, b"s", f"bench-{i}") for one in (small, (exercise, private))
        )
        assert plain["side"] == made["side"]


def test_another_try_makes_other_readings(tmp_path):
    exercise, private = with_a_maker(tmp_path, LEANING)
    tries = {own_numbers._case(exercise, private, b"s", "bench-01", k)["low_end"] for k in range(9)}
    assert len(tries) > 4


@pytest.mark.parametrize(
    ("maker", "message"),
    [
        (LEANING.replace("/ 100", ""), "quantity 'high_end' must reach as far as the key makes it; got"),
        (LEANING.replace("start, start", "start"), "the maker of low_end, high_end: it must give one finite number for each; got"),
        (LEANING.replace("start, start", "float('nan'), start"), "it must give one finite number for each; got ValueError"),
        (LEANING.replace('"low_end", "high_end"', '"low_end", "low_end"'), "a maker must name the quantities it makes, each once"),
        (LEANING.replace('"low_end", "high_end"', ""), "each once and made nowhere else; got none. Mend the list."),
        (LEANING + LEANING, "made nowhere else; got low_end, high_end"),
        (LEANING.replace('"low_end"', '"edge"'), "a quantity must be listed under `numbers`; got 'edge'."),
    ],
)  # fmt: skip
def test_a_makers_mistake_is_said(tmp_path, maker, message):
    with pytest.raises(exercises.AuthoringError, match=re.escape(message)):
        own_numbers.draw(*with_a_maker(tmp_path, maker), b"s", "bench-01")
