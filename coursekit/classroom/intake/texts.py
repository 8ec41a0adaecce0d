"""Finds answer texts in whatever carries them: a file of any name, a message, a page's words."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from coursekit.classroom.bank import answer_text
from coursekit.classroom.bank.answer_text import FIRST, AnswerText

LARGEST_TEXT = 2_000_000  # bytes of a file in which answers are looked for
_QUOTED = r"^(?:> ?){0,20}"  # the marks that mail programs put before a quoted line
_LINE = re.compile(rf"{_QUOTED}[ \t]{{0,20}}{FIRST}[ \t]*$", re.IGNORECASE | re.MULTILINE)
# messengers put the time and a name before a message that is copied: "[19:22, 3.12.2026] Tom: "
_START = re.compile(
    rf"{_QUOTED}(?:[^\n]{{0,200}}[:\]] )?[ \t]{{0,20}}{FIRST}[ \t]*$"
    r"(?=(?:\n[> \t]{0,40}){0,5}\n(?:> ?){0,20}[ \t]{0,20}lesson:)",
    re.IGNORECASE | re.MULTILINE,
)
_MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
_LINES = {"br", "p", "div", "li", "tr", "pre", "blockquote", "h1", "h2", "h3", "hr", "table"}
_UNSEEN = {"script", "style", "head", "template"}


def decoded(data: bytes) -> str | None:
    """Return the text in `data`, in whichever way a program saved it, or None if it is none."""
    text = _decoded(data)
    return None if text is None else text.replace("\r\n", "\n").replace("\r", "\n")


def _decoded(data: bytes) -> str | None:
    for mark, name in _MARKS:
        if data.startswith(mark):
            return data.decode(name, "replace")
    if data[1:200:2].count(0) > 40 or data[:200:2].count(0) > 40:
        return data.decode("utf-16-le" if data[1:2] == b"\0" else "utf-16-be", "replace")
    if b"\0" in data:
        return None
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def words(text: str) -> str:
    """Return what a reader of `text` sees, if it is a web page; else the text itself."""
    if not is_web_page(text):
        return text
    page = _Words()
    page.feed(text)
    page.close()
    return "".join(page.found)


def is_web_page(text: str) -> bool:
    """Whether a text is HTML, as mail programs and browsers write it."""
    return bool(re.match(r"\ufeff?\s*(<!--.*?-->\s*)?<(!doctype html|html|head|body|div|p|meta)\b",
                         text[:2000], re.IGNORECASE | re.DOTALL))  # fmt: skip


def answers_in(text: str) -> list[tuple[AnswerText, str]]:
    """Return every answer text in `text` with its words, in its order, quoted older ones too."""
    found = list(_START.finditer(text))
    ends = [*(start.start() for start in found[1:]), len(text)]
    pieces = [FIRST + _without_first(text[a.end() : b]) for a, b in zip(found, ends, strict=False)]
    return [(one, piece) for piece in pieces if (one := answer_text.read(piece))]


def _without_first(rest: str) -> str:
    """Return the rest of an answer text so that no line of it can be taken for the first.

    A student may have written such a line; white space does not count in the text's check.
    """
    return _LINE.sub(lambda line: line[0].replace(" ", "  "), rest)


def is_beginning(text: str) -> bool:
    """Whether answers begin in `text` but are cut off before they say whose they are."""
    return bool(_LINE.search(text)) and not answers_in(text)


def is_answer_page(text: str) -> bool:
    """Whether `text` is the answer page itself, not what it saves."""
    return is_web_page(text) and FIRST in text


class _Words(HTMLParser):
    """Gathers the words of a page, with a line's end where the page has one."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self._unseen = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self._unseen += tag in _UNSEEN
        if tag in _LINES:
            self.found.append("\n")

    def handle_endtag(self, tag: str) -> None:
        self._unseen = max(0, self._unseen - (tag in _UNSEEN))
        if tag in _LINES:
            self.found.append("\n")

    def handle_data(self, data: str) -> None:
        if not self._unseen:
            self.found.append(data)
