"""The parts that a frame must hold, as far as they are known. See `buildable`."""

from __future__ import annotations

from dataclasses import dataclass

from coursekit.rear.chainrings import tips
from coursekit.rules import not_negative, positive, require


@dataclass(frozen=True)
class Thread:
    """The thread of a bottom-bracket shell.

    Attributes
    ----------
    major : float
        Diameter over the ground of the thread, mm: 34.798 for 1.370 in.
    pitch : float
        From ridge to ridge, mm: 25.4 / 24 for 24 threads an inch.

    Raises
    ------
    ValueError
        "The thread's pitch must be greater than 0; got 0 mm. Check the number."
    """

    major: float
    pitch: float

    def __post_init__(self) -> None:
        """Refuse what is no thread."""
        positive("thread's major diameter", self.major)
        positive("thread's pitch", self.pitch)


@dataclass(frozen=True)
class Sleeve:
    """A turned sleeve brazed to the seat tube's top: inside the tube, or over it.

    Attributes
    ----------
    plug : float
        Outside of the inner of the two where they overlap, mm.
    bore : float
        Inside of the outer of the two there, mm.
    lap : float
        How long they overlap, from the seat tube's top down, mm.
    outside : float
        Outside of a sleeve that goes over the tube, mm; 0 for one that goes into it.
    """

    plug: float
    bore: float
    lap: float
    outside: float = 0.0


@dataclass(frozen=True)
class Post:
    """A seat post.

    Attributes
    ----------
    diameter : float
        Outside, mm.
    insertion : float
        How deep it stands below the seat tube's top, mm.

    Raises
    ------
    ValueError
        "The seat post's diameter must be greater than 0; got 0 mm. Check the number."
    """

    diameter: float
    insertion: float

    def __post_init__(self) -> None:
        """Refuse what is no post."""
        positive("seat post's diameter", self.diameter)
        positive("seat post's insertion", self.insertion)


@dataclass(frozen=True)
class Ring:
    """The chainring nearest to the chainstay.

    Attributes
    ----------
    teeth : float
        How many, 10 or more.
    chainline : float
        From the frame's plane to the middle of its teeth, mm.

    Raises
    ------
    ValueError
        "The chainring must have 10 teeth or more; got 4. Count them."
    """

    teeth: float
    chainline: float

    def __post_init__(self) -> None:
        """Refuse what is no chainring."""
        require(
            self.teeth >= 10,
            "The chainring must have 10 teeth or more; got {teeth}. Count them.",
            teeth=self.teeth,
        )
        positive("chainline", self.chainline)

    @property
    def radius(self) -> float:
        """From the middle to the tips of the teeth.

        Returns
        -------
        float
            mm.

        References
        ----------
        `rear.chainrings.tips`.

        Examples
        --------
        >>> round(Ring(42, 45).radius, 2)
        88.54
        """
        return float(tips(self.teeth)) / 2


@dataclass(frozen=True)
class Pedals:
    """Cranks and pedals, for the room between toe and tyre.

    Attributes
    ----------
    crank : float
        From the bottom bracket to the pedal's axle, mm.
    out : float
        From the frame's plane to the middle of a pedal, mm.
    hold_foot : bool
        Whether clips or cleats hold the foot; 16 CFR 1512.17(d) then asks for no room.

    Raises
    ------
    ValueError
        "The crank must be greater than 0; got 0 mm. Check the number."
    """

    crank: float
    out: float
    hold_foot: bool = False

    def __post_init__(self) -> None:
        """Refuse what no pedal can be."""
        positive("crank", self.crank)
        not_negative("distance from the frame's plane to the pedal", self.out)


@dataclass(frozen=True)
class Parts:
    """What is known of the parts that the frame must hold; None is not known, and not checked.

    Attributes
    ----------
    thread : Thread, optional
        Of the shell.
    faced : float, optional
        Width of the shell once it is faced, mm.
    sleeve : Sleeve, optional
        At the seat tube's top.
    post : Post, optional
        The seat post.
    tyre : float, optional
        Width of both tyres, mm.
    ring : Ring, optional
        The chainring nearest to the stay.
    pedals : Pedals, optional
        Cranks and pedals.
    knobs : float
        How far knobs stand out of the tyres all round their section, mm, 0 or more.
    bead_seat : float, optional
        Diameter of the rims' bead seat, mm: where a rim brake's pads meet the rim.

    Raises
    ------
    ValueError
        "The tyre's width must be greater than 0; got 0 mm. Check the number."
    """

    thread: Thread | None = None
    faced: float | None = None
    sleeve: Sleeve | None = None
    post: Post | None = None
    tyre: float | None = None
    ring: Ring | None = None
    pedals: Pedals | None = None
    knobs: float = 0.0
    bead_seat: float | None = None

    def __post_init__(self) -> None:
        """Refuse a width that is none."""
        for name, width in (
            ("faced width", self.faced),
            ("tyre's width", self.tyre),
            ("bead seat", self.bead_seat),
        ):
            if width is not None:
                positive(name, width)
        not_negative("knobs", self.knobs)
