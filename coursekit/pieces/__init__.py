"""The tubes of a placed frame as pieces to cut: both ends in phase, where every line of them ends.

End a of a piece is where its axis starts: the shell's end; of top tube and seatstay the seat tube's
end; of the head tube its lower end. End b is where the axis ends. Distances along a piece start at
each end's crossing of axes and grow away from the joint.

Lines along a tube are named by where they lie on the bicycle, the same way on every tube: 0° the
underside, 90° the drive side, 180° the upper side, 270° the non-drive side. Tubes that stand (head
tube, seat tube, seatstays) have their rear at 0° and their front at 180°. So the degrees count
counter-clockwise, seen from behind the bicycle; on a tube that stands, seen from above. Which end
of the tube you look from differs from tube to tube, so go by the names.

*Obtuse*, *acute* and *flank* are words about a joint, as in `miters`: the obtuse line of the top
tube is its upper side at the seat tube and its underside at the head tube.
"""

from __future__ import annotations

from coursekit.pieces.cutting import Trimmed, cut_out, of_frame
from coursekit.pieces.piece import LYING, STANDING, End, Piece

__all__ = [
    "LYING",
    "STANDING",
    "End",
    "Piece",
    "Trimmed",
    "cut_out",
    "of_frame",
]
