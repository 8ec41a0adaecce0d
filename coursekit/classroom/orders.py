"""Orders of given labels: what a student or a key wrote, turned into the labels themselves."""

from __future__ import annotations

from collections.abc import Sequence


def label(written: object) -> str:
    """Return what `written`, a label or a bare number, is compared by.

    Capitals, blanks and a sign of degree do not count.

    >>> label("90°"), label(" 90 deg"), label(90.0)
    ('90', '90', '90')
    >>> label("Seat tube")
    'seattube'
    """
    if isinstance(written, int | float) and not isinstance(written, bool):
        return f"{written:g}"
    word = "".join(str(written).split()).casefold()
    for sign in ("°", "degrees", "deg"):
        if word.endswith(sign) and word[: -len(sign)].replace(".", "").lstrip("+-").isdigit():
            word = word[: -len(sign)]
    return word


def _said(written: object) -> str:
    return f"{written:g}" if isinstance(written, float) else str(written)[:20]


def ordered(entries: Sequence[str], written: Sequence[object]) -> tuple[str, ...]:
    """Return `entries` in the order that `written` names them.

    Raises ValueError, in words for whoever wrote it, for a label that is not among the entries, one
    that stands there more than once, and one that is missing.

    >>> ordered(("0°", "90°", "180°"), [180, "0", "90°"])
    ('180°', '0°', '90°')
    >>> ordered(("0°", "90°", "180°"), [0, 0, 45])
    Traceback (most recent call last):
    ValueError: Each of 0°, 90°, 180° must stand there once: “45” is not among them; 0° stands there 2 times; 90°, 180° missing.
    """
    known = {label(entry): entry for entry in entries}
    named = [known.get(label(item), "") for item in written]
    unknown = [_said(item) for item, entry in zip(written, named, strict=True) if not entry]
    faults = [f"“{item}” is not among them" for item in unknown]
    faults += [
        f"{entry} stands there {n} times" for entry in entries if (n := named.count(entry)) > 1
    ]
    if missing := ", ".join(entry for entry in entries if entry not in named):
        faults.append(f"{missing} missing")
    if faults:
        raise ValueError(
            f"Each of {', '.join(entries)} must stand there once: {'; '.join(faults)}."
        )
    return tuple(named)
