"""Practice cards: from the bank to data in the page."""

from __future__ import annotations

import json
import shutil
from math import asin, pi, radians, sin, sqrt, tan

import pytest

from coursekit.book import practice
from coursekit.classroom.bank import exercises, own_frame
from coursekit.classroom.bank.exercises import AuthoringError

SLUG = "miter-angles"


@pytest.fixture(scope="module")
def cards(root):
    return {card.question.id: card for card in practice.cards(SLUG, root)}


@pytest.fixture
def own_course(root, tmp_path):
    """A copy of the bank that a test may spoil."""
    for folder in ("exercises", "solutions"):
        (tmp_path / folder).mkdir()
        for path in (root / folder).glob(f"{SLUG}.*"):
            shutil.copy(path, tmp_path / folder)
    shutil.copy(root / own_frame.FILE, tmp_path / "exercises")
    return tmp_path


def spoil(course, name, old, new):
    path = course / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def value(text):
    return float(text.replace("°", "").replace("mm", "").replace("−", "-").strip())


# Each answer by a closed form that shares nothing with the key.
CLOSED_FORMS = {
    "practice-swing": lambda angle: 90 - angle,
    "practice-strip": lambda tube: pi * tube,
    # A plane through both axes' crossing halves the angle; the tube's side is r off its axis.
    "practice-plane": lambda tube, angle: (
        tube / 2 * sqrt((1 - sin(radians(90 - angle))) / (1 + sin(radians(90 - angle))))
    ),
    # Law of sines: the line r off the tube's axis meets the line R off the other axis.
    "practice-obtuse": lambda tube, head, angle: (
        head / 2 / sin(radians(angle)) - tube / 2 / tan(radians(angle))
    ),
    # Depth of a circular segment with the tube's width as chord: R(1 − cos(half its angle)).
    "practice-square": lambda tube, shell: shell * sin(asin(tube / shell) / 2) ** 2,
    "practice-throw": lambda length: length * tan(pi / 360),
    "practice-cutter": lambda tube, head: head,
}


def test_every_practice_question_has_a_card(root, cards):
    assert set(cards) == {q.id for q in exercises.load(SLUG, root).practice}
    assert set(CLOSED_FORMS) <= set(cards)


@pytest.mark.parametrize("id", CLOSED_FORMS)
def test_answers_agree_with_a_closed_form(cards, id):
    for number_set in cards[id].sets:
        wanted = CLOSED_FORMS[id](*map(value, number_set.given))
        assert number_set.answer == pytest.approx(wanted, abs=2e-6)


@pytest.mark.parametrize("id", CLOSED_FORMS)
def test_ten_different_sets_and_no_slip_that_passes(cards, id):
    card = cards[id]
    assert len({s.given for s in card.sets}) == len(card.sets) >= 10
    for number_set in card.sets:
        assert len(number_set.misses) == len(card.hints) >= 2
        for miss in number_set.misses:
            assert abs(miss.value - number_set.answer) > miss.tolerance + number_set.tolerance


def test_cards_begin_with_different_numbers(cards):
    first = [card.sets[0].given[0] for card in cards.values()]
    assert len(set(first)) > 4


def test_no_card_shows_a_number_that_a_student_may_get(root, cards):
    exercise = exercises.load(SLUG, root)
    for card in cards.values():
        for position, name in enumerate(card.question.given):
            graded = set(exercise.quantity(name).values)
            assert not graded & {value(s.given[position]) for s in card.sets}


def test_cards_are_the_same_on_every_build(root, cards):
    again = {card.question.id: card for card in practice.cards(SLUG, root)}
    assert again == cards


def test_words_speak_of_nobodys_own_tube(cards):
    for card in cards.values():
        assert not any(" your " in f" {say.lower()} " for say in card.say)


def test_json_can_not_end_its_script_element(root, own_course):
    spoil(
        own_course,
        f"solutions/{SLUG}.md",
        "This is half way round.",
        "</script><b>& half</b>",
    )
    card = next(c for c in practice.cards(SLUG, own_course) if c.question.id == "practice-strip")
    text = practice.script_safe_json(card)
    assert not set("<>&") & set(text)
    assert json.loads(text)["hints"][0].startswith("</script><b>& half</b>")


def test_json_holds_what_the_card_holds(cards):
    card = cards["practice-plane"]
    data = json.loads(practice.script_safe_json(card))
    assert data["unit"] == "mm"
    assert [s["answer"] for s in data["sets"]] == [s.answer for s in card.sets]
    assert data["sets"][3]["misses"] == [[m.value, m.tolerance] for m in card.sets[3].misses]


def test_a_choice_card_holds_option_ids(own_course):
    spoil(
        own_course,
        f"exercises/{SLUG}.md",
        "title: Turning the tube end for end\nread: two-ends-one-tube\nmarks: 1",
        "title: Turning\nset: practice",
    )
    cards = {c.question.id: c for c in practice.cards(SLUG, own_course)}
    assert cards["phase"].sets[0].answer == "quarter"
    assert {m.value for m in cards["phase"].sets[0].misses} == {"none", "half"}


def test_a_given_number_without_practice_values_is_refused(own_course):
    spoil(
        own_course,
        f"exercises/{SLUG}.md",
        "    from: frame.down_tube.axis\n    practice: {low: 500, high: 590, step: 1}\n",
        "    low: 600\n    high: 640\n    step: 1\n",
    )
    with pytest.raises(AuthoringError, match=r"'practice-throw'.*'centre_length' has none"):
        practice.cards(SLUG, own_course)


def test_values_shared_with_the_graded_set_are_refused(own_course):
    spoil(
        own_course,
        f"exercises/{SLUG}.md",
        "from: frame.shell.diameter\n    practice: [42, 43, 45]",
        "from: [38, 40]\n    practice: [40, 43, 45]",
    )
    with pytest.raises(
        AuthoringError, match=r"'shell_diameter' must have other values .* got 40 in both"
    ):
        practice.cards(SLUG, own_course)


def test_too_few_numbers_are_refused(own_course):
    spoil(own_course, f"exercises/{SLUG}.md", "{low: 500, high: 590, step: 1}", "[500, 510]")
    with pytest.raises(AuthoringError, match=r"'practice-throw': .* ten different sets .* got 2"):
        practice.cards(SLUG, own_course)
