"""The answer page's scripts in real browsers, from disk: they read, write and keep as Python does."""

from __future__ import annotations

import itertools
import math
import random
import sys
import unicodedata
from dataclasses import replace
from pathlib import Path

import mpmath
import pytest

from coursekit.classroom.bank import answer_text, written_number
from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.questions import Question
from coursekit.classroom.marking import read_answer
from coursekit.classroom.running.plain_value import plain
from tests.chromium import Chromium
from tests.firefox import Firefox

from .test_written_number import READ, UNREAD

SCRIPTS = Path(__file__).parents[2] / "coursekit/classroom/answer_page"
BROWSERS = [
    pytest.param(Chromium, id="chromium"),
    pytest.param(Firefox, id="firefox", marks=pytest.mark.slow),
]


def page_of(folder, body="", *names):
    """A page with the scripts in it, as they are put into an answer page."""
    scripts = "".join(
        f"<script>\n{(SCRIPTS / name).read_text(encoding='utf-8')}</script>\n"
        for name in names or ("answer_text.js", "numbers.js", "calculator.js", "keep.js")
    )
    page = folder / "a page.html"
    page.write_text(
        f'<!doctype html><meta charset="utf-8"><title>A page</title>{scripts}{body}',
        encoding="utf-8",
    )
    return page


