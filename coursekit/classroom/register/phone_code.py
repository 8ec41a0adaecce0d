"""A student's own code, by which a phone comes in to the bench form as that student's.

It is an HMAC of the class secret over the student: 40 bits as eight letters and digits. It stands
on the student's worksheets, so a student who gets another id keeps it.
"""

from __future__ import annotations

import hashlib
import hmac

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.former_ids import first_id
from coursekit.sheets.code import ALPHABET

LENGTH = 8


def phone_code(folder: ClassFolder, student: str) -> str:
    """Return a student's code without the dash that it is printed with."""
    message = "\0".join(("", "phone", first_id(folder, student))).encode()
    bits = int.from_bytes(hmac.new(folder.secret, message, hashlib.sha256).digest()[:5], "big")
    return "".join(ALPHABET[bits >> 5 * i & 31] for i in reversed(range(LENGTH)))


def codes(folder: ClassFolder) -> dict[str, str]:
    """Return code → student of the whole class."""
    return {phone_code(folder, s.id): s.id for s in folder.students}


def printed(code: str) -> str:
    """Return a code as it is printed and read aloud, in two halves.

    >>> printed("7KQ2MX4D")
    '7KQ2-MX4D'
    """
    return f"{code[: LENGTH // 2]}-{code[LENGTH // 2 :]}"


def tidy(typed: str) -> str:
    """Return a code as it was meant: in capitals, without spaces, with 0 for O and 1 for I or L.

    >>> tidy(" 7kq2-mo1l ")
    '7KQ2M011'
    """
    kept = "".join(c for c in typed[:40].upper() if c.isalnum())
    return kept.translate(str.maketrans("OIL", "011"))
