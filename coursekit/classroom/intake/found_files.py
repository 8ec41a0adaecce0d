"""Sorts what was found at one place: work, files that came with it, files to look at, the rest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.notebooks import NUMBERS_FILE
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE
from coursekit.classroom.intake import kinds, texts
from coursekit.classroom.intake.archives import Aside, FoundFile, is_opened
from coursekit.classroom.intake.mails import is_mail
from coursekit.classroom.intake.submission import LARGEST_FILES, MOST_FILES
from coursekit.classroom.intake.texts import LARGEST_TEXT
from coursekit.classroom.register.class_folder import RECORD
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import fitting, has_ending, is_among, key

_ENDS = (".ipynb", ".ipynb.txt", ".ipynb.json")  # some mail programs and browsers add the last
_BUNDLED = """
READ-ME-FIRST.txt pyproject.toml uv.lock worksheet.pdf read-the-lesson.html
start.py start-windows.bat start-mac.command start-linux.sh
"""
_LEFT_BY_SYSTEMS = ".DS_Store Thumbs.db desktop.ini"
_OURS = {NUMBERS_FILE, STAMP_FILE, RECORD, *_BUNDLED.split(), *_LEFT_BY_SYSTEMS.split()}
_OUR_FOLDER = "lesson"  # of a bundle; it holds the lesson's pages
OURS = "The kit makes a file of this name itself."
_TOO_MUCH = (
    f"With a notebook at most {MOST_FILES} files are kept, {LARGEST_FILES // 10**6} MB in all."
)
THE_PAGE = (
    "This is the answer page itself, not the answers. Ask the student to open it, press “Save to "
    "hand in” and send the file that it saves."
)


@dataclass(frozen=True)
class SavedText:
    """Saved answers, their words, and the file or message in which they were found."""

    found: FoundFile
    said: AnswerText
    words: str


@dataclass
class FoundFiles:
    """The files that lie at one place, sorted by what they are."""

    notebooks: list[FoundFile] = field(default_factory=list)
    saved: list[SavedText] = field(default_factory=list)
    others: list[FoundFile] = field(default_factory=list)  # what may be something to look at
    told: list[tuple[FoundFile, Aside]] = field(default_factory=list)  # known to be nothing
    asides: list[Aside] = field(default_factory=list)  # set aside where it was found
    _below: dict[tuple[str, ...], list[FoundFile]] = field(default_factory=dict)
    _numbers: dict[tuple[str, ...], bytes | None] = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        """Whether there is no file at all."""
        return not (self._below or self.asides)

    def _weighed(self, one: FoundFile, aside: Aside) -> Aside:
        """Return why a file is nothing; the words of a mail are left if nothing else is in it."""
        mail = self._below[one.parts[:-1]]
        words = {id(saved.found) for saved in self.saved}
        alone = all(f.is_message and id(f) not in words for f in mail)
        return replace(aside, refused=True) if one.is_message and alone else aside

    def numbers(self, one: FoundFile) -> bytes | None:
        """Return the numbers file that lies beside a notebook, read once for each folder."""
        home = one.parts[:-1]
        if home not in self._numbers:
            near = [f for f in self._beside(home) if key(f.name) == NUMBERS_FILE]
            self._numbers[home] = near[0].read() if near else None
        return self._numbers[home]

    def _beside(self, home: tuple[str, ...]) -> list[FoundFile]:
        return [f for f in self._below.get(home, ()) if len(f.parts) == len(home) + 1]

    def mates(self, one: FoundFile) -> dict[tuple[str, ...], FoundFile]:
        """Return the files that came with a notebook: path below its folder → file.

        Files come with it only if it lies in an archive or in its bundle and is the only notebook
        in its folder; they are the others in and below that folder.
        """
        home = one.parts[:-1]
        there = [f for f in self._below.get(home, ()) if f is not one]
        bundle = any(is_among(f.name, _OURS - {STAMP_FILE}) for f in self._beside(home))
        packed = any(map(is_opened, home))
        if any(f in self.notebooks for f in there) or not (bundle or packed):
            return {}
        known = {id(saved.found) for saved in self.saved} | {id(f) for f, _ in self.told}
        return {f.parts[len(home) :]: f for f in there if id(f) not in known}

    def near(self, one: FoundFile) -> list[tuple[str, ...]]:
        """Return the folders whose work a file may belong to, the nearest first.

        A folder that was given as a whole is not among them, because work of several students lies
        there side by side.
        """
        homes = [one.parts[:end] for end in range(len(one.parts) - 1, 0, -1)]
        return [h for h in homes if len(h) > 1 or is_opened(h[0]) or is_mail(h[0])]


@dataclass(frozen=True)
class Companions:
    """What came with a notebook: the files that are kept with it, and why others are not."""

    kept: dict[str, bytes] = field(default_factory=dict)
    files: tuple[FoundFile, ...] = ()
    left: tuple[tuple[FoundFile, Aside], ...] = ()


def companions(found: FoundFiles, one: FoundFile) -> Companions:
    """Return what came with a notebook."""
    mates = found.mates(one)
    ours = [p for p in mates if p[0] == _OUR_FOLDER]
    left = [(mates[p], Aside(mates[p].parts, OURS)) for p in ours]
    good, bad = fitting(mates, (*_OURS, _OUR_FOLDER))
    why = "Such a name does not lie on every disk, so it is not kept with the notebook."
    left += [(mates[p], Aside(mates[p].parts, why, refused=True)) for p in bad]
    kept: dict[str, bytes] = {}
    files = []
    room = LARGEST_FILES
    for parts in good:
        data = mates[parts].read() if len(kept) < MOST_FILES else None
        if data is None or len(data) > room:
            left.append((mates[parts], Aside(mates[parts].parts, _TOO_MUCH, refused=True)))
        else:
            kept["/".join(parts)] = data
            files.append(mates[parts])
            room -= len(data)
    return Companions(kept, tuple(files), tuple(left))


def sort_out(there: Iterable[FoundFile | Aside]) -> FoundFiles:
    """Return what was found at one place, sorted."""
    found = FoundFiles()
    for one in there:
        if isinstance(one, Aside):
            found.asides.append(one)
            continue
        for end in range(len(one.parts)):
            found._below.setdefault(one.parts[:end], []).append(one)
    for one in found._below.get((), ()):
        troubles: list[str] = []
        with one_piece(troubles.append):
            _sort_one(found, one)
        found.asides += [Aside(one.parts, why, refused=True) for why in troubles]
    found.told = [(one, found._weighed(one, why)) for one, why in found.told]
    return found


def _sort_one(found: FoundFiles, one: FoundFile) -> None:
    if has_ending(one.name, _ENDS) and not kinds.ending_of(one.read() or b""):
        found.notebooks.append(one)
    elif is_among(one.name, _OURS):
        found.told.append((one, Aside(one.parts, OURS)))
    else:
        _look_into(found, one)


def _look_into(found: FoundFiles, one: FoundFile) -> None:
    """Find out what a file is whose name does not say that it is work."""
    data = None if kinds.is_medium(one.name) else one.read_up_to(LARGEST_TEXT)
    text = texts.decoded(data) if data else None
    if text is not None:
        words = texts.words(text)
        if saved := texts.answers_in(words):
            found.saved += [SavedText(one, said, piece) for said, piece in saved]
            return
        if _is_notebook_text(text):
            found.notebooks.append(one)
            return
        if why := _why_no_answers(one, text, words):
            found.told.append((one, Aside(one.parts, why, refused=not one.is_message)))
            return
    found.others.append(one)


def _why_no_answers(one: FoundFile, text: str, words: str) -> str:
    """Return why there are no answers in a text in which there may have been some; else ""."""
    if texts.is_beginning(words):
        return (
            "It is cut off: answers begin in it, but they end before they say whose they are. "
            "Ask for them again."
        )
    if texts.is_answer_page(text):
        return THE_PAGE
    return (
        "These are the words of a mail, and no saved answers are in them." if one.is_message else ""
    )


def _is_notebook_text(text: str) -> bool:
    """Whether a text looks like a notebook's, which may be cut off."""
    return text.lstrip("\ufeff \r\n\t").startswith("{") and '"cell_type"' in text
