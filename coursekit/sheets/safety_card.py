"""The safety card for the wall: the course's own safety page on one sheet."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from coursekit.sheets import text

_ROLE = re.compile(r"\s*\{cite\}`[^`]*`")
_TERM = re.compile(r"\{[a-z]+\}`([^`<]*)(?:<[^`]*>)?`")


def part(course: Path) -> dict[str, Any]:
    """Page data of the safety card from `course/safety.md` of the course's folder, for `bench.pdf`.

    Raises
    ------
    FileNotFoundError
        The safety card must come from the course's own page; got no such file.
    """
    page = course / "course" / "safety.md"
    if not page.is_file():
        raise FileNotFoundError(
            f"{page}: the safety card must come from the course's own page; got no such file. "
            "Run this inside the course's folder."
        )
    return {"kind": "safety", "sections": sections(page.read_text(encoding="utf-8"))}


def sections(markdown: str) -> list[dict[str, Any]]:
    r"""The page's sections in order, each with its title and pieces; first its warning, untitled.

    The longest is marked to stand in the right-hand column.

    Examples
    --------
    >>> warning = "# S\n\n```{danger}\nTake care.\n```\n"
    >>> made = sections(warning + "\n## Air\n\nFumes\n: Draw them off {cite}`x`.\n")
    >>> [(s["title"], s["pieces"][0]["runs"]) for s in made]
    [('', [('plain', 'Take care.')]), ('Air', [('strong', 'Fumes'), ('plain', ': Draw them off.')])]
    """
    plain = _TERM.sub(r"\1", _ROLE.sub("", markdown))
    warning = re.search(r"```\{danger\}\n(.*?)```", plain, re.DOTALL)
    made = [{"title": "", "pieces": text.pieces(warning[1])}] if warning else []
    for title, body in re.findall(r"^## (.+)\n((?:(?!^## ).*\n?)*)", plain, re.MULTILINE):
        entries = re.sub(r"^(\S[^\n]*)\n: +", r"**\1**: ", body, flags=re.MULTILINE)
        made.append({"title": title.strip(), "pieces": text.pieces(entries)})
    longest = max(made, key=lambda one: len(str(one["pieces"])), default=None)
    return [one | {"right": one is longest} for one in made]
