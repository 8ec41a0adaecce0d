"""Orders and points: read, marked by measure and distance, handed out, refused."""

from __future__ import annotations

import itertools
from math import cos, hypot, pi, sin

import numpy as np
import pytest

from coursekit.classroom.bank import closeness, exercises, keys, notebooks, own_numbers
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.register.class_folder import Student, open_class
from coursekit.classroom.running.plain_value import plain

from .conftest import LIMITS
from .kinds import PRIVATE, PUBLIC, write

NUMBERS = {"hold": 0.6, "reach": 150.0}


@pytest.fixture
def kinds(tmp_path):
    exercise = exercises.load("kinds", write(tmp_path))
    private = keys.load(exercise, tmp_path)
    own_numbers.prove(exercise, private)
    return exercise, private


def marked(kinds, **values):
    sent = {k.replace("_", "-"): plain(v) for k, v in values.items()}
    return {m.question: m for m in mark(*kinds, NUMBERS, sent)}


def pull(angles):
    """The tilt left by tacks in that order, by complex numbers: sum of hold to the k times e^(i a)."""
    return abs(
        sum(0.6**k * complex(cos(a * pi / 180), sin(a * pi / 180)) for k, a in enumerate(angles))
    )


@pytest.mark.parametrize("order", list(itertools.permutations([0, 90, 180, 270])))
def test_every_order_earns_its_share_by_the_pull_it_leaves(kinds, order):
    best = min(pull(o) for o in itertools.permutations([0, 90, 180, 270]))
    found = marked(kinds, sequence=list(order))["sequence"]
    assert found.marks == pytest.approx(3 * min(1, best / pull(order)), abs=1e-4)
    assert (found.verdict == "right") == (pull(order) < best + 1e-9)
    assert found.given == ", ".join(f"{a}°" for a in order)


def test_an_order_as_good_as_the_keys_is_right(kinds):
    found = marked(kinds, sequence=["90°", "270°", "0°", "180°"])["sequence"]
    assert (found.verdict, found.marks) == ("right", 3.0)
    assert found.reason.startswith("Right: as good as any order. It leaves a pull of 0.4")


def test_a_poor_order_says_its_measure_and_a_known_one_its_hint(kinds):
    found = marked(kinds, sequence=[0, 90, 180, 270])["sequence"]
    share = pull([0, 180, 90, 270]) / pull([0, 90, 180, 270])
    assert (found.verdict, found.slip) == ("slip", "round-the-clock")
    assert found.marks == pytest.approx(3 * share, abs=1e-4)
    assert found.hint == "You went round the clock. Let each pull meet its opposite."
    assert found.reason == (
        f"This order earns {share:.0%} of the marks. It leaves a pull of "
        f"{pull([0, 90, 180, 270]):.3f}, the best one {pull([0, 180, 90, 270]):.3f}."
    )


