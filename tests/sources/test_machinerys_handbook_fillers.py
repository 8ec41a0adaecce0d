"""Brazing filler metals.

Source: Machinery's Handbook, 31st ed., Tables 1a and 1b (after AWS A5.8-1981), °F as printed; the
°C column rounded from them. Clearance 0.002 to 0.005 in: note to Table 1a (BAg); AWS Brazing
Handbook, from memory (RBCuZn); quoted second-hand (copper, 0.000 to 0.002 in).
"""

import pytest

from coursekit import brazing

# class, solidus, liquidus, range °F; the same in °C
TABLE = [
    ("RBCuZn-A", 1630, 1650, 1670, 1750, 888, 899, 910, 954),
    ("RBCuZn-C", 1590, 1630, 1670, 1750, 866, 888, 910, 954),
    ("RBCuZn-D", 1690, 1715, 1720, 1800, 921, 935, 938, 982),
    ("BAg-5", 1250, 1370, 1370, 1550, 677, 743, 743, 843),
    ("BAg-7", 1145, 1205, 1205, 1400, 618, 652, 652, 760),
    ("BAg-24", 1220, 1305, 1305, 1550, 660, 707, 707, 843),
    ("BCu-1", 1980, 1980, 2000, 2100, 1082, 1082, 1093, 1149),
]
PARTS = {
    "RBCuZn-A": {"Cu": 59, "Zn": 41},
    "RBCuZn-C": {"Cu": 58, "Zn": 40, "Fe": 0.7, "Mn": 0.3, "Sn": 1, "Si": 0.1},
    "RBCuZn-D": {"Cu": 48, "Zn": 42, "Ni": 10, "Si": 0.2},
    "BAg-5": {"Ag": 45, "Cu": 30, "Zn": 25},
    "BAg-7": {"Ag": 56, "Cu": 22, "Zn": 17, "Sn": 5},
    "BAg-24": {"Ag": 50, "Cu": 20, "Zn": 28, "Ni": 2},
    "BCu-1": {"Cu": 100},
}


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row[0])
def test_temperatures(row):
    filler = brazing.filler(row[0])
    printed = (filler.solidus_f, filler.liquidus_f, *filler.range_f)
    assert printed == row[1:5]
    celsius = (filler.solidus, filler.liquidus, *filler.working)
    assert celsius == pytest.approx(row[5:], abs=0.51)


@pytest.mark.parametrize("name", PARTS)
def test_parts(name):
    """As printed; where the print sums to more than 100, zinc takes the difference."""
    parts = brazing.filler(name).parts
    assert set(parts) == set(PARTS[name])
    for metal, percent in PARTS[name].items():
        assert parts[metal] == pytest.approx(percent, abs=0.25)
    assert sum(parts.values()) == pytest.approx(100, abs=1e-9)


def test_every_filler_of_the_table_is_offered_and_no_other():
    assert set(brazing.fillers) == {row[0] for row in TABLE}


@pytest.mark.parametrize("name", [row[0] for row in TABLE[:-1]])
def test_clearance(name):
    """0.002 to 0.005 in, 0.051 to 0.127 mm."""
    assert brazing.filler(name).clearance_in == (0.002, 0.005)
    assert brazing.filler(name).clearance == pytest.approx((0.051, 0.127), abs=5e-4)


def test_clearance_of_copper():
    assert brazing.filler("BCu-1").clearance == pytest.approx((0.0, 0.0508), abs=5e-5)


@pytest.mark.parametrize("name", ["BAg-1", "BAg-3"])
def test_cadmium_is_not_offered(name):
    assert name not in brazing.fillers
    with pytest.raises(ValueError, match="free of cadmium"):
        brazing.filler(name)


def test_brazing_is_above_450_degrees():
    """Definition of brazing: filler liquidus above 840 °F (450 °C) (AWS Brazing Handbook, 5th ed.)."""
    assert brazing.celsius(840) == pytest.approx(450, abs=2)
    assert min(f.liquidus for f in brazing.fillers.values()) > 450
