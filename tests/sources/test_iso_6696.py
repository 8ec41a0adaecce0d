"""ISO 6696:1989, Cycles – Screw threads used in bottom bracket assemblies, as a catalogue's abstract
(standards.globalspec.com/std/10033742) and a public shop chart of shell threads give it.

Read there: 1.370 in × 24 threads an inch; bore of the shell 33.6 to 33.9 mm, cup 34.6 to 34.9 mm.
The standard itself was not read.
"""

import pytest

from coursekit import shells, units


def test_pitch_and_size():
    assert units.mm("1.370 in") == shells.MAJOR
    assert shells.pitch(24) == pytest.approx(1.05833, abs=0.5e-5)


def test_basic_bore_lies_in_the_chart():
    bore = shells.minor(shells.MAJOR, shells.pitch(shells.PER_INCH))
    assert 33.6 <= bore <= 33.9
    assert bore == pytest.approx(33.652, abs=0.5e-3)
    assert 34.6 <= shells.MAJOR <= 34.9
