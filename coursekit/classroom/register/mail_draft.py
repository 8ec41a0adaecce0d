"""Mail drafts: files that any mail program opens as a mail of one's own, ready to send.

The kit sends nothing. A draft has no sender, no date and no id of a message, because the program
that sends it puts them in, and so the same facts give the same bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

from coursekit.classroom.register.class_folder import Student, write_bytes
from coursekit.classroom.register.outside_names import shown, shown_lines

_KINDS = {".html": ("text", "html"), ".zip": ("application", "zip")}


@dataclass(frozen=True)
class Draft:
    """A mail to one student, with one file attached: its name and what is in it."""

    to: Student
    subject: str
    text: str
    file: str
    data: bytes


@dataclass(frozen=True)
class Written:
    """The drafts that were written, and the ids of students who have no address."""

    drafts: tuple[Path, ...]
    no_address: tuple[str, ...]


def write(drafts: Iterable[Draft], target: Path, slug: str) -> Written:
    """Write each draft into the folder `target`, as `<slug>-<student>.eml`.

    A file is written only if its bytes change. Drafts to students without an address are left out.
    """
    made, without = [], []
    for one in drafts:
        if not one.to.mail:
            without.append(one.to.id)
            continue
        made.append(target / f"{slug}-{one.to.id}.eml")
        write_bytes(made[-1], as_eml(one))
    return Written(tuple(made), tuple(without))


def as_eml(draft: Draft) -> bytes:
    """Return the draft as a message (RFC 5322), marked as one that is not sent yet."""
    name, domain = draft.to.mail.split("@")
    with suppress(UnicodeError):  # a domain beyond ASCII has a plain form too (RFC 3490)
        domain = domain.encode("idna").decode()
    message = EmailMessage(SMTP.clone(utf8=not (name + domain).isascii()))
    message["X-Unsent"] = "1"
    message["To"] = Address(_line(draft.to.name), name, domain)
    message["Subject"] = _line(draft.subject)
    message.set_content(shown_lines(draft.text))
    main, sub = _KINDS.get(Path(draft.file).suffix, ("application", "octet-stream"))
    text = {"charset": "utf-8"} if main == "text" else {}
    message.add_attachment(
        draft.data, maintype=main, subtype=sub, filename=_line(draft.file), params=text
    )
    facts = (draft.to.id, draft.to.mail, draft.subject, draft.text, draft.file)
    digest = hashlib.sha256("\0".join(facts).encode("utf-8", "replace") + draft.data).hexdigest()
    message.set_boundary(f"=_{digest[:40]}")  # neither base64 nor quoted-printable has a "=_"
    return message.as_bytes()


def _line(text: str) -> str:
    """Return a text that is fit for a header: one line, without control characters.

    What looks like an encoded word (RFC 2047) is broken up, because the library decodes it, and so
    a name could bring in the end of a line all the same.
    """
    return shown(" ".join(text.split())).replace("=?", "= ?")


def greeting(student: Student) -> str:
    """Return how a mail to a student begins."""
    return "Hello," if student.name == student.id else f"Hello {_line(student.name)},"