@pytest.fixture(scope="module", params=BROWSERS)
def browser(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("scripts")
    with request.param(folder / "profile") as one:
        one.open(page_of(folder))
        yield one
        assert one.errors == []


def test_every_script_stands_alone(browser, tmp_path):
    for name, script in zip(
        ("AnswerText", "Numbers", "Calculator", "Keep"),
        ("answer_text.js", "numbers.js", "calculator.js", "keep.js"),
        strict=True,
    ):
        source = (SCRIPTS / script).read_text(encoding="utf-8")
        assert (
            browser.evaluate("(s) => typeof new Function(s)()", f"{source}\nreturn {name};")
            == "object"
        )
        for modern in ("eval(", "import ", "export ", "replaceAll", ".at(", "??=", "(?<"):
            assert modern not in source, (
                f"{script}: {modern}"
            )  # ES2020, and no lookbehind, which older Safari lacks


# --- numbers

UNITS = ["mm", "deg", "N", "N·m", "%", "64ths", "times", "", "mm²", "°C", "in", "rad", "MPa", "g"]


def marker_reads(text, unit):
    """The number that the marker reads in a box, or None."""
    asked = Question("box", "Box", "", "number", 1.0, unit=unit, tolerance=1.0)
    return read_answer.read(asked, plain(text)).value


def disagreements(browser, cases):
    found = browser.evaluate(
        "(cases) => cases.map(([text, unit]) => Numbers.understand(text, unit)).map((one) => ({...one, value:"
        " one.value === null ? null : String(one.value)}))",
        cases,
    )
    for (text, unit), here in zip(cases, found, strict=True):
        there = marker_reads(text, unit)
        value = None if here["value"] is None else float(here["value"])
        close = (
            value is not None
            and there is not None
            and math.isclose(value, there, rel_tol=1e-12, abs_tol=0)
        )
        if not (close or (value is None and there is None)):
            yield text, unit, value, there
        if value is None and text.strip():
            assert here["odd"] and here["says"], (text, unit)


def test_picked_numbers_are_read_as_the_marker_reads_them(browser):
    cases = [[text, unit] for text, *_ in READ + UNREAD for unit in UNITS]
    assert len(cases) > 60
    assert list(disagreements(browser, cases)) == []


def test_every_digit_sign_and_spelling_is_read_as_the_marker_reads_it(browser):
    digits = [chr(c) for c in range(sys.maxunicode) if unicodedata.category(chr(c)) == "Nd"]
    cases = [[f"1{d}{e}.{d}", "mm"] for d, e in itertools.pairwise(digits)]
    for sign in written_number.TYPED:
        cases += [
            [text.replace("?", sign), u]
            for text in ("?3", "12? 30?", "7?8 in", "39?", "39 ? in", "3 ?")
            for u in ("mm", "deg")
        ]
    for spelling in itertools.chain.from_iterable(written_number.SPELLINGS.values()):
        cases += [
            [text.replace("?", spelling), u]
            for text in ("12 ?", "12?.", "1/2?", "12 ?s", f"12 {spelling.upper()}")
            for u in UNITS
        ]
    white = [
        chr(c) for c in range(0x11000) if chr(c).isspace() or c in (0x180E, 0x200B, 0x2060, 0xFEFF)
    ]
    cases += [[f"{w}1{w}012{w}{w}mm{w}", "mm"] for w in white]
    assert list(disagreements(browser, cases)) == []
    read = [marker_reads(*case) is not None for case in cases]
    assert 500 < sum(read) < len(read) - 500


FITTING = {
    "mm": ["", "", "mm", " mm", "cm", " m", " in", '"', "''", " inches", "."],
    "deg": ["", "", "°", " deg", " rad", " degrees"],
}
ANY = ["", "mm", " m", " in", '"', "°", " rad", "N", " %", " g", " N m", " MPa", " foo", "."]


def a_text(rng, unit):
    """A number as people write it, or nearly, mostly with a unit that fits."""
    whole, part = (
        str(rng.randrange(10 ** rng.randint(1, 5))),
        str(rng.randrange(10 ** rng.randint(1, 4))),
    )
    grouped = f"{rng.randint(1, 999)} {rng.randint(0, 999):03}"
    top, bottom = rng.randint(0, 64), rng.choice([0, 2, 4, 8, 16, 32, 64, 7])
    minutes, seconds = rng.randint(0, 62), rng.randint(0, 62)
    units = rng.choice([ANY, *[FITTING.get(unit, ["", f" {unit}"])] * 4])
    text = rng.choice([
        whole, f"{whole}.{part}", f"{whole},{part}", f".{part}", f"{grouped}", f"{grouped},{part}", f"{grouped}.{part}",
        f"{top}/{bottom}", f"{whole} {top}/{bottom}", f"{whole}-{top} / {bottom}", f"{grouped} {top}/{bottom}", f"{whole}{rng.choice('¼½¾⅛⅜⅝⅞')}",
        f"{whole}.{part}e{rng.randint(-12, 12)}", f"{whole}e{rng.randint(-500, 500)}",
        f"{whole}° {minutes}'", f"{whole}°{minutes}′ {seconds}″", f"{whole} deg {minutes} min", f"{whole}° {minutes}.{part}'",
    ]) + rng.choice(units)  # fmt: skip
    text = rng.choice(["", "", "", "-", "−", "– ", "+"]) + text
    for _ in range(rng.choice([0, 0, 0, 0, 1, 2])):
        at = rng.randint(0, len(text))
        text = (
            text[:at] + rng.choice(" .,'/-+e0°\"\u00a0m\u2009٣x") + text[at + rng.randint(0, 1) :]
        )
    return text


def test_thousands_of_numbers_are_read_as_the_marker_reads_them(browser):
    rng = random.Random(17)
    units = rng.choices(["mm", "mm", "mm", "deg", "deg", *UNITS], k=6000)
    cases = [[a_text(rng, unit), unit] for unit in units]
    assert list(disagreements(browser, cases)) == []
    read = sum(marker_reads(*case) is not None for case in cases)
    assert 2000 < read < 4000


@pytest.mark.parametrize(
    ("text", "unit", "says", "odd"),
    [
        ("1012.8", "mm", "1012.8 mm", False),
        ("1 012,8 mm", "mm", "1012.8 mm", False),
        ("39 7/8 in", "mm", "39 7/8 in, that is 1012.83 mm", False),
        ('-39-7/8"', "mm", "−39 7/8 in, that is −1012.83 mm", False),
        ("12 cm", "mm", "12 cm, that is 120 mm", False),
        ("72° 30'", "deg", "72° 30', that is 72.5°", False),
        ("72,5", "deg", "72.5°", False),
        ("1.25 rad", "deg", "1.25 rad, that is 71.6197°", False),
        ("50", "%", "50 %", False),
        ("3", "times", "3 times", False),
        ("3", "", "3", False),
        (" ", "mm", "", False),
        ("1,234", "mm", "1.234 mm. The comma marks the decimals; if you mean 1234 mm, leave it out.", True),
        ("5 g", "mm", "“g” doesn't fit here. This is a length: write it in mm, cm, m or inches.", True),
        ("5 mm", "deg", "“mm” doesn't fit here. This is an angle: write it in degrees.", True),
        ("5 mm", "N", "“mm” doesn't fit here. This is asked in N.", True),
        ("5 mm", "", "A bare number is asked here, so leave “mm” out.", True),
        ("72° 30", "deg", "Write minutes with their sign, like 72° 30', or the angle as 72.5.", True),
        ("7/8", "mm", "A fraction must have its unit, like 7/8 in.", True),
        ("39/32", "64ths", "Write it as a decimal number, like 31.5.", True),
        ("1/2", "deg", "Write it as a decimal number, like 31.5.", True),
        ("78 64ths", "64ths", "78 64ths", False),
        ("7/8 64ths", "64ths", "7/8 64ths, that is 0.875 64ths", False),
        ("7/0 in", "mm", "A fraction can't have 0 below its line.", True),
        ("about 12", "mm", "“about 12” is no number. Write it like 31.5.", True),
        ("12 + 3", "mm", "After the number, “+ 3” can't be read.", True),
        ("1e999", "mm", "This number is too large or too small to work with.", True),
        ("1" * 41, "mm", "A number can have 40 characters at most.", True),
        ("1.234,5", "mm", "“1.234,5” can be read in two ways. Write one point or comma, for the decimals, and nothing between the thousands, like 1234.5.", True),
    ],
)  # fmt: skip
def test_a_box_says_how_it_was_understood(browser, text, unit, says, odd):
    found = browser.evaluate("([text, unit]) => Numbers.understand(text, unit)", [text, unit])
    assert (found["says"], found["odd"]) == (says, odd)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("18/16 in", None),
        ("1.125 in", None),
        ("2,9 cm", None),
        ("28.575", 28.575),
        ("28.6 mm", 28.6),
    ],
)
def test_where_turning_it_is_the_question_no_other_unit_will_do(browser, text, value):
    found = browser.evaluate("(text) => Numbers.understand(text, 'mm', true)", text)
    assert found["value"] == value
    question = Question("tape", "Tape", "How many?", "number", 1, "mm", 0.1, bare=True)
    assert read_answer.read(question, {"is": "text", "value": text}).value == value
    if value is None:
        assert found["says"] == "It is asked in mm. Turn it, and leave the unit out."


