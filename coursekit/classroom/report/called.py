"""What a report calls the students: by name, told apart where two share one, or without names."""

from __future__ import annotations

import hashlib
import hmac

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.names import called as called_by_name


def called(folder: ClassFolder, names: bool = True) -> dict[str, str]:
    """Return student → what to call them, each different, in the roster's order.

    That is the name, with the id behind it where two have the same one, or the id where no name is
    known. Without `names` it is S1, S2 …, in an order that depends on the class secret.
    """
    if names:
        return called_by_name(folder.students)

    def order(id: str) -> bytes:
        return hmac.new(folder.secret, b"\0report\0" + id.encode(), hashlib.sha256).digest()

    ids = sorted((s.id for s in folder.students), key=order)
    return {id: f"S{number}" for number, id in enumerate(ids, start=1)}
