"""The tubes of a placed frame as pieces to cut: both ends in phase, where every line of them ends.

End a of a piece is where its axis starts: at the shell or the seat tube, and at the lower end of
head tube and seat tube. End b is where the axis ends. Lines along the tube are counted as in
`miters`: counter-clockwise, seen from end b looking to end a. Line 0° is the underside of top tube,
down tube and chainstay, and the rear of head tube, seat tube and seatstay. Distances along a piece
start at each end's crossing of axes and grow away from the joint.
"""

from __future__ import annotations

from coursekit.pieces.cutting import Trimmed, cut_out, of_frame
from coursekit.pieces.piece import End, Piece

__all__ = [
    "End",
    "Piece",
    "Trimmed",
    "cut_out",
    "of_frame",
]