# --- the text of the answers

SIGNS = "abc 019-–−[]#:\t\u00a0\u2009\u2028\x85\x1c\x0b\ufeff\u200bäß½°″😀🇨🇭e\u0301ﬁ中ا\x00\x7f"


def a_state(rng):
    def lines():
        return ["".join(rng.choices(SIGNS, k=rng.randint(0, 12))) for _ in range(rng.randint(0, 3))]

    def parts():
        return {
            f"{rng.choice(['', 'q-', '0'])}{rng.randrange(40)}": lines()
            for _ in range(rng.randint(0, 4))
        }

    return AnswerText(
        "lesson",
        "bench-03",
        f"{rng.getrandbits(64):x}",
        "2026-12-03 18:22 UTC",
        str(rng.randint(1, 99)),
        parts(),
        parts(),
        parts(),
    )


def test_five_hundred_texts_are_written_byte_for_byte_as_python_writes_them(browser):
    rng = random.Random(17)
    states = [a_state(rng) for _ in range(600)]
    given = [
        vars(one)
        | {k: [list(p) for p in vars(one)[k].items()] for k in ("answers", "working", "readings")}
        for one in states
    ]
    written = browser.evaluate("(all) => all.map(AnswerText.written)", given)
    for one, text in zip(states, written, strict=True):
        assert text.encode() == answer_text.written(one).encode()
        assert answer_text.read(text).as_saved


def test_a_text_is_written_from_objects_and_of_half_a_character(browser):
    text = browser.evaluate(
        '() => AnswerText.written({lesson: "a", student: "b", stamp: "c", saved: "d", copy: 3,'
        ' answers: {why: ["[so", " it", "\\ud83d!"]}, working: new Map([["why", ["1 + 1 = 2"]]])})'
    )
    one = AnswerText(
        "a", "b", "c", "d", "3", {"why": ["[so", " it", "\ufffd!"]}, {"why": ["1 + 1 = 2"]}
    )
    assert text == answer_text.written(one)
    assert answer_text.read(text) == replace(one, readings={})


# --- the calculator


