"""The code that names a printed sheet: whose it is, of which lesson, in which version."""

from __future__ import annotations

import hashlib
import io
import re
from dataclasses import dataclass

import segno

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # no I, L, O, U: nothing to mistake in handwriting
_CODE = re.compile(r"([^/\s]+)/([a-z0-9-]+)/([0-9a-f]{6})/([0-9A-HJKMNP-TV-Z]{4})")


@dataclass(frozen=True)
class SheetCode:
    """Whose sheet, of which lesson, in which version (six hexadecimal digits)."""

    student: str
    slug: str
    version: str

    def __str__(self) -> str:
        body = f"{self.student}/{self.slug}/{self.version}"
        return f"{body}/{checksum(body)}"


def version(*facts: object) -> str:
    """Return six hexadecimal digits that change when anything printed on the sheet does.

    Examples
    --------
    >>> version("miter-angles", 31.8)
    '1a92e0'
    """
    return hashlib.sha256(repr(facts).encode()).hexdigest()[:6]


def checksum(body: str) -> str:
    """Return four characters that catch a slip in reading or typing `body`.

    They are twenty bits of SHA-256 (FIPS 180-4) in an alphabet without I, L, O and U, so that a
    wrong code passes once in a million.
    """
    bits = int.from_bytes(hashlib.sha256(body.encode()).digest()[:3], "big") >> 4
    return "".join(ALPHABET[bits >> shift & 31] for shift in (15, 10, 5, 0))


def read_code(text: str) -> SheetCode:
    """Return what the code of a sheet says; blanks at either end do not matter.

    Raises
    ------
    ValueError
        A sheet's code must be student/lesson/version/checksum; got …
        A sheet's code must match its checksum; got …

    Examples
    --------
    >>> read_code(str(SheetCode("bench-01", "miter-angles", "0f62a4"))).student
    'bench-01'
    >>> read_code("bench-01/miter-angles/0f62a4/0000")
    Traceback (most recent call last):
    ValueError: A sheet's code must match its checksum; got 'bench-01/miter-angles/0f62a4/0000'.
    Read it again, letter by letter.
    """
    found = _CODE.fullmatch(text.strip())
    if not found:
        raise ValueError(
            f"A sheet's code must be student/lesson/version/checksum; got {text!r}. "
            "Scan the square code, or copy the line in the sheet's foot."
        )
    code = SheetCode(*found.groups()[:3])
    if str(code) != found.group():
        raise ValueError(
            f"A sheet's code must match its checksum; got {text.strip()!r}. "
            "Read it again, letter by letter."
        )
    return code


def square(code: SheetCode) -> str:
    """Return the QR code (ISO/IEC 18004, error correction M) of `code` as SVG, with quiet zone."""
    drawn = io.BytesIO()
    segno.make_qr(str(code), error="m").save(
        drawn, kind="svg", border=4, omitsize=True, xmldecl=False
    )
    return drawn.getvalue().decode()
