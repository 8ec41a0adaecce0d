"""Can it be built? Every place of a placed frame where metal, parts or rules say no.

A drawing may close to a micrometre and still show a frame that nobody can build: a bore too wide
for its thread, two stays in one place, a flame on a thin belly. `check` goes through those places
and says of each what is wrong, where, by how much, and what cures it.

Two kinds of finding are kept apart. One that *forbids* can't be built, or may not be sold, as it is
drawn. One of *ease* can be built, and is every day; it says what the place costs in care. So equal
tubes never forbid a frame, although their fillet has no corner to lie in on the flanks.

What the limits rest on stands beside each of them, and where only the trade knows, it says "common
practice, no source". Three rules come from outside: the bores of a shop chart for the thread of
ISO 6696, 1.6 mm from tyre to frame (16 CFR 1512.11(b)), and 89 mm from pedal to tyre (16 CFR
1512.17(d)). The last is measured level and forward, from the pedal's centre to the arc that the
turned tyre sweeps. A pedal stands to the side of the frame, and there the arc has already swung
forward; so the gap in side view, `Frame.toe_clearance`, may be well below 89 mm on a frame that
keeps the rule.

A part that isn't given, in `Parts`, isn't checked: no thread, no finding about a thread. Without a
`RearTriangle` stays count as straight and round, with their diameter at the front all the way. A
real stay is thinner behind, so the rooms for tyre and chainring come out on the cautious side. With
one, stays, bridges and dropouts count as they are built; so do the blades of a `FrontFork`.
"""

from __future__ import annotations

from coursekit.buildable.ends import (
    Bought,
    Brake,
    FrontFork,
    RearTriangle,
    Steerer,
    without_stays,
)
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts, Pedals, Post, Ring, Sleeve, Thread
from coursekit.buildable.toe import pedal_to_tyre
from coursekit.buildable.whole import check

__all__ = [
    "Bought",
    "Brake",
    "Finding",
    "FrontFork",
    "Parts",
    "Pedals",
    "Post",
    "RearTriangle",
    "Ring",
    "Sleeve",
    "Steerer",
    "Thread",
    "check",
    "pedal_to_tyre",
    "without_stays",
]