def a_tree(rng, depth=0):
    """An expression: how it is written, and how Python's math and a library of many digits work it out."""
    kind = rng.choice(
        ["number", "number", "pi"]
        if depth > 3
        else [
            "number",
            "sum",
            "product",
            "power",
            "call",
            "root",
            "minus",
            "bracket",
            "pi",
            "implicit",
        ]
    )
    if kind == "number":
        value = rng.choice([rng.randint(0, 400), round(rng.uniform(0, 90), 2)])
        return str(value).replace(
            ".", rng.choice(".,")
        ), lambda m: m.mpf(str(value)) if m is mpmath else float(value)
    if kind == "pi":
        return rng.choice(["π", "pi", "PI"]), lambda m: m.pi
    (a, fa), (b, fb) = (a_tree(rng, depth + 1) for _ in range(2))
    if kind == "sum":
        sign = rng.choice(["+", "-", "−"])
        return f"{a} {sign} ({b})", lambda m: fa(m) + fb(m) if sign == "+" else fa(m) - fb(m)
    if kind == "product":
        sign = rng.choice(["×", "*", "·", "÷", "/", " x "])
        return f"({a}){sign}({b})", lambda m: fa(m) / fb(m) if sign in "÷/" else fa(m) * fb(m)
    if kind == "power":
        power = rng.choice([2, 3, -1, 0.5])
        sign = rng.choice(["^", "**"])
        return f"({a}){sign}{power}", lambda m: fa(m) ** power
    if kind == "call":
        name = rng.choice(["sin", "cos", "tan", "asin", "acos", "atan"])
        if name[0] == "a":
            return f"{name}({a})", lambda m: m.degrees(getattr(m, name)(fa(m)))
        return f"{name}({a}{rng.choice(['', '°'])})", lambda m: getattr(m, name)(m.radians(fa(m)))
    if kind == "root":
        return f"{rng.choice(['√', 'sqrt', 'root '])}({a})", lambda m: m.sqrt(fa(m))
    if kind == "minus":
        return f"(−{rng.choice(['', ' '])}({a}))", lambda m: -fa(m)
    if kind == "implicit":
        count = rng.randint(2, 9)
        return f"({count}({a}))", lambda m: count * fa(m)
    return f"({a})", fa


def by_python(tree):
    """The value, where the digits of a float are enough for it, or else None."""
    try:
        value, sure = tree(math), tree(mpmath)
        good = math.isfinite(value) and mpmath.almosteq(value, sure, rel_eps=1e-11, abs_eps=1e-11)
        return value if good and 1e-6 < abs(value) < 1e12 else None
    except (ArithmeticError, ValueError, TypeError):
        return None


def test_hundreds_of_calculations_come_out_as_in_python(browser):
    rng = random.Random(17)
    cases = []
    with mpmath.workdps(40):
        while len(cases) < 800:
            text, tree = a_tree(rng)
            value = by_python(tree)
            if value is not None and 4 < len(text) <= 200:
                cases.append((text, value))
    found = browser.evaluate("(all) => all.map(Calculator.work)", [text for text, _ in cases])
    for (text, value), here in zip(cases, found, strict=True):
        assert here["value"] is not None, (text, value, here["says"])
        assert math.isclose(here["value"], value, rel_tol=1e-9), (text, value, here)


@pytest.mark.parametrize(
    ("text", "value", "says"),
    [
        ("90 - 61,5", 28.5, "90 - 61,5 = 28,5"),
        (" 90 −  61.5 ", 28.5, "90 − 61.5 = 28.5"),
        ("2π", 2 * math.pi, "2π ≈ 6.28319"),
        ("2(3+4)^2", 98, "2(3+4)^2 = 98"),
        ("−2π²", -2 * math.pi**2, "−2π² ≈ −19.7392"),
        ("-2^2", -4, "-2^2 = −4"),
        ("2^3^2", 512, "2^3^2 = 512"),
        ("2^-1", 0.5, "2^-1 = 0.5"),
        ("6/2*3", 9, "6/2*3 = 9"),
        ("10-4-3", 3, "10-4-3 = 3"),
        ("sin(30)", 0.5, "sin(30) = 0.5"),
        ("sin(-1e-5°)", math.sin(math.radians(-1e-5)), "sin(-1e-5°) ≈ −1.74533e-7"),
        ("SIN(180)+cos(90)", 0, "SIN(180)+cos(90) = 0"),
        ("tan(45)", 1, "tan(45) = 1"),
        ("arctan(1)", 45, "arctan(1) = 45"),
        ("√2", math.sqrt(2), "√2 ≈ 1.41421"),
        ("√√16", 2, "√√16 = 2"),
        ("√4²", 4, "√4² = 4"),
        ("1 012.5 + 1 000", 2012.5, "1 012.5 + 1 000 = 2012.5"),
        ("210000 × 1234,56", 259257600, "210000 × 1234,56 = 259257600"),
        ("(1)/3", 1 / 3, "(1)/3 ≈ 0.333333"),
        ("- - 3", 3, "- - 3 = 3"),
        ("-0", 0, "-0 = 0"),
        ("(39 + 7/8) x 25.4", 1012.825, "(39 + 7/8) x 25.4 ≈ 1012.83"),
        ("1.5e3/2", 750, "1.5e3/2 = 750"),
    ],
)  # fmt: skip
def test_a_calculation_and_its_line(browser, text, value, says):
    found = browser.evaluate("(text) => Calculator.work(text)", text)
    assert found["value"] == pytest.approx(value, rel=1e-12, abs=0)
    assert found["says"] == says


