"""Axle spacings against public lists of hub widths ("over-locknut dimension").

Sources, read as web pages: a repair shop's list of rear hub widths (120: five speeds; 126: six and some
seven; 130: eight and nine, road; 135: eight and nine, mountain); a public list of spacings, which adds 110
for coaster brake and other single-speed hubs; a forum's account of through axles, by which a hub 142 wide
stands like one of 135 whose ends sink 3.5 mm into each dropout. No standard was read: common practice.
"""

import pytest

from coursekit import rear

LISTED = {
    "110": ("coaster", "one gear"),
    "120": ("five",),
    "126": ("six", "seven"),
    "130": ("road",),
    "135": ("trail",),
}


@pytest.mark.parametrize("name", LISTED)
def test_width_and_use(name):
    axle = rear.AXLES[name]
    assert axle.spacing == float(name)
    assert axle.kind == "slot"
    assert all(word in axle.use for word in LISTED[name])


def test_through_axle_of_142_is_135_and_two_sinks():
    assert rear.AXLES["142 through"].spacing == rear.AXLES["135"].spacing + 2 * 3.5
    assert rear.AXLES["142 through"].kind == "through"


def test_every_size_says_where_it_comes_from():
    assert all("common practice, no source" in axle.use for axle in rear.AXLES.values())
