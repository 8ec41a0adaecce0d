"""A frame's papers against each other: every number that can be found in two ways."""

from __future__ import annotations

from coursekit import closure
from coursekit.buildable import Sleeve
from coursekit.closure import Check
from coursekit.sheets import end_checks, templates
from coursekit.sheets.build import SAYS, Build
from coursekit.sheets.cut_list import marks
from coursekit.tubes import Butted

BORE = 0.05  # mm that the sleeve's bore and the tube's may differ: what a bore gauge tells


def of(build: Build) -> tuple[Check, ...]:
    """Every check of a frame's papers against each other.

    These are the checks of `closure.of_frame`, the templates' marks against the cut list, the
    sleeve against its tube, rear end and fork against their own papers, and what was measured
    against what is drawn.

    Raises
    ------
    ValueError
        With the tube's name, where a tube can't be cut.
    """
    made = [*closure.of_frame(build.frame, build.trimmed, build.bench.rail)]
    made += [_marks(build, n) for n, p in build.pieces.items() if p.a.joints and p.b.joints]
    if build.sleeve is not None:
        made.append(_sleeve(build.sleeve, build.tubes["seat_tube"]))
    return (*made, *end_checks.of(build), *_recorded(build))


def _sleeve(own: Sleeve, tube: Butted) -> Check:
    """The side of the sleeve's gap that is the seat tube's own."""
    if own.outside:
        say = "sleeve: the tube it goes over, and the seat tube's outside"
        return Check(say, own.plug, float(tube.diameter), BORE)
    bore = float(tube.diameter - 2 * tube.walls[2])
    return Check("sleeve: its bore, and the seat tube's at the top", own.bore, bore, BORE)


def _recorded(build: Build) -> tuple[Check, ...]:
    """What was measured against what is drawn."""
    own, made = build.record, []
    for name, measured in own.measured.items():
        allowed = own.allowed_deg if name.endswith("_deg") else own.allowed
        say = f"record: {name.removesuffix('_deg').replace('_', ' ')}, measured and drawn"
        made.append(Check(say, measured, _drawn(build, name), allowed))
    return tuple(made)


def _drawn(build: Build, name: str) -> float:
    """What the papers say of a name of the record."""
    tube, _, what = name.rpartition("_")
    if tube in build.pieces and what == "axis":
        return build.pieces[tube].length
    if tube in build.pieces and what == "piece":
        return build.pieces[tube].finished
    if tube in build.pieces and what == "marks":
        return _marks(build, tube).other
    return float(getattr(build.frame, "front_radius" if name == "wheel_radius" else name))


def _marks(build: Build, name: str) -> Check:
    """From mark to mark, by the template and by the cut list."""
    found = dict(marks(build.trimmed[name]))
    apart = found["mark b"] - found["mark a"]
    template = float(templates.draw(build, name, "a0").apart)
    say = f"{SAYS[name]}: mark to mark, template and cut list"
    return Check(say, template, apart, arithmetic=True)  # both lay the same marks on the tube


def in_short(build: Build) -> str:
    """Whether the frame can be built, in a line or two for the dossier's cover.

    Raises
    ------
    ValueError
        With the tube's name, where a tube can't be cut.
    """
    bars = [found for found in build.findings if found.forbids]
    care = len(build.findings) - len(bars)
    if bars:
        told = "; ".join(f"{found.where}, {found.what}" for found in bars[:2])
        rest = f" and {len(bars) - 2} more" if len(bars) > 2 else ""
        cure = "Mend the frame file first; coursekit sheets closure says how."
        return f"Not as it is drawn: {told}{rest}. {cure}"
    more = f" {_places(care)} more care; coursekit sheets closure lists them." if care else ""
    return f"Nothing that the kit checks forbids it.{more}"


def _places(count: int) -> str:
    return "1 place takes" if count == 1 else f"{count} places take"


def open_ones(build: Build) -> tuple[Check, ...]:
    """Those of the checks that don't close."""
    return tuple(check for check in of(build) if not check.closes)