def test_angles_that_come_out_even_do_so_to_the_last_digit(browser):
    exact = {
        "sin(150)": 0.5,
        "cos(60)": 0.5,
        "cos(-120)": -0.5,
        "sin(-30)": -0.5,
        "sin(330)": -0.5,
        "tan(135)": -1.0,
        "sin(720)": 0.0,
        "cos(270)": 0.0,
        "sin(-90)": -1.0,
        "cos(540)": -1.0,
    }
    found = browser.evaluate("(all) => all.map((text) => Calculator.work(text).value)", list(exact))
    assert dict(zip(exact, found, strict=True)) == exact


REFUSED = [
    ("1 +", "A number is missing after “1 +”."), ("+", "A number is missing after “+”."), ("*3", "A number is missing at the beginning."),
    ("2 + × 3", "A number is missing after “2 +”."), ("(", "A number is missing after “(”."), ("()", "A number is missing before the closing bracket, after “(”."),
    (")", "A number is missing before the closing bracket, at the beginning."), ("(1 + 2", "A bracket is not closed: the one at the beginning."),
    ("3 × (1 + (2)", "A bracket is not closed: the one after “3 ×”."), ("1 + 2)", "There is one closing bracket too many after “1 + 2”."),
    ("3 4", "A sign like + or × is missing after “3”."), ("39 7/8", "A sign like + or × is missing after “39”. Write 39 7/8 as 39 + 7/8."),
    ("(1)(2)", "A sign like + or × is missing after “(1)”."), ("2sin(30)", "A sign like + or × is missing after “2”."), ("π2", "A sign like + or × is missing after “π”."),
    ("ππ", "A sign like + or × is missing after “π”."), ("30° (2)", "A sign like + or × is missing after “30°”."), ("1 2345", "A sign like + or × is missing after “1”."),
    ("2√3", "A sign like + or × is missing after “2”."), ("1/2π", "This can be read in two ways: write × or brackets after “1/2”."),
    ("1÷2(3)", "This can be read in two ways: write × or brackets after “1÷2”."), ("2^2π", "This can be read in two ways: write × or brackets after “2^2”."),
    ("√2π", "This can be read in two ways: write × or brackets after “√2”."), ("sin 30", "Write brackets around the angle or number, like sin(30), after “sin”."),
    ("3 + tan", "Write brackets around the angle or number, like tan(30), after “3 + tan”."), ("√-4", "Write brackets around what stands under the root, after “√”."),
    ("√", "Write brackets around what stands under the root, after “√”."), ("√(-4)", "A number below 0 has no root. Its root stands at the beginning."),
    ("5/0", "Nothing can be divided by 0, and 0 is what stands after “5/”."), ("1 + 5 ÷ (3-3) × 2", "Nothing can be divided by 0, and 0 is what stands after “1 + 5 ÷”."),
    ("0^-1", "0 can't have a power below 0 like the one after “0^”."), ("(-8)^(1/3)", "A number below 0 can only have a whole number as its power, unlike the one after “(-8)^”."),
    ("tan(90)", "tan has no value for 90. It stands at the beginning."), ("2 × tan(−270°)", "tan has no value for −270. It stands after “2 ×”."),
    ("asin(1.5)", "asin has no value for 1.5. It stands at the beginning."), ("acos(-2)", "acos has no value for −2. It stands at the beginning."),
    ("1.234,5", "Write one point or comma, for the decimals, and nothing between the thousands, in the number at the beginning."),
    ("1 + 1'234", "Write one point or comma, for the decimals, and nothing between the thousands, in the number after “1 +”."),
    ("abs(3)", "The calculator doesn't know “abs”, which stands at the beginning."), ("3 mm", "The calculator doesn't know “mm”, which stands after “3”."),
    ("constructor(1)", "The calculator doesn't know “constructor”, which stands at the beginning."), ("alert(1)", "The calculator doesn't know “alert”, which stands at the beginning."),
    ("3 % 2", "The calculator doesn't know “%”, which stands after “3”."), ("1;2", "The calculator doesn't know “;”, which stands after “1”."),
    ("1=1", "The calculator doesn't know “=”, which stands after “1”."), ("😀", "The calculator doesn't know “😀”, which stands at the beginning."),
    ("2^1024", "The number becomes too large after “2^”."), ("9^9^9", "The number becomes too large after “9^”."), ("1e300*1e300", "The number becomes too large after “1e300”."),
    ("1e999", "A number is too large at the beginning."), ("2²²", "Two powers stand one behind the other after “2²”."),
    ("(" * 60 + "1" + ")" * 60, "The calculator can't go deeper than 40 brackets or signs. Work it out in steps."),
    ("-" * 100 + "1", "The calculator can't go deeper than 40 brackets or signs. Work it out in steps."),
    ("√" * 100 + "1", "The calculator can't go deeper than 40 brackets or signs. Work it out in steps."),
    ("2^" * 90 + "1", "The calculator can't go deeper than 40 brackets or signs. Work it out in steps."),
    ("1+" * 150 + "1", "The calculator takes 200 characters at most. Work it out in steps."), ("", ""),
]  # fmt: skip


