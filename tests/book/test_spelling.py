"""Every word of lessons, exercises and solutions stands in a dictionary, or in `words.txt` beside this file.

The dictionary is that of pyspellchecker, which takes British and American spellings alike; the book is
written in British ones, so the commonest American ones are looked for too.
"""

from __future__ import annotations

import re
from pathlib import Path

from spellchecker import SpellChecker

HERE = Path(__file__).parent
CODE = (r"\A---\n.*?^---\n", r"^(`{3,})(?:\{code-cell\}|python|\{math\}).*?^\1", r"\$[^$]*\$")
MARKS = (r"\{(?!term)[\w:]+\}`[^`]*`", r"`[^`]*`", r"\([\w-]+\)=", r"^ *:?[a-z_-]+:.*$", r"^slip [^:\n]+:.*$", r"\{[\w ]+\}", r"<[^>]*>",
         r"\\\w+")  # fmt: skip
AMERICAN = frozenset(re.findall(r"\w+", """
    center centers centered color colors gray meter meters millimeter millimeters fiber harbor neighbor
    neighbors tire tires liter draftsman aluminum mold plow curb
"""))  # fmt: skip
DICTIONARY = SpellChecker()


def words(text):
    """The words that a reader reads, without code, formulas, addresses and names of variables."""
    for pattern in (*CODE, *MARKS):
        text = re.sub(
            pattern, " ", text, flags=re.DOTALL | re.MULTILINE if pattern in CODE else re.MULTILINE
        )
    found = re.findall(r"[^\W\d_]+(?:['’][^\W\d_]+)*", text)
    return {w.lower().replace("’", "'").removesuffix("'s") for w in found}


def unknown(found):
    known = {w.lower() for line in (HERE / "words.txt").read_text("utf-8").splitlines()
             if not line.startswith("#") for w in line.split()}  # fmt: skip
    plain = {w for w in found if len(w) > 2 and w.isascii()} - known
    return DICTIONARY.unknown(plain) | (found & AMERICAN)


def test_every_word_of_the_course_is_one(root):
    files = [p for d in ("course", "exercises", "solutions") for p in (root / d).glob("*.md")]
    assert len(files) > 30
    wrong = {p.name: sorted(unknown(words(p.read_text("utf-8")))) for p in files}
    assert not {name: found for name, found in wrong.items() if found}


def test_a_slip_of_the_pen_would_be_found():
    text = "The *tubbe* is {term}`butted`; the color of `mitter` is $frak$ and the filler’s lenght."
    assert unknown(words(text)) == {"tubbe", "color", "lenght"}
