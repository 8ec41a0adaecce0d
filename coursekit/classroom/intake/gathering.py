"""Gathers work whose owner is known, and files to look at, and tells why the rest is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.intake import kinds, worth
from coursekit.classroom.intake.archives import Aside, FoundFile
from coursekit.classroom.intake.found_files import (
    OURS,
    THE_PAGE,
    Companions,
    FoundFiles,
    SavedText,
    companions,
)
from coursekit.classroom.intake.members import ArchiveError
from coursekit.classroom.intake.owner import (
    AS_YOU_SAY,
    Owner,
    OwnerClues,
    find_keeper,
    find_owner,
    find_text_owner,
)
from coursekit.classroom.intake.saved_answers import Saved, Saver
from coursekit.classroom.intake.submission import parsed
from coursekit.classroom.intake.taken import Taken, aside
from coursekit.classroom.intake.which_counts import copy_key
from coursekit.classroom.intake.worth import Worth
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import shown

_Owners = dict[tuple[str, ...], set[tuple[str, str]]]  # folder → students, lessons of its work


@dataclass(frozen=True)
class Incoming:
    """A piece of work whose owner is known: a notebook, or the notebook made of saved answers."""

    found: FoundFile
    data: bytes
    owner: Owner
    worth: Worth
    beside: Companions = field(default_factory=Companions)
    saved: Saved | None = None

    @property
    def pair(self) -> tuple[str, str]:
        """Whose work it is, and on which exercise."""
        return self.owner.student, self.owner.slug

    @property
    def copy(self) -> tuple[int, str]:
        """Which copy of saved answers it is, by `which_counts.copy_key`."""
        return copy_key(self.saved.said.copy, self.saved.said.saved) if self.saved else (0, "")


class _UntoldError(ArchiveError):
    """Work of which nothing tells whose it is."""

    def __init__(self, owner: Owner, given: bytes | AnswerText) -> None:
        super().__init__(f"{_sentence(owner.trouble)}")
        self.owner, self.given = owner, given


@dataclass
class Gatherer:
    """Gathers what was found at one place after another: work, what to look at, what is left."""

    clues: OwnerClues
    saver: Saver
    student: str
    slug: str
    incoming: list[Incoming] = field(default_factory=list)
    to_look_at: list[tuple[FoundFile, Owner, str]] = field(default_factory=list)
    told: list[Taken] = field(default_factory=list)

    def gather(self, found: FoundFiles, name: str) -> None:
        """Gather what lies at the place that is called `name`."""
        self.told += [aside(one) for one in found.asides]
        if found.is_empty:
            self.told.append(Taken(shown(name), "left", why="Nothing is in it."))
        owners: _Owners = {}
        gone: set[int] = set()
        for one in found.notebooks:
            beside = companions(found, one)
            gone |= {id(f) for f in beside.files} | {id(f) for f, _ in beside.left}
            self.told += [aside(one) for _, one in beside.left]
            made = self._work(one, partial(self._notebook, one, found, beside), owners)
            if not made:
                why = "It came with a notebook that is left."
                self.told += [Taken(str(f), "left", why=why) for f in beside.files]
        for saved in found.saved:
            self._work(saved.found, partial(self._answers, saved), owners)
        for one, nothing in found.told:
            if id(one) not in gone:
                self.told.append(aside(self._beside_work(nothing, found.near(one))))
        for one in found.others:
            if id(one) not in gone:
                troubles: list[str] = []
                with one_piece(troubles.append):
                    self._other(one, _mates(found.near(one), owners))
                self.told += [Taken(str(one), "left", why=why) for why in troubles]

    def leave_all_but(self, source: str) -> None:
        """Forget what was gathered of all files but the one that the list calls `source`."""
        self.incoming = [one for one in self.incoming if str(one.found) == source]
        self.to_look_at = [one for one in self.to_look_at if str(one[0]) == source]
        self.told = [one for one in self.told if one.source == source]
        if len({id(one.found) for one in self.incoming}) + len(self.to_look_at) > 1:
            raise ArchiveError(
                f"{source}: one file must be called so; several are. Shorten their names, and take "
                "them in one by one."
            )

    def _work(
        self,
        one: FoundFile,
        make: Callable[[], Incoming],
        owners: _Owners,
    ) -> bool:
        """Gather a piece of work, or say why it is left; return whether it was gathered."""
        troubles: list[str] = []
        with one_piece(troubles.append):
            try:
                made = make()
            except _UntoldError as why:
                self.told.append(_untold(one, why.owner, str(why), why.given))
                return False
            self.incoming.append(made)
            owners.setdefault(one.parts[:-1], set()).add(made.pair)
            return True
        self.told += [Taken(str(one), "left", why=why) for why in troubles]
        return False

    def _notebook(self, one: FoundFile, found: FoundFiles, beside: Companions) -> Incoming:
        data = one.read()
        if data is None:
            raise ArchiveError("It does not read, or is larger than 20 MB.")
        notebook, beside_it = parsed(data), found.numbers(one)
        words = self.student, self.slug
        owner = find_owner(self.clues, notebook or {}, one.parts, beside_it, *words)
        if owner.trouble and not notebook:
            owner = replace(owner, trouble=f"{worth.why_unreadable(data)}; {owner.trouble}")
        if owner.trouble:
            raise _UntoldError(owner, data)
        value = worth.of_notebook(self.clues.folder, owner.slug, data)
        return Incoming(one, data, owner, value, beside)

    def _answers(self, one: SavedText) -> Incoming:
        owner = find_text_owner(self.clues, one.said, one.found.parts, self.student, self.slug)
        if owner.trouble:
            raise _UntoldError(owner, one.said)
        data, saved = self.saver.made(owner.slug, one)
        return Incoming(one.found, data, owner, saved.worth, saved=saved)

    def _beside_work(self, why: Aside, near: list[tuple[str, ...]]) -> Aside:
        """Return why a file is nothing; an answer page is no mistake where there are answers."""
        whole = [one.found.parts for one in self.incoming if one.worth.level == worth.WHOLE]
        there = any(parts[: len(home)] == home for home in near for parts in whole)
        return replace(why, why=OURS, refused=False) if why.why == THE_PAGE and there else why

    def _other(self, one: FoundFile, mates: set[tuple[str, str]]) -> None:
        """Gather something to look at, or say what it is and why it is left."""
        data = one.read()
        if data is None:
            why = "It does not read, or is larger than 20 MB."
            self.told.append(Taken(str(one), "left", why=why))
        elif not data or not (kind := kinds.to_look_at(one.name, data)):
            self.told.append(Taken(str(one), "left", why=kinds.why_left(one.name, data)))
        else:
            owner = find_keeper(self.clues, one.parts, mates, self.slug)
            if self.student:
                owner = Owner(self.student, owner.slug, AS_YOU_SAY)
            if owner.trouble:
                why = f"It is {kind}, and {owner.trouble}."
                self.told.append(_untold(one, owner, why))
            else:
                self.to_look_at.append((one, owner, kind))


def _mates(near: list[tuple[str, ...]], owners: _Owners) -> set[tuple[str, str]]:
    """Return the students and lessons of the work in and below the nearest folder with any."""
    for home in near:
        there = {
            pair for place, pairs in owners.items() if place[: len(home)] == home for pair in pairs
        }
        if there:
            return there
    return set()


def _untold(
    one: FoundFile, owner: Owner, why: str, given: bytes | AnswerText | None = None
) -> Taken:
    """Return the line of what is left because nothing tells whose it is."""
    slug = owner.slug if given is not None else ""
    among = owner.among
    return Taken(str(one), "left", slug=slug, why=why, given=given, asks="owner", among=among)


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."