@pytest.mark.parametrize(
    "written",
    [
        ["0°", "180°", "90°", "270°"],
        ("0", "180", "90", "270"),
        [0.0, 180, np.int64(90), "270 deg"],
        np.array([0, 180, 90, 270]),
        [" 0 °", "180 degrees", "90 Deg", "270"],
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_labels_may_be_written_by_hand(kinds, written):
    assert marked(kinds, sequence=written)["sequence"].reason == "Right."


ONCE = "Each of 0°, 90°, 180°, 270° must stand there once: "
INCOMPLETE = "The order is not complete: "


@pytest.mark.parametrize(
    ("written", "verdict", "reason"),
    [
        ([0, 180, 90], "unreadable", INCOMPLETE + "270° is missing."),
        ([0, 180, 90, 90], "unreadable", ONCE + "90° stands there 2 times; 270° missing."),
        ([0, 180, 90, 45], "unreadable", ONCE + "“45” is not among them; 270° missing."),
        ([0, 180, 90, 270, 0], "unreadable", ONCE + "0° stands there 2 times."),
        ([0, 180, 90, None], "unreadable", INCOMPLETE + "270° is missing."),
        ([None, 180, None, None], "unreadable", INCOMPLETE + "0°, 90° and 270° are missing."),
        ([45, 180, 90, None], "unreadable", ONCE + "“45” is not among them; 0°, 270° missing."),
        ([], "blank", "No answer was given."),
        ([None] * 4, "blank", "No answer was given."),
        (None, "blank", "No answer was given."),
        ("0 180 90 270", "unreadable", "The answer must be a list in square brackets of 0°, 90°, 180°, 270°."),
        ([0, 180, 90, float("nan")], "unreadable", ONCE + "“nan” is not among them; 270° missing."),
        ([True, 180, 90, 270], "unreadable", ONCE + "“bool” is not among them; 0° missing."),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_each_label_must_stand_there_once(kinds, written, verdict, reason):
    found = marked(kinds, sequence=written)["sequence"]
    assert (found.verdict, found.reason, found.marks) == (verdict, reason, 0.0)


def test_a_value_that_follows_from_another_order_as_good_is_right(kinds):
    # the pull left is the same number for every best order, so take one that is not the best
    found = marked(kinds, sequence=[0, 90, 180, 270], left_over=pull([0, 90, 180, 270]))
    assert (found["left-over"].verdict, found["left-over"].marks) == ("carried", 1.0)
    found = marked(kinds, sequence=[90, 270, 0, 180], left_over=pull([90, 270, 0, 180]))
    assert (found["left-over"].verdict, found["left-over"].marks) == ("right", 2.0)


def test_a_measure_that_fails_on_an_order_leaves_it_to_a_person(kinds):
    exercise, private = kinds
    private.measures["sequence"] = lambda n, order: 1 / 0
    found = mark(exercise, private, NUMBERS, {"sequence": plain([90, 0, 180, 270])})[0]
    assert (found.verdict, found.marks) == ("to-read", 0.0)


@pytest.mark.parametrize(
    ("value", "verdict", "marks"),
    [
        ([(150, 0), (150, 50)], "right", 4.0),
        ([150, 0, 150, 50], "right", 4.0),
        (np.array([[150.0, 0.0], [150.0, 50.0]]), "right", 4.0),
        ([np.array([150.0, 0.0]), [150.0, 50.0]], "right", 4.0),
        ([(150.3, 0.4), (150, 50)], "right", 4.0),  # 3-4-5: a distance of 0.5 is just allowed
        ([(150.4, 0.4), (150, 50)], "part", 2.0),  # each coordinate within 0.5, the distance is not
        ([(150, 0), (150, 40)], "part", 2.0),
        ([("150,0 mm", 0), (1, 1)], "part", 2.0),
        ([(150, 0), None], "filled-in", 0.0),  # a zero and the given side, and no work beside them
        ([None, None], "blank", 0.0),
        ([(1, 1), (2, 2)], "wrong", 0.0),
        ([(0, 150), (50, 150)], "slip", 0.0),
        ([(-150, 0), (-150, 50)], "sign", 0.0),
        ([(150, 0), (150, -50)], "sign", 0.0),
        ([(-150, 0), (-150, -50)], "sign", 0.0),
        ([(15, 0), (15, 5)], "unit", 2.0),
        ([(150, 0, 0), (150, 50, 0)], "unreadable", 0.0),
        ([(150, 0)], "unreadable", 0.0),
        ([150 + 0j, 150 + 50j], "unreadable", 0.0),
        (150.0, "unreadable", 0.0),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_points_are_marked_by_distance(kinds, value, verdict, marks):
    found = marked(kinds, corners=value)["corners"]
    assert (found.verdict, found.marks) == (verdict, marks)


def test_a_point_of_given_numbers_earns_its_part_beside_work(kinds):
    best = [0, 180, 90, 270]
    found = marked(kinds, corners=[(150, 0), None], sequence=best, left_over=pull(best))
    assert (found["left-over"].verdict, found["left-over"].marks) == ("right", 2.0)
    assert (found["corners"].verdict, found["corners"].marks) == ("part", 2.0)


def test_points_are_shown_and_missed_by_name(kinds):
    found = marked(kinds, corners=[(150, 0), (150, 40)])["corners"]
    assert found.given == "(150, 0), (150, 40) mm"
    assert found.reason == "1 of 2 are right; look again at far corner."
    assert marked(kinds, corners=[(150, 0), None])["corners"].given == "(150, 0), (–, –) mm"


def test_distances_of_points_are_those_of_pythagoras(kinds):
    question = kinds[0].question("corners")
    gaps = closeness.gaps(question, (3.0, 4.0, 5.0, 12.0), (0.0, 0.0, 0.0, 0.0))
    assert gaps == [(hypot(3, 4), 0.5), (hypot(5, 12), 0.5)]


def test_the_notebook_asks_for_them_and_its_own_solution_is_right(kinds, tmp_path):
    folder = open_class(
        tmp_path / "class", [Student("bench-01", "Bench 1"), Student("bench-02", "")]
    )
    work = assignments.Assignment(folder, *kinds)
    assignments.hand_out(work)
    text = (folder.bundle("bench-01", "kinds") / "kinds.ipynb").read_text(encoding="utf-8")
    assert 'of all of these, in your order: \\"0°\\", \\"90°\\", \\"180°\\", \\"270°\\".' in text
    assert "A list of points (x, y), in mm: near corner, far corner. Like [(1, 2), (3, 4)]." in text
    right = own_numbers.answers(*kinds, work.numbers("bench-01"))
    cells = {q.id: notebooks._answer(q, right[q.id]) for q in work.exercise.graded}
    hand_in(folder, "bench-01", cells)
    hand_in(folder, "bench-02", invented_class.slip_cells(work, "bench-02", 0))
    one, two = mark_class.mark_class(work, limits=LIMITS)
    assert [m.verdict for m in one.marks] == ["right"] * 3
    assert [m.verdict for m in two.marks] == ["slip"] * 3


def hand_in(folder, student, cells):
    import nbformat

    notebook = nbformat.read(folder.bundle(student, "kinds") / "kinds.ipynb", as_version=4)
    path = folder.submitted(student, "kinds") / "kinds.ipynb"
    path.parent.mkdir(parents=True)
    nbformat.write(invented_class.filled(notebook, cells), path)


def public(old, new):
    assert PUBLIC.count(old) >= 1
    return {"public": PUBLIC.replace(old, new, 1)}


def private(old, new):
    assert PRIVATE.count(old) >= 1
    return {"private": PRIVATE.replace(old, new, 1)}


SEQUENCE = "exercises/kinds.md, question 'sequence': "
CORNERS = "exercises/kinds.md, question 'corners': "
KEY = "solutions/kinds.py, question 'sequence'"


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (public("entries: [0°, 90°, 180°, 270°]", "entries: [0°, 90°]"), SEQUENCE + "an order must name three entries or more. Add `entries`."),
        (public("entries: [0°, 90°, 180°, 270°]", "entries: [0°, 90°, 180°, 0]"), SEQUENCE + "an entry must stand there once; got 0°, 0. Rename one."),
        (public("marks: 3\n", "marks: 3\ntolerance: 2\n"), SEQUENCE + "an order is marked by the key's measure; got a tolerance or method_marks. Take the line out."),
        (public("tolerance: 0.5", "tolerance: 5 %"), CORNERS + "points must have a tolerance in mm, the distance that is allowed; got 5%. Give it in mm."),
        (public("entries: [near corner, far corner]\n", ""), CORNERS + "a question of points must name a point or more. Add `entries`."),
        (public("unit: mm\ntolerance: 0.5", "tolerance: 0.5"), CORNERS + "a number must have a `unit` and a `tolerance` above 0; got"),
        (public("tolerance: 0.5", "tolerance: last digit x"), CORNERS + "`tolerance` must be a number from 0 up; got 'last digit x'. Mend it."),
        (private('@key.score("sequence")\n', ""), KEY + ": an order must have a measure, and no other kind may; got kind order. Add or remove @key.score(\"sequence\")."),
        (private('@key.score("sequence")\n', '@key.score("corners")\n'), KEY + ": an order must have a measure"),
        (private('@key.score("sequence")\n', '@key.score("sequence")\n@key.score("sequence")\n'), KEY + ": it must have one measure; got two. Remove one."),
        (private('@key.slip("sequence")', '@key.slip("sequence", credit=0.5)'), KEY + ": a slip of an order must not have a credit, for the measure gives its marks; got one. Take it out."),
        (private("share = 1.0 if", "share = 2.0 if"), KEY + ": the measure must be a share for every sound case; got ValueError (2.0 is not a share from 0 to 1)"),
        (private("best / mine\n", "None\n"), KEY + ": the measure must be a share for every sound case; got TypeError"),
        (private('BEST = ("0°", "180°", "90°", "270°")', 'BEST = ("0°", "180°", "90°")'), KEY + ": the answer must be a finite order for every sound case; got ValueError (The order is not complete: 270° is missing.)"),
        (private("return share, f", "return share * 0.9, f"), "question 'sequence': the right answer earns 90% by the key's measure in 200 of 200 draws"),
        (private("return [0, 90, 180, 270]", "return [180, 0, 90, 270]"), "question 'sequence': slip 'round-the-clock' earns 100% by the key's measure in 200 of 200 draws"),
        (private("return [(n.reach, 0.0), (n.reach, 50.0)]", "return [n.reach, 0.0]"), "question 'corners': the answer must be a finite points for every sound case; got ValueError"),
        (private("return [(0.0, n.reach), (50.0, n.reach)]", "return [(n.reach, 0.9), (n.reach, 50.0)]"), "question 'corners': slip 'swapped' equals the right answer in 200 of 200 draws"),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_refused(tmp_path, changes, message):
    with pytest.raises(AuthoringError) as caught:
        root = write(tmp_path, **changes)
        exercise = exercises.load("kinds", root)
        own_numbers.prove(exercise, keys.load(exercise, root))
    assert message in str(caught.value)


def test_a_lost_sign_is_a_fault(tmp_path):
    near_zero = private('return left(n, earlier["sequence"])', "return 0.01")
    exercise = exercises.load("kinds", write(tmp_path, PUBLIC.replace("1 %", "0.02"), **near_zero))
    with pytest.raises(AuthoringError, match="the right answer's sign is lost in the tolerance"):
        own_numbers.prove(exercise, keys.load(exercise, tmp_path))


@pytest.mark.parametrize(
    ("words", "tolerance", "digit"),
    [
        ("last digit 0.1", 0.05, 0.1),
        ("half last digit 0.1", 0.05, 0.1),
        ("one last digit 0.1", 0.1, 0.1),
        ("last digit 1", 0.5, 1.0),
        ("0.5", 0.5, 0.0),
    ],
)
def test_a_last_digit_is_read_and_asked_for(tmp_path, words, tolerance, digit):
    text = PUBLIC.replace("tolerance: 0.5", f"tolerance: {words}")
    question = exercises.load("kinds", write(tmp_path, text)).question("corners")
    assert (question.tolerance, question.digit) == (tolerance, digit)
    asked = f"Give it to {digit:g} mm." in notebooks._question_text(1, question)
    assert asked == (digit > 0)
