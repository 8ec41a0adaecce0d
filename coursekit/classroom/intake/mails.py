"""Takes a mail that was saved as a file apart: its words, and what is attached to it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from email import policy
from email.message import EmailMessage, Message
from email.parser import BytesParser
from email.utils import parsedate_to_datetime
from pathlib import PurePosixPath

from coursekit.classroom.register.outside_names import has_ending, key

MOST_PARTS = 1_000


@dataclass(frozen=True)
class MailPart:
    """One part of a mail: a name, its content, and whether it is the words of the message."""

    name: str
    data: bytes
    is_message: bool = False


def is_mail(name: str) -> bool:
    """Whether a name is that of a mail saved as a file."""
    return has_ending(name, (".eml", ".eml.txt"))


def parts(data: bytes) -> tuple[datetime | None, list[MailPart]]:
    """Return when a mail was sent, by this computer's clock, and its parts, its words first."""
    message = BytesParser(policy=policy.default).parsebytes(data)
    found: list[MailPart] = []
    for number, part in enumerate(message.walk()):
        if number > MOST_PARTS:
            raise ValueError(f"it has more than {MOST_PARTS} parts")
        if part.is_multipart():
            continue
        content = part.get_payload(decode=True)
        if not isinstance(content, bytes):
            continue
        name = _name(part)
        if not name and part.get_content_maintype() == "text":
            end = "html" if part.get_content_subtype() == "html" else "txt"
            found.append(MailPart(f"the message.{end}", _as_utf8(part, content), True))
        else:
            end = part.get_content_subtype().split("+")[0].split(".")[-1][:12]
            found.append(MailPart(name or f"attachment-{number}.{end}", content))
    return _sent(message), sorted(found, key=lambda part: not part.is_message)


def _name(part: Message) -> str:
    """Return the last part of an attachment's name, or "" if it has none."""
    said = ""
    with suppress(Exception):  # a header can be broken in any way
        said = str(part.get_filename() or "")
    last = PurePosixPath(said.replace("\\", "/")).name
    return last if key(last) else ""


def _as_utf8(part: Message, content: bytes) -> bytes:
    """Return the words of a message as UTF-8; if its character set is unknown, as they came."""
    with suppress(LookupError, UnicodeDecodeError):
        return content.decode(part.get_content_charset("utf-8")).encode()
    return content


def _sent(message: EmailMessage) -> datetime | None:
    """Return when a mail was sent, without a zone, as files' times are; None if it does not say."""
    with suppress(Exception):
        sent = parsedate_to_datetime(str(message["Date"]))
        return sent.astimezone().replace(tzinfo=None)
    return None
