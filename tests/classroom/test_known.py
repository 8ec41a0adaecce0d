"""What was proved and drawn is not done again, until something that it follows from has changed."""

from __future__ import annotations

import json

import pytest

from coursekit.classroom.bank import exercises, own_numbers
from coursekit.classroom.register import proof_cache

from . import small


@pytest.fixture
def work(tmp_path):
    return small.evening(tmp_path, 2)


@pytest.fixture
def proofs(monkeypatch):
    """Count the proofs that are made."""
    made, real = [], own_numbers.prove

    def prove(exercise, key):
        made.append(exercise.slug)
        real(exercise, key)

    monkeypatch.setattr(own_numbers, "prove", prove)
    return made


def file_of(work):
    return work.folder.made / "small.known.json"


def test_nothing_is_proved_or_drawn_again(work, proofs, tmp_path, monkeypatch):
    numbers = {s.id: work.numbers(s.id) for s in work.folder.students}
    monkeypatch.setattr(own_numbers, "draw", None)
    again = small.opened(tmp_path)
    assert {s.id: again.numbers(s.id) for s in again.folder.students} == numbers
    assert proofs == []


@pytest.mark.parametrize(
    "name", ["exercises/small.md", "solutions/small.md", "solutions/small.py", "solutions/other.py"]
)
def test_a_changed_half_is_proved_again(work, proofs, tmp_path, name):
    path = tmp_path / "course" / name
    path.write_text((path.read_text() if path.exists() else "") + "\n")
    small.opened(tmp_path)
    assert proofs == ["small"]
    small.opened(tmp_path)
    assert proofs == ["small"]


def test_changed_code_of_the_kit_is_proved_again(work, proofs, tmp_path, monkeypatch):
    monkeypatch.setattr(proof_cache, "_code", lambda: b"other")
    small.opened(tmp_path)
    assert proofs == ["small"]


def test_another_secret_draws_other_numbers(work, proofs, tmp_path):
    ids = [f"bench-{i:02d}" for i in range(1, 13)]
    before = [work.numbers(id) for id in ids]  # one of 41 numbers alone could be the same again
    (work.folder.path / "secret").write_text("0123456789abcdef" * 4)
    other = small.opened(tmp_path)
    assert [other.numbers(id) for id in ids] != before
    assert proofs == ["small"]


def test_a_number_changed_by_hand_is_not_taken(work, proofs, tmp_path):
    right = work.numbers("bench-01")
    kept = json.loads(file_of(work).read_text())
    kept["numbers"]["bench-01"]["side"] = 99.0
    file_of(work).write_text(json.dumps(kept))
    assert small.opened(tmp_path).numbers("bench-01") == right
    assert proofs == ["small"]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"numbers": {}}', '{"numbers": {}, "seal": 7}'])
def test_a_harmed_file_is_made_again(work, proofs, tmp_path, text):
    file_of(work).write_text(text)
    small.opened(tmp_path)
    assert proofs == ["small"]
    assert proof_cache.numbers(work.folder, "small", tmp_path / "course") == {}


def test_a_mistake_is_told_and_never_kept(work, tmp_path):
    key = tmp_path / "course" / "solutions" / "small.py"
    text = key.read_text()
    key.write_text(text.replace("return 4 * n.side\n", "return n.side**2\n"))
    for _ in range(2):
        with pytest.raises(exercises.AuthoringError, match="equals the right answer"):
            small.opened(tmp_path)
