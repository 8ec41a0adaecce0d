"""Walls by gauge number, inches as printed.

Source: BWG (Stubs iron wire) and British SWG (BS 3737); four public tables agree for 14 to 26.
"""

import pytest

from coursekit import units

TABLE = {
    14: ("0.083", 2.1082, "0.080", 2.0320), 15: ("0.072", 1.8288, "0.072", 1.8288),
    16: ("0.065", 1.6510, "0.064", 1.6256), 17: ("0.058", 1.4732, "0.056", 1.4224),
    18: ("0.049", 1.2446, "0.048", 1.2192), 19: ("0.042", 1.0668, "0.040", 1.0160),
    20: ("0.035", 0.8890, "0.036", 0.9144), 21: ("0.032", 0.8128, "0.032", 0.8128),
    22: ("0.028", 0.7112, "0.028", 0.7112), 23: ("0.025", 0.6350, "0.024", 0.6096),
    24: ("0.022", 0.5588, "0.022", 0.5588), 25: ("0.020", 0.5080, "0.020", 0.5080),
    26: ("0.018", 0.4572, "0.018", 0.4572),
}  # fmt: skip


@pytest.mark.parametrize("gauge", TABLE)
def test_gauge(gauge):
    bwg, bwg_mm, swg, swg_mm = TABLE[gauge]
    assert units.mm(f"{gauge} BWG") == units.mm(f"{bwg} in") == bwg_mm
    assert units.mm(f"{gauge} SWG") == units.mm(f"{swg} in") == swg_mm
