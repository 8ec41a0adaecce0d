"""Markup that a student made, cut down to what any viewer may show to an instructor.

A viewer such as formgrader shows raw HTML as it finds it, with the rights of whoever looks. So HTML
is cut down to tables and text, Markdown loses its HTML, its pictures and all links but web
addresses, and formulas lose the commands that reach out of a formula. Text that is too long is cut
before anything reads all of it, because a converter's time may grow with the square of the length.
Each kind is cleaned until nothing changes any more, so cleaning it again leaves it as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from typing import Any

LONGEST_MARKDOWN = 8_000  # characters of one text
LONGEST_HTML = 200_000  # characters of one output
MOST_TAGS = 6_000  # tags, and characters like < and & that HTML must escape, of one output
MOST_ROWS = 200  # of the tables of one output
LONGEST_FORMULA = 20_000
LONGEST_CODE = 20_000  # characters of one cell
_TOO_LONG = "This output is too long to show here: "
PART_ABOVE = _TOO_LONG + "the first part is above."
ROWS_ABOVE = _TOO_LONG + f"the first {MOST_ROWS} rows are above."
TEXT_CUT = "This text is too long to show here: the first part is above."
CODE_CUT = "# This code is too long to show here: the first part is above."
NOT_SHOWN = "This output cannot be shown here."
_MOST_ROUNDS = 6  # rounds of cleaning; two are enough for honest work

_BLOCKS = ("blockquote", "div", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "p", "pre")
_LISTS = ("dd", "dl", "dt", "li", "ol", "ul")
_TABLES = ("caption", "table", "tbody", "td", "th", "thead", "tr")
_WORDS = (
    "a",
    "abbr",
    "b",
    "br",
    "code",
    "del",
    "em",
    "i",
    "s",
    "span",
    "strong",
    "sub",
    "sup",
    "u",
)
_TAGS = frozenset((*_BLOCKS, *_LISTS, *_TABLES, *_WORDS))
# what stands between these tags is not text for a reader
_NO_TEXT = ("script", "style", "title", "template", "noscript", "textarea", "iframe", "svg", "math")
_ATTRIBUTES = {  # what the usual libraries write into a table
    ("table", "border"): re.compile(r"\d{1,2}"),
    ("table", "class"): re.compile("dataframe"),
    ("td", "colspan"): re.compile(r"\d{1,3}"),
    ("td", "rowspan"): re.compile(r"\d{1,3}"),
    ("th", "colspan"): re.compile(r"\d{1,3}"),
    ("th", "rowspan"): re.compile(r"\d{1,3}"),
    ("a", "href"): re.compile(r"https?://[^\s\\]+", re.IGNORECASE),
}
# "<" with the name of its tag, and each character that HTML must escape ("&lt;" for "<" and so on)
_SIGN = re.compile(r"<(/?)([A-Za-z][A-Za-z0-9]*)|<!|[<>&]")
_LEFT_OPEN = frozenset(("br", "col", "dd", "dt", "hr", "img", "li", "p", "td", "th", "tr"))
_DEEPEST = 200  # tags inside one another
_LONGEST_TAG = 2_000  # characters
_ALIGNED = re.compile(r"\s*text-align:\s*(left|right|center|justify);?\s*")
# the kind of paragraph in which this kit itself shows a mark
_ENTITY = "&(?:lt|gt|amp|quot|#x27);"
_PLAIN = re.compile(rf"<p>(?:[^<>&]|<b>(?:[^<>&]|{_ENTITY})*</b>|<br>|{_ENTITY})*</p>")
_MOST_PLAIN = 2_000  # characters

# an invisible character without width; between two others it keeps a parser from reading a tag
_JOINER = "\u2060"
_TAG_START = re.compile(r"<(?=[A-Za-z/!?])")
_IN_FORMULA = re.compile(r"\$[^$]{1,2000}\$")
_PICTURE = re.compile(r"!\[([^\[\]\n]{0,300})\](?=[(\[])(\(\s*[A-Za-z]+)?")
_LINK = re.compile(r"\](?=[(:])(?![(:]\s*https?://)", re.IGNORECASE)
_HEADING = re.compile(r"(?<![^\s>])(#{1,6}[ \t]*)(?![#\s\u2060])")
_UNDERLINED = re.compile(r"(?<=[^\s\u2060])[ \t]*(?=\n[ \t>]{0,20}(?:=+|-+)[ \t]*(?:\n|\Z))")
_DIAGRAM = re.compile(r"m(?=ermaid)", re.IGNORECASE)
_REACHING = re.compile(
    r"\\(?=(?:href|url|require|class|cssId|style|html[A-Z][A-Za-z]*|data|unicode|csname|"
    r"mmlToken|bbox|includegraphics)(?![A-Za-z]))"
)

_GAP = re.compile(r"\s{200,}")  # a code highlighter reads such a gap again from each of its lines


def settled(clean: Callable[[str], str], text: str, otherwise: str = NOT_SHOWN) -> str:
    """Return `text` as `clean` leaves it once cleaning it again changes nothing.

    One round is not always enough, because a parser moves text about and a cut may fall in the
    middle of an escaped character. Text that never settles is not shown; `otherwise` is returned
    in its place.
    """
    for _ in range(_MOST_ROUNDS):
        cleaned = clean(text)
        if cleaned == text:
            return text
        text = cleaned
    return otherwise


def html(text: str) -> str:
    """Return the HTML of an output as tables and text, with all tags closed and not too long."""
    return text if is_mark(text) else settled(_html, text)


def is_mark(text: str) -> bool:
    """Whether `text` is a paragraph in which this kit shows a mark, which is clean already."""
    return len(text) <= _MOST_PLAIN and bool(_PLAIN.fullmatch(text))


def _html(text: str) -> str:
    text, said = cut_html(text)
    for tag in _NO_TEXT:
        text = _without(text, tag)
    return str(_cleaner().clean(text)) + (f"<p>{said}</p>" if said else "")


def cut_html(text: str) -> tuple[str, str]:
    """Return the part of HTML that is kept, and a sentence about the rest, "" if it is whole."""
    end, said = len(text), ""
    if end > LONGEST_HTML:
        end, said = LONGEST_HTML, PART_ABOVE
    rows = open_tags = 0
    for signs, found in enumerate(_SIGN.finditer(text, 0, end), start=1):
        name, at = (found[2] or "").lower(), found.start()
        rows += name == "tr" and not found[1]
        if name and name not in _LEFT_OPEN:
            open_tags = max(0, open_tags + (-1 if found[1] else 1))
        if rows > MOST_ROWS:
            return text[:at], ROWS_ABOVE
        if signs > MOST_TAGS or open_tags > _DEEPEST or _is_endless(found):
            return text[:at], PART_ABOVE
    return text[:end], said


def _is_endless(tag: re.Match[str]) -> bool:
    at = tag.start()
    return len(tag[0]) > 1 and tag.string.find(">", at, at + _LONGEST_TAG) < 0


def _without(text: str, tag: str) -> str:
    """Return `text` without the elements `tag`; one that is not closed reaches to the end."""
    low, kept, at = text.lower(), [], 0
    if len(low) != len(text):  # some letter is longer in lower case; bleach removes the tags later
        return text
    while (start := low.find(f"<{tag}", at)) >= 0:
        kept.append(text[at:start])
        close = low.find(f"</{tag}", start)
        end = low.find(">", close) if close >= 0 else -1
        at = end + 1 if end >= 0 else len(text)
    return "".join(kept) + text[at:]


@cache
def _cleaner() -> Any:
    from bleach.css_sanitizer import CSSSanitizer
    from bleach.sanitizer import Cleaner

    return Cleaner(
        tags=_TAGS,
        attributes=_may_stand,
        protocols={"http", "https"},
        strip=True,
        strip_comments=True,
        css_sanitizer=CSSSanitizer(
            allowed_css_properties=["text-align"], allowed_svg_properties=[]
        ),
    )


def _may_stand(tag: str, name: str, value: str) -> bool:
    if name == "style":
        return tag in ("tr", "td", "th") and bool(_ALIGNED.fullmatch(value))
    allowed = _ATTRIBUTES.get((tag, name))
    return bool(allowed and allowed.fullmatch(value))


def markdown(text: str) -> str:
    r"""Return Markdown that no converter turns into a tag, a picture or a link that is not http.

    To a reader the text stays the same. Where a converter would see a tag, an invisible character
    goes between its characters; in a formula the command `\lt` replaces the "<".
    """
    return settled(_markdown, text)


def _markdown(text: str) -> str:
    text = cut_markdown(text)
    text = _IN_FORMULA.sub(lambda m: _TAG_START.sub(r"\\lt ", m.group()), text)
    text = _TAG_START.sub("<" + _JOINER, text)
    text = _PICTURE.sub(rf"!{_JOINER}[\1]{_JOINER}\2{_JOINER}", text)
    text = text.replace("![", f"!{_JOINER}[")
    text = _LINK.sub("]" + _JOINER, text)
    # a heading's words become its id in the page, and the box of a mark has an id too
    text = _UNDERLINED.sub(_JOINER, _HEADING.sub(rf"\1{_JOINER}", text))
    text = _DIAGRAM.sub(rf"\g<0>{_JOINER}", text)
    return _REACHING.sub(lambda m: "\\" + _JOINER, text)


def cut_markdown(text: str) -> str:
    """Return Markdown short enough to convert, with a sentence at the end if it was cut."""
    if len(text) <= LONGEST_MARKDOWN + len(TEXT_CUT) + 2:
        return text
    return f"{text[:LONGEST_MARKDOWN]}\n\n{TEXT_CUT}"


def latex(text: str) -> str:
    """Return a formula without tags, and without commands that reach out of it."""
    if len(text) > LONGEST_FORMULA:
        return PART_ABOVE
    return settled(_latex, text)


def _latex(text: str) -> str:
    text = text.replace("<", r"\lt ").replace(">", r"\gt ")
    return _REACHING.sub(lambda m: "\\" + _JOINER, text)


def code(text: str) -> str:
    """Return code that a viewer can highlight fast: not too long, and without very long gaps."""
    return settled(_code, text)


def _code(text: str) -> str:
    if len(text) > LONGEST_CODE + len(CODE_CUT) + 1:
        text = f"{text[:LONGEST_CODE]}\n{CODE_CUT}"
    return _GAP.sub("\n\n", text)
