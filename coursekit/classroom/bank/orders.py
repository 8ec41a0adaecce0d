"""Orders of given labels: what a student or a key wrote, turned into the labels themselves."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations


def label(written: object) -> str:
    """Return the form in which `written`, a label or a bare number, is compared.

    Capitals, blanks and a degree sign do not count.

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
    that stands there more than once, and one that is missing. An empty place, None, says nothing.

    >>> ordered(("0°", "90°", "180°"), [180, "0", "90°"])
    ('180°', '0°', '90°')
    >>> ordered(("0°", "90°", "180°"), [0, 0, 45])
    Traceback (most recent call last):
    ValueError: Each of 0°, 90°, 180° must stand there once: “45” is not among them;
    0° stands there 2 times; 90°, 180° missing.
    >>> ordered(("0°", "90°", "180°"), [90, None, None])
    Traceback (most recent call last):
    ValueError: The order is not complete: 0° and 180° are missing.
    """
    written = [item for item in written if item is not None]
    known = {label(entry): entry for entry in entries}
    named = [known.get(label(item), "") for item in written]
    unknown = [_said(item) for item, entry in zip(written, named, strict=True) if not entry]
    faults = [f"“{item}” is not among them" for item in unknown]
    faults += [
        f"{entry} stands there {n} times" for entry in entries if (n := named.count(entry)) > 1
    ]
    missing = [entry for entry in entries if entry not in named]
    if missing and not faults:
        *some, last = missing
        names = f"{', '.join(some)} and {last} are" if some else f"{last} is"
        raise ValueError(f"The order is not complete: {names} missing.")
    if missing:
        faults.append(f"{', '.join(missing)} missing")
    if faults:
        raise ValueError(
            f"Each of {', '.join(entries)} must stand there once: {'; '.join(faults)}."
        )
    return tuple(named)


def pairs_wrong(order: Sequence[str], best: Sequence[str]) -> tuple[int, int]:
    """Return how many pairs of labels stand the other way round than in `best`, and of how many.

    It is Kendall's distance between two orders (Kendall, Biometrika 30 (1938) 81; from memory).

    >>> pairs_wrong(("b", "a", "c"), ("a", "b", "c"))
    (1, 3)
    """
    place = {step: i for i, step in enumerate(order)}
    wrong = [place[a] > place[b] for a, b in combinations(best, 2)]
    return sum(wrong), len(wrong)


def share_of_pairs(order: Sequence[str], best: Sequence[str]) -> tuple[float, str]:
    """Return the share of the marks for `order` by the pairs that stand the right way, and why.

    It falls evenly from 1, with every pair right, to 0, with half of the pairs wrong or more.

    >>> share_of_pairs(("d", "a", "b", "c"), ("a", "b", "c", "d"))
    (0.0, '50% of the pairs of steps stand in the right order.')
    """
    wrong, count = pairs_wrong(order, best)
    right = 1 - wrong / count
    return max(2 * right - 1, 0.0), f"{right:.0%} of the pairs of steps stand in the right order."


def share_in_line(order: Sequence[str], best: Sequence[str]) -> tuple[float, str]:
    """Return the share of the marks for an order in which each step needs the one before, and why.

    `best` earns 1, an order with one pair wrong 0.8, and each further wrong pair costs 0.2.

    >>> share_in_line(("b", "a", "c"), ("a", "b", "c"))
    (0.8, '1 of the 3 pairs stands the other way round.')
    """
    wrong, count = pairs_wrong(order, best)
    if not wrong:
        return 1.0, "Each step stands on the one before it."
    stand = "stands" if wrong == 1 else "stand"
    share = max(0.0, 0.8 - 0.2 * (wrong - 1))
    return share, f"{wrong} of the {count} pairs {stand} the other way round."