def test_what_can_not_be_worked_out_is_told_with_its_place(browser):
    assert len(REFUSED) >= 40
    found = browser.evaluate("(all) => all.map(Calculator.work)", [text for text, _ in REFUSED])
    assert [
        (text, one["says"], one["value"]) for (text, _), one in zip(REFUSED, found, strict=True)
    ] == [(text, says, None) for text, says in REFUSED]


# --- keeping what is typed

BOX = """<input id="box"><input id="other"><p id="kept"></p><p id="told"></p><script>
const boxes = [...document.querySelectorAll("input")];
const state = () => ({boxes: Object.fromEntries(boxes.map((one) => [one.id, one.value]))});
const name = Keep.name("miter-angles", location.hash || "bench-03", "0f3a");
const show = (found) => boxes.forEach((one) => { one.value = found.boxes[one.id] || ""; });
if (window.blank) show(window.blank);
let keep = null;
Keep.open(name, window.blank).then((found) => {
  keep = found;
  if (found.get()) show(found.get());
  found.watch((state) => { show(state); document.querySelector("#told").textContent = JSON.stringify(state); });
  document.body.dataset.ready = "yes";
}, (error) => { document.body.dataset.ready = error.message; });
boxes.forEach((one) => one.addEventListener("input", () => {
  const put = boxes.map((box) => box.value).join("|"); // what is kept, not what stands there by then
  const say = (text) => { document.querySelector("#kept").textContent = text; };
  keep.put(state()).then(() => say(put), (error) => say(error.message));
}));
</script>"""
READY = "document.body.dataset.ready"
SAYS = "(text) => document.querySelector('#kept').textContent === text"
VALUES = "boxes.map((box) => box.value)"


@pytest.fixture(params=BROWSERS)
def started(request, tmp_path):
    """A browser of this test's own, which it may kill."""
    with request.param(tmp_path / "profile") as one:
        yield one


def opened(browser, page):
    browser.open(page)
    assert browser.wait_for(READY) == "yes"


@pytest.mark.slow
def test_what_was_typed_is_there_after_the_browser_was_killed(started, tmp_path):
    page = page_of(tmp_path, BOX, "keep.js")
    opened(started, page)
    started.type("#box", "28,5 mm ü😀")
    started.wait_for(SAYS, "28,5 mm ü😀|")
    started.kill()
    started.start()
    opened(started, page)
    assert started.evaluate(VALUES) == ["28,5 mm ü😀", ""]
    for number in range(3):  # and again at once, with one more key each time
        started.type("#other", str(number))
        started.wait_for(SAYS, f"28,5 mm ü😀|{'012'[: number + 1]}")
        started.kill()
        started.start()
        opened(started, page)
    assert started.evaluate(VALUES) == ["28,5 mm ü😀", "012"]


@pytest.mark.slow
def test_pages_of_others_never_mix(started, tmp_path):
    page = page_of(tmp_path, BOX, "keep.js")
    opened(started, page)
    started.type("#box", "1")
    started.wait_for(SAYS, "1|")
    started.open("about:blank")
    opened(started, f"{page.as_uri()}#bench-04")
    assert started.evaluate(VALUES) == ["", ""]
    assert started.evaluate(
        'Keep.name("a", "b,c") !== Keep.name("a,b", "c") && Keep.name("a", 1) === Keep.name("a", "1")'
    )


