"""A lesson's page as its author wrote it, taken apart into sections, directives and words.

The text is only read; nothing is built. The page is MyST Markdown, where a directive stands between
two fences of three or more backticks or colons. Its `{name}` and argument follow the first fence.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

import yaml

from coursekit.classroom.bank.lesson_headings import anchor

OPENING = ""  # the section before the first heading of the second level
_FENCE = re.compile(r"^(`{3,}|:{3,})\{([\w-]+)\} *(.*)$")
_CODE = re.compile(r"^(`{3,}|~{3,})\w*$")
_HEADING = re.compile(r"^(#{1,6}) +(.+?) *$")
_TARGET = re.compile(r"^\(([\w-]+)\)=$")
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d[\d.,]*")


@dataclass(frozen=True)
class Block:
    """A directive: its name, argument, options and text, and the section and line it is in."""

    name: str
    argument: str
    options: dict[str, Any]
    text: str
    section: str
    line: int

    @property
    def alt(self) -> str | None:
        """The alt text of the picture that a code cell draws; None if it declares no picture."""
        drawn = self.options.get("mystnb") or {}
        return str(drawn["image"].get("alt") or "") if "image" in drawn else None

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of a code cell."""
        return tuple(self.options.get("tags") or ())


@dataclass
class LessonPage:
    """A page: its text section by section, the anchors of its headings, its directives in order.

    `sections` maps the title of each second-level heading to its text without the directives. The
    text before the first of these headings has the key `OPENING`.
    """

    lines: int = 0
    title: str = ""
    comments: list[str] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    sections: dict[str, str] = field(default_factory=lambda: {OPENING: ""})
    blocks: list[Block] = field(default_factory=list)

    def of(self, name: str) -> list[Block]:
        """Return the directives of this name, in order."""
        return [b for b in self.blocks if b.name == name]

    @property
    def figures(self) -> list[Block]:
        """The code cells that draw a figure."""
        return [b for b in self.of("code-cell") if b.alt is not None]

    @property
    def words(self) -> int:
        """How many words and numbers there are to read, with solutions but no code or alt texts."""
        told = [b.text for b in self.blocks if b.name not in ("code-cell", "slider", "practice")]
        captions = [
            str(b.options["mystnb"].get("figure", {}).get("caption", "")) for b in self.figures
        ]
        return sum(len(_WORD.findall(text)) for text in (*self.sections.values(), *told, *captions))


def read(text: str) -> LessonPage:
    r"""Return the page that `text` holds, taken apart.

    >>> page = read("# Tubes\n\nTwo words.\n\n## Walls\n\n```{tip}\nMeasure first.\n```\n")
    >>> page.title, page.words, page.blocks[0].section
    ('Tubes', 4, 'Walls')
    """
    body = re.sub(r"\A---\n.*?^---\n", "", text, flags=re.DOTALL | re.MULTILINE)
    page = LessonPage(lines=len(text.splitlines()))
    _take(page, body.splitlines(), OPENING, len(text.splitlines()) - len(body.splitlines()))
    return page


def _take(
    page: LessonPage, lines: list[str], section: str, before: int, inner: bool = False
) -> str:
    """Put what `lines` hold into `page`; return their text without the directives."""
    plain: list[str] = []
    at = 0
    while at < len(lines):
        line = lines[at]
        if fence := _FENCE.match(line.strip()):
            end = _end(lines, at, fence[1])
            _keep(page, fence, lines[at + 1 : end], section, before + at + 1)
            at = end
        elif code := _CODE.match(line.strip()):
            at = _end(lines, at, code[1])
        elif not inner and (heading := _HEADING.match(line)):
            section = _open(page, heading, section)
        elif target := _TARGET.match(line):
            page.anchors.add(target[1])
        elif line.startswith("% "):
            page.comments.append(line[2:])
        else:
            plain.append(line)
            if not inner:
                page.sections[section] += line + "\n"
        at += 1
    return "\n".join(plain)


def _end(lines: list[str], start: int, fence: str) -> int:
    """Return the line that closes the fence opened at `start`."""
    for at in range(start + 1, len(lines)):
        if lines[at].strip().startswith(fence) and not lines[at].strip().strip(fence[0]):
            return at
    return len(lines)


def _open(page: LessonPage, heading: re.Match[str], section: str) -> str:
    """Note a heading; return the section that the lines after it belong to."""
    page.anchors.add(anchor(heading[2]))
    if heading[1] == "#":
        page.title = heading[2]
    if heading[1] != "##":
        return section
    page.sections.setdefault(heading[2], "")
    return heading[2]


def _keep(
    page: LessonPage, fence: re.Match[str], lines: list[str], section: str, line: int
) -> None:
    options, rest = _options(lines)
    at, before = len(page.blocks), line + len(lines) - len(rest)
    code = fence[2] == "code-cell"
    text = "\n".join(rest) if code else _take(page, rest, section, before, inner=True)
    page.blocks.insert(at, Block(fence[2], fence[3], options, text, section, line))


def _options(lines: list[str]) -> tuple[dict[str, Any], list[str]]:
    """Return a directive's options, and the lines after them."""
    if lines and lines[0].strip() == "---":
        end = next((i for i in range(1, len(lines)) if lines[i].strip() == "---"), len(lines))
        return yaml.safe_load("\n".join(lines[1:end])) or {}, lines[end + 1 :]
    options: dict[str, Any] = {}
    at = 0
    while at < len(lines) and (one := re.match(r"^:([\w-]+): *(.*)$", lines[at].strip())):
        options[one[1]] = yaml.safe_load(one[2]) if one[2].startswith("[") else one[2]
        at += 1
    return options, lines[at:]
