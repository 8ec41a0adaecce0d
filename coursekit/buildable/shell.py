"""The bottom-bracket shell: bore against thread, metal to face off, tubes inside the faces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from coursekit import shells
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts, Thread
from coursekit.pieces import Trimmed
from coursekit.tubes import Butted

# Bores of 33.6 to 33.9 mm for 1.370 in × 24 TPI (a shop chart of shell threads) leave 87 to 65 per
# cent of the thread, as `shells.engaged` counts; by these shares other threads are judged as well.
WIDEST, NARROWEST = 33.9, 33.6  # mm
ROOT_WALL = 1.0  # mm of shell left outside the ground of the thread; common practice, no source
TO_FACE = 0.25  # mm to cut off each face; common practice, no source
CLEAR_OF_FACE = 3.0  # mm from a tube's edge to the finished face, for its fillet; the same
WHERE = "bottom-bracket shell"


def bores(thread: Thread) -> tuple[float, float]:
    """Return the narrowest and the widest bore to tap a thread in.

    Parameters
    ----------
    thread : Thread
        The thread.

    Returns
    -------
    tuple of float
        mm.

    References
    ----------
    A shop chart of shell threads: 33.6 to 33.9 mm for 1.370 in × 24 TPI.

    Examples
    --------
    >>> [round(float(bore), 3) for bore in bores(Thread(34.798, 25.4 / 24))]
    [33.6, 33.9]
    >>> [round(float(bore), 2) for bore in bores(Thread(36.0, 25.4 / 24))]
    [34.8, 35.1]
    """
    cut = [(shells.MAJOR - bore) * shells.PER_INCH / 25.4 for bore in (NARROWEST, WIDEST)]
    return thread.major - cut[0] * thread.pitch, thread.major - cut[1] * thread.pitch


def findings(
    tubes: Mapping[str, Butted], trimmed: Mapping[str, Trimmed], parts: Parts
) -> Iterator[Finding]:
    """Return what is wrong with the shell.

    Parameters
    ----------
    tubes : mapping of str to tubes.Butted
        The tubes as bought, "shell" among them.
    trimmed : mapping of str to Trimmed
        The other tubes as cut.
    parts : Parts
        Thread and faced width count.

    Yields
    ------
    Finding
        Each of them.
    """
    shell = tubes["shell"]
    if parts.thread is not None:
        yield from _thread(shell, parts.thread)
    if parts.faced is not None:
        spare = (float(shell.length) - parts.faced) / 2
        if spare < TO_FACE:
            yield Finding(
                "too little metal to face off each side",
                WHERE,
                TO_FACE - spare,
                "mm",
                f"Take a shell {parts.faced + 2 * TO_FACE:.1f} mm long or longer, or face it "
                "narrower.",
            )
    width = float(shell.length) if parts.faced is None else parts.faced
    for name, cut in trimmed.items():
        if "shell" in cut.piece.a.meets and not name.startswith("left_"):
            yield from _over_face(name, cut, width / 2)


def _thread(shell: Butted, thread: Thread) -> Iterator[Finding]:
    bore, (least, most) = float(shell.diameter - 2 * min(shell.walls)), bores(thread)
    wall = (float(shell.diameter) - thread.major) / 2
    fit = f"{least:.1f} to {most:.1f} mm"
    if bore > most:
        cure = f"Take a shell with a thicker wall: the thread wants a bore of {fit}."
        yield Finding("the bore is too wide for the thread", WHERE, bore - most, "mm", cure)
    if bore < least:
        cure = f"Bore it to {fit} before the tap goes in."
        yield Finding("the bore is too narrow for the tap", WHERE, least - bore, "mm", cure)
    if wall < ROOT_WALL:
        cure = f"Take a shell {thread.major + 2 * ROOT_WALL:.1f} mm thick or thicker."
        missing = ROOT_WALL - wall
        yield Finding("too little wall outside the thread", WHERE, missing, "mm", cure)


def _over_face(name: str, cut: Trimmed, half: float) -> Iterator[Finding]:
    """How far the edge of a tube reaches over the finished face, or comes near it."""
    room = half - float(cut.piece.edge("a")[:, 2].max())
    say = name.removeprefix("right_").replace("_", " ")
    where = f"{say}s on the shell" if name.startswith("right_") else f"{say} on the shell"
    if room < 0:
        cure = "Bring the stays closer together at the shell, or take a wider shell."
        yield Finding("the tube's edge reaches past the finished face", where, -room, "mm", cure)
    elif room < CLEAR_OF_FACE:
        yield Finding(
            "the fillet has little room beside the finished face",
            where,
            CLEAR_OF_FACE - room,
            "mm",
            "Bring the stays closer together at the shell, or keep the bead small there.",
            "The facing tool would cut into a full bead, so file its toe back before you face.",
        )
