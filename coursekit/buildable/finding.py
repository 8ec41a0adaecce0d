"""What a check of a frame finds. The picture is that of `buildable`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One place of a frame that can't be built as drawn, or that costs more care.

    Attributes
    ----------
    what : str
        What is wrong, the same words for the same rule.
    where : str
        The tube or the joint.
    by : float
        How far the place is beyond its limit, above 0.
    unit : str
        Unit of `by`.
    cure : str
        What to do about it, a sentence.
    ease : str
        What the place costs where it can be built all the same; empty where it can't.
    """

    what: str
    where: str
    by: float
    unit: str
    cure: str
    ease: str = ""

    @property
    def forbids(self) -> bool:
        """Whether the frame can't be built before this is cured."""
        return not self.ease

    @property
    def say(self) -> str:
        """The finding as one line of text.

        Returns
        -------
        str
            Where, what, by how much, the cure, and what it costs.

        Examples
        --------
        >>> Finding("the bore is too wide to tap", "shell", 1.1, "mm", "Take a thicker shell.").say
        'shell: the bore is too wide to tap, by 1.1 mm. Take a thicker shell.'
        """
        told = f"{self.where}: {self.what}, by {_shown(self.by)} {self.unit}. {self.cure}"
        return f"{told} {self.ease}" if self.ease else told


def _shown(by: float) -> str:
    """The amount to a tenth, or finer where a tenth would read as none.

    Examples
    --------
    >>> _shown(1.098), _shown(0.0412), _shown(0.0004)
    ('1.1', '0.04', 'less than 0.01')
    """
    if by >= 0.1:
        return f"{by:.1f}"
    return f"{by:.2f}" if by >= 0.01 else "less than 0.01"