NO_CHANNEL = "<script>BroadcastChannel = undefined;</script>"
ASLEEP = """<script>BroadcastChannel = undefined;
addEventListener("storage", (event) => event.stopImmediatePropagation());</script>"""


@pytest.mark.slow
@pytest.mark.parametrize("way", ["", NO_CHANNEL, ASLEEP], ids=["told", "told by storage", "asleep"])
def test_two_tabs_of_one_page_lose_nothing(started, tmp_path, way):
    page = page_of(tmp_path, way + BOX, "keep.js")
    opened(started, page)
    first = started.new_tab()
    opened(started, page)
    second = started.to_tab(first)
    started.type("#box", "in the first")
    started.wait_for(SAYS, "in the first|")
    started.to_tab(second)
    if way == ASLEEP:  # a phone shows the page again
        started.evaluate("() => { dispatchEvent(new Event('pageshow')); }")
    started.wait_for("document.querySelector('#box').value === 'in the first'")  # without a reload
    started.type("#other", "in the second")
    started.wait_for(SAYS, "in the first|in the second")
    started.to_tab(first)
    if way == ASLEEP:
        started.evaluate("() => { document.dispatchEvent(new Event('visibilitychange')); }")
    started.wait_for("document.querySelector('#other').value === 'in the second'")
    opened(started, page)
    assert started.evaluate(VALUES) == ["in the first", "in the second"]


DEAF = "<script>BroadcastChannel = undefined; addEventListener = document.addEventListener = () => {};</script>"
PRESET = """<script>
window.blank = {boxes: {box: "1 2 3", other: ""}};
</script>"""


@pytest.mark.slow
@pytest.mark.parametrize(
    ("preset", "untouched"), [("", ""), (PRESET, "1 2 3")], ids=["empty", "an order"]
)
def test_two_tabs_that_hear_nothing_of_each_other_lose_nothing(
    started, tmp_path, preset, untouched
):
    """A phone lets a page in the background sleep: no message reaches it before it is typed into."""
    page = page_of(tmp_path, DEAF + preset + BOX, "keep.js")
    opened(started, page)
    first = started.new_tab()
    opened(started, page)
    second = started.to_tab(first)
    started.type("#box", "in the first")
    started.wait_for(SAYS, f"{untouched}in the first|")
    started.to_tab(second)
    assert started.evaluate(VALUES)[0] == untouched
    started.type("#other", "in the second")
    started.wait_for("document.querySelector('#kept').textContent.endsWith('in the second')")
    started.to_tab(first)
    opened(started, page)
    assert started.evaluate(VALUES) == [f"{untouched}in the first", "in the second"]


NO_DATABASE = "<script>Object.defineProperty(window, 'indexedDB', {get() { throw new DOMException('no', 'SecurityError'); }});</script>"
NO_STORAGE = "<script>Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError'); }});</script>"


@pytest.mark.slow
@pytest.mark.parametrize(
    "without", [NO_DATABASE, NO_STORAGE], ids=["no IndexedDB", "no localStorage"]
)
def test_one_of_the_two_places_is_enough(started, tmp_path, without):
    page = page_of(tmp_path, without + BOX, "keep.js")
    opened(started, page)
    started.type("#box", "28,5")
    started.wait_for(SAYS, "28,5|")
    first = started.new_tab()
    opened(started, page)
    assert started.evaluate(VALUES) == ["28,5", ""]
    started.type("#other", "3")
    started.wait_for(SAYS, "28,5|3")
    started.to_tab(first)
    started.wait_for("document.querySelector('#other').value === '3'")
    assert started.evaluate("Keep.works") is True


@pytest.mark.slow
def test_a_browser_that_keeps_nothing_says_so(started, tmp_path):
    started.open(page_of(tmp_path, NO_DATABASE + NO_STORAGE + BOX, "keep.js"))
    assert started.wait_for(READY) == (
        "This browser keeps nothing of what you type: it is gone when this page is closed. Save or "
        "copy your answers before that, or open the page in another browser."
    )
    assert started.evaluate("Keep.works") is False


