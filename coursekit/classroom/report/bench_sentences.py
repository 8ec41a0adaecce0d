"""What a class's bench record says, in sentences for the report; `class_fits` calculates it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import floor, log10

from coursekit.classroom.bench.centre_plane import Change, Straightness
from coursekit.classroom.bench.class_fits import Fits, PullFit
from coursekit.sheets.text import long_minus, signed, unit_after


def sentences(found: Fits, names: Mapping[str, str]) -> tuple[str, ...]:
    """Return what the fits of one lesson's record say, in a sentence or two each.

    For a part that was read before and after setting they say what setting did; for any other part
    they say where it is. `names` maps a student to what to call them; students who are not in it
    are left out.
    """
    done = {(c.student, c.of) for c in found.changes}
    return (
        *(_pull(found.pull, names) if found.pull else ()),
        *(_change(c, names[c.student]) for c in found.changes if c.student in names),
        *(
            _straight(s, names[s.student])
            for s in found.straight
            if s.student in names and (s.student, s.of) not in done
        ),
    )


def _pull(fit: PullFit, names: Mapping[str, str]) -> Iterator[str]:
    if fit.model is None:
        yield f"The model of pulls could not be fitted. {fit.why}"
        return
    m, unit = fit.model, unit_after(fit.unit)
    first, hold = _with(m.first, m.first_uncertainty), _with(m.hold, m.hold_uncertainty)
    yield (
        f"The model of pulls, fitted to {fit.records} records of tacks: the first tack pulls "
        f"{first}{unit}, each further one {hold} times the one before; readings scatter about it "
        f"by {m.scatter:.2g}{unit}. A model, not a law."
    )
    for r in fit.residuals:
        if r.far and r.student in names:
            read, said = signed(r.measured, ".3g"), signed(r.model, ".3g")
            yield (
                f"{names[r.student]} read {read}{unit} {r.way} after {len(r.at)} tacks where the "
                f"model has {said}{unit}: look at that reading again before you doubt either."
            )


def _change(c: Change, name: str) -> str:
    told = {
        "nearer": "setting brought it nearer to the centre plane",
        "further off": "setting took it further off",
        "no telling": "whether setting helped can't be told from these readings",
    }
    return (
        f"{name}, {c.of} at {c.at:g} mm: {signed(c.before)} mm before, {signed(c.after)} mm after, "
        f"the change known to {c.uncertainty:.2g} mm: {told[c.verdict]}."
    )


def _straight(s: Straightness, name: str) -> str:
    lean = ""
    if s.angle_deg is not None:
        lean = f", leaning {_with(s.angle_deg, s.angle_deg_uncertainty or 0.0, '+')}°"
    part = f"{s.of} {s.stage}".rstrip()
    return (
        f"{name}, {part}: {_with(s.offset, s.offset_uncertainty, '+')} mm off the centre plane at "
        f"{s.at:g} mm{lean}, positive to the drive side."
    )


def _with(value: float, one: float, sign: str = "") -> str:
    """Return a value with its standard uncertainty, both to the second digit of the uncertainty.

    >>> _with(0.58123, 0.0216)
    '0.581 ± 0.022'
    >>> _with(0.5, 0.0, "+")
    '+0.500 ± 0.000'
    """
    places = max(0, 1 - floor(log10(one))) if one > 0 else 3
    return f"{long_minus(f'{value:{sign}.{places}f}')} ± {one:.{places}f}"
