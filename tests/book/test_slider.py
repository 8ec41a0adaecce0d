"""Slider figures: every state is a drawing of the right cut, and none is too heavy."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from itertools import accumulate
from math import cos, radians, sin

import numpy as np
import pytest

from coursekit.book import slider, worked_frame
from coursekit.book.sliders import miter_angles


@pytest.fixture(scope="module")
def figure():
    return slider.slider("miter-angles/angle")


@pytest.fixture(scope="module")
def radii():
    """Half the diameters of the worked frame's down tube and head tube, which the figure joins."""
    facts = worked_frame.facts()
    return facts["down_tube.diameter"] / 2, facts["head_tube.diameter"] / 2


def points(path):
    """Return the points of SVG path data `M x y l dx dy …`, read back from its text."""
    start, steps = re.fullmatch(r"M([^l]+)l([^Z]+)Z?", path).groups()
    number = r"-?(?:\d+\.?\d*|\.\d+)"
    pairs = [float(v) for text in (start, steps) for v in re.findall(number, text)]
    x = list(accumulate(pairs[0::2]))
    y = list(accumulate(pairs[1::2]))
    return np.array(x), np.array(y)


def strip_of(state):
    """The last path of a state is the unwrapped tube: up one side of the paper, the curve, down."""
    x, y = points(re.findall(r'd="([^"]+)"', state.svg)[-1])
    return x[1:-1], y[1:-1]


def test_number_and_weight_of_the_states(figure):
    assert 20 <= len(figure.states) <= 60
    assert len(slider.html(figure, "x").encode()) <= 200_000


@pytest.mark.parametrize("angle", [50, 62, 75, 90])
def test_the_drawn_curve_lies_on_the_other_tube(figure, radii, angle):
    """Each drawn point, put back on the tube, is R away from the axis of the tube joined to."""
    state = figure.states[miter_angles.ANGLES.index(angle)]
    x, y = strip_of(state)
    r, R = radii
    phi = (x - miter_angles.PAPER[0]) / r
    along = miter_angles.PAPER[1] - y
    across = along * sin(radians(angle)) + r * np.cos(phi) * cos(radians(angle))
    assert np.hypot(across, r * np.sin(phi)) == pytest.approx(R, abs=0.02)
    assert len(x) == miter_angles.STATIONS


@pytest.mark.parametrize("angle", [50, 62, 90])
def test_the_words_of_a_state_say_its_numbers(figure, radii, angle):
    r, R = radii
    text = figure.states[miter_angles.ANGLES.index(angle)].text
    said = [float(v) for v in re.findall(r"\d+\.\d|\d+(?=°)", text)]
    short = (R - r * cos(radians(angle))) / sin(radians(angle))
    long_ = (R + r * cos(radians(angle))) / sin(radians(angle))
    assert said == pytest.approx([angle, short, long_, 90 - angle], abs=0.0501)


def test_the_drawing_stays_on_its_sheet(figure):
    for state in figure.states:
        for path in re.findall(r'd="([^"]+)"', state.svg):
            x, y = points(path)
            assert x.min() >= 0 and x.max() <= figure.width
            assert y.min() >= 0 and y.max() <= figure.height


def test_only_the_default_state_shows_without_a_script(figure):
    html = slider.html(figure, "x")
    shown = [g for g in re.findall(r'<g data-state="(\d+)"([^>]*)>', html) if "display" not in g[1]]
    assert shown == [(str(figure.default), "")]


def test_the_html_is_well_formed_and_labelled(figure):
    open_tags, seen = [], {}

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attrs):
            seen.setdefault(tag, []).append(dict(attrs))
            if tag != "input":
                open_tags.append(tag)

        def handle_startendtag(self, tag, attrs):
            seen.setdefault(tag, []).append(dict(attrs))

        def handle_endtag(self, tag):
            assert open_tags.pop() == tag

    Reader().feed(slider.html(figure, "x"))
    assert not open_tags
    assert seen["svg"][0]["role"] == "img" and len(seen["svg"][0]["aria-label"]) > 40
    assert seen["label"][0]["for"] == seen["input"][0]["id"]


@pytest.mark.parametrize(
    "x, y, text",
    [
        ([0, 1], [0, 0], "M0 0l1 0"),
        ([2, 2.004], [0, -1], "M2 0l0-1"),
        ([0, -0.5], [1, 1.25], "M0 1l-.5 .25"),
    ],
)
def test_paths_are_short(x, y, text):
    assert slider.path(x, y) == text


def test_rounding_does_not_add_up():
    x = np.linspace(0, 100, 1000)
    back, _ = points(slider.path(x, np.zeros(1000)))
    assert back == pytest.approx(x, abs=0.0051)