@pytest.mark.slow
def test_a_full_device_is_told_and_the_next_try_counts(started, tmp_path):
    page = page_of(tmp_path, BOX, "keep.js")
    opened(started, page)
    started.evaluate(
        "() => { window.put = [IDBObjectStore.prototype.put, Storage.prototype.setItem];"
        " IDBObjectStore.prototype.put = Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
        " window.onerror = () => true; }"
    )
    started.type("#box", "28")
    started.wait_for(
        SAYS,
        "What you typed last could not be kept on this device. Save or copy your answers now, before this page is closed.",
    )
    started.evaluate(
        "() => { [IDBObjectStore.prototype.put, Storage.prototype.setItem] = window.put; }"
    )
    started.type("#box", ",5")
    started.wait_for(SAYS, "28,5|")
    opened(started, page)
    assert started.evaluate(VALUES) == ["28,5", ""]


@pytest.mark.slow
def test_an_older_copy_never_wins(started, tmp_path):
    """One place can lag behind the other: then the newer counts, and the older is overwritten."""
    page = page_of(tmp_path, BOX, "keep.js")
    for older in ("database", "local"):
        opened(started, page)
        started.evaluate(f"() => {{ keep.{older} = null; }}")
        started.evaluate("() => { document.querySelector('#box').value = ''; }")
        started.type("#box", older)
        started.wait_for(SAYS, f"{older}|")
        opened(started, page)
        assert started.evaluate(VALUES) == [older, ""]
        started.type("#other", "x")
        started.wait_for(SAYS, f"{older}|x")
        started.evaluate("() => { document.querySelector('#other').value = ''; }")
        started.type("#box", "!")
        started.wait_for(SAYS, f"{older}!|")
        opened(started, page)
        assert started.evaluate(VALUES) == [f"{older}!", ""]


@pytest.mark.slow
def test_a_copy_that_reached_the_disk_late_never_wins(started, tmp_path):
    """A browser that is killed can lose the last seconds of localStorage, but not of IndexedDB."""
    page = page_of(tmp_path, BOX, "keep.js")
    opened(started, page)
    started.evaluate(
        """async () => {
          const put = (text) => keep.put({boxes: {box: text, other: ""}});
          await Promise.all([...Array(50).keys()].map((i) => put(`fast ${i}`)));
          const before = {...localStorage};
          await put("slow");
          await put("last");
          Object.assign(localStorage, before);
        }"""
    )
    opened(started, page)
    assert started.evaluate(VALUES) == ["last", ""]


MERGED = [
    ("nothing changed", {"a": 1}, {"a": 1}, {"a": 1}, {"a": 1}),
    ("each its own box", {"a": 1, "b": 1}, {"a": 2, "b": 1}, {"a": 1, "b": 2}, {"a": 2, "b": 2}),
    ("the same box", {"a": 1}, {"a": 2}, {"a": 3}, {"a": 2}),
    ("new boxes", {}, {"a": 1}, {"b": 2}, {"a": 1, "b": 2}),
    ("both new on an empty page", None, {"a": 1}, {"b": 2}, {"a": 1, "b": 2}),
    ("one taken out", {"a": 1, "b": 1}, {"a": 1}, {"a": 1, "b": 1, "c": 1}, {"a": 1, "c": 1}),
    (
        "deep down",
        {"q": {"x": [1, 2]}},
        {"q": {"x": [5, 2]}},
        {"q": {"x": [1, 6]}},
        {"q": {"x": [5, 6]}},
    ),
    (
        "two workings",
        {"w": ["1"]},
        {"w": ["1", "mine"]},
        {"w": ["1", "theirs"]},
        {"w": ["1", "theirs", "mine"]},
    ),
    (
        "a first working each",
        {"w": []},
        {"w": ["mine"]},
        {"w": ["theirs", "more"]},
        {"w": ["theirs", "more", "mine"]},
    ),
    (
        "untouched boxes of an empty page",
        None,
        {"a": "", "b": "2"},
        {"a": "1", "b": ""},
        {"a": "1", "b": "2"},
    ),
    (
        "cleared by one",
        {"a": "1", "b": ""},
        {"a": "", "b": ""},
        {"a": "1", "b": "2"},
        {"a": "", "b": "2"},
    ),
]


def test_two_states_are_put_together(browser):
    cases = [case[1:4] for case in MERGED]
    found = browser.evaluate("(all) => all.map((case_) => Keep.merged(...case_))", cases)
    assert [(case[0], one) for case, one in zip(MERGED, found, strict=True)] == [
        (c[0], c[4]) for c in MERGED
    ]
