"""What the tubes of rear end and fork are called on paper, and how they go together there."""

from __future__ import annotations

from collections.abc import Iterable

from coursekit.pieces import STANDING
from coursekit.sheets import text
from coursekit.sheets.build import SAYS, Build
from coursekit.stays import CutStay

MORE = {
    "right_blade": "fork blade, drive side",
    "left_blade": "fork blade, non-drive side",
    "mono_tube": "mono-tube",
    "chainstay_bridge": "chainstay bridge",
    "seatstay_bridge": "seatstay bridge",
    "steerer": "steerer",
    "middle": "each other",
    "cap": "cap",
}


def said(name: str) -> str:
    """A tube's name on paper."""
    return MORE.get(name) or SAYS.get(name) or name.replace("_", " ")


def tubes(build: Build) -> dict[str, CutStay]:
    """Every tube of rear end and fork, both sides, in the order of printing."""
    made: dict[str, CutStay] = {}
    if build.ends.rear is not None:
        made |= build.ends.rear.tubes
    if build.ends.front is not None:
        made |= build.ends.front.tubes
    return made


def groups(build: Build) -> dict[str, list[CutStay]]:
    """The tubes by the page that they stand on."""
    found: dict[str, list[CutStay]] = {}
    for name, cut in tubes(build).items():
        title = "bridges" if "bridge" in name else "mono-tube" if name == "mono_tube" else ""
        plain = said(name).split(",")[0]
        found.setdefault(title or f"{plain}s", []).append(cut)
    return found


def once(cuts: Iterable[CutStay]) -> list[CutStay]:
    """Of a pair the right one."""
    return [cut for cut in cuts if not cut.stay.name.startswith("left_")]


def lines(cut: CutStay) -> tuple[str, ...]:
    """What the lines at 0°, 90°, 180° and 270° are called; a blade's are those of what stands."""
    return STANDING if cut.stay.name.endswith("_blade") else cut.stay.lines


def bends(cut: CutStay) -> list[tuple[str, str]]:
    """Where each bend begins and ends from the finished end a, and how it is bent."""
    names, made = lines(cut), []
    for k, bend in enumerate(cut.stay.line.bends, start=1):
        at, end = bend.at - cut.a.long_point, bend.end - cut.a.long_point
        toward = round(bend.toward_deg / 90.0) % 4
        side = names[toward] if abs(bend.toward_deg % 360 - 90 * toward) < 1 else ""
        side = side or f"{text.number(bend.toward_deg)}°"
        how = f"{text.number(round(bend.angle_deg, 2))}° on R {text.number(round(bend.radius, 1))}"
        made.append((f"bend {k}, from {at:.1f} to {end:.1f} mm", f"{how}, toward {side}"))
    return made
