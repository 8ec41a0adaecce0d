"""Takes in what students hand in: keeps each version of their work, submits one, and tells of all.

Whatever is wrong with one piece of it, the rest is taken in, and every file is in the list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import partial
from itertools import combinations
from pathlib import Path

import nbformat

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.intake import for_the_eye, kept_versions, kinds, which_counts, worth
from coursekit.classroom.intake.archives import (
    ArchiveError,
    ArchiveReader,
    Aside,
    FoundFile,
    files,
    unfolded,
)
from coursekit.classroom.intake.found_files import (
    Companions,
    FoundFiles,
    SavedText,
    companions,
    sort_out,
)
from coursekit.classroom.intake.owner import (
    AS_YOU_SAY,
    Owner,
    OwnerClues,
    find_keeper,
    find_owner,
    find_text_owner,
    strength,
)
from coursekit.classroom.intake.saved_answers import Saved, Saver
from coursekit.classroom.intake.submission import parsed
from coursekit.classroom.intake.which_counts import Standing, copy_key, facts_of
from coursekit.classroom.intake.worth import Worth
from coursekit.classroom.register import former_ids, lock_and_backup
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import shown

PASTED = "what was pasted"


@dataclass(frozen=True)
class Taken:
    """What became of one file, or of `count` files that lie together.

    `what` is "taken", "older" (kept, but another version counts), "same" (it was there already),
    "with" (it came with a notebook and lies beside it), "kept" (with the student, to be looked at),
    "passed" (a system or this kit made it) or "left" (not taken); `why` says it in words. `given`
    is the work itself where nothing tells whose it is.
    """

    source: str
    what: str
    student: str = ""
    slug: str = ""
    why: str = ""
    count: int = 1
    given: bytes | AnswerText | None = field(default=None, repr=False, compare=False)

    def as_json(self) -> dict[str, str | int]:
        """Return the same as plain texts and a number, without the work itself."""
        names = ("source", "what", "student", "slug", "why", "count")
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True)
class _Incoming:
    """A piece of work whose owner is known: a notebook, or the notebook made of saved answers."""

    found: FoundFile
    data: bytes
    owner: Owner
    worth: Worth
    beside: Companions = field(default_factory=Companions)
    saved: Saved | None = None

    @property
    def pair(self) -> tuple[str, str]:
        return self.owner.student, self.owner.slug

    @property
    def copy(self) -> tuple[int, str]:
        return copy_key(self.saved.said.copy, self.saved.said.saved) if self.saved else (0, "")


class _UntoldError(ArchiveError):
    """Work of which nothing tells whose it is."""

    def __init__(self, owner: Owner, given: bytes | AnswerText) -> None:
        super().__init__(f"{_sentence(owner.trouble)}")
        self.slug, self.given = owner.slug, given


def take_in(
    folder: ClassFolder,
    paths: Iterable[Path],
    *,
    pasted: bytes | None = None,
    student: str = "",
    slug: str = "",
    came: datetime | None = None,
    by_file_time: bool = False,
) -> list[Taken]:
    """Return what became of every file at `paths`, and of the text `pasted`.

    `student` and `slug` say whose work it is and on what, and overrule what the files say. `came`
    is when it came (with its zone), by default now; with `by_file_time` the file's own time counts.
    Raises ClassError for a path that is not there, for an unknown student or exercise, or if the
    class is being marked.
    """
    clues = owner_clues(folder)
    if student:
        folder.student(student)
    if slug and slug not in clues.cells:
        raise ClassError(
            f"{slug}: an exercise must be handed out before work on it is taken in; the class has "
            f"{', '.join(sorted(clues.cells)) or 'none'}. Run `coursekit hand-out` first."
        )
    gatherer = _Gatherer(clues, Saver(folder), student, slug)
    with ArchiveReader() as reader:
        for path in paths:
            if not path.exists() and not path.is_symlink():
                raise ClassError(
                    f"{path}: what is taken in must be there; got nothing of that name."
                )
            gatherer.gather(sort_out(files(path, reader)), path.name)
        if pasted is not None:
            gatherer.gather(sort_out(unfolded(_pasted(pasted))), PASTED)
        with lock_and_backup.only_writer(folder):
            keeper = _Keeper(folder, gatherer.saver, came, by_file_time)
            return gatherer.told + keeper.keep(gatherer.incoming, gatherer.to_look_at)


def _pasted(data: bytes) -> FoundFile:
    return FoundFile((PASTED,), None, lambda most: data if len(data) <= most else None)


def owner_clues(folder: ClassFolder) -> OwnerClues:
    """Return what the class recognises work by."""
    cells = {}
    for path in sorted((folder.path / "release").glob("*/*.ipynb")):
        notebook = nbformat.reads(path.read_text(encoding="utf-8"), as_version=4)
        cells[path.parent.name] = frozenset(id for c in notebook.cells if (id := grade_id(c)))
    return OwnerClues(folder, cells, former_ids.former_ids(folder))


@dataclass
class _Gatherer:
    """Gathers what was found at one place after another: work, what to look at, what is left."""

    clues: OwnerClues
    saver: Saver
    student: str
    slug: str
    incoming: list[_Incoming] = field(default_factory=list)
    to_look_at: list[tuple[FoundFile, Owner, str]] = field(default_factory=list)
    told: list[Taken] = field(default_factory=list)

    def gather(self, found: FoundFiles, name: str) -> None:
        """Gather what lies at the place that is called `name`."""
        self.told += [_aside(one) for one in found.asides]
        if found.is_empty:
            self.told.append(Taken(shown(name), "left", why="Nothing is in it."))
        owners: dict[tuple[str, ...], set[tuple[str, str]]] = {}
        gone: set[int] = set()
        for one in found.notebooks:
            beside = companions(found, one)
            gone |= {id(f) for f in beside.files} | {id(f) for f, _ in beside.left}
            self.told += [_aside(aside) for _, aside in beside.left]
            made = self._work(one, partial(self._notebook, one, found, beside), owners)
            if not made:
                why = "It came with a notebook that is left."
                self.told += [Taken(str(f), "left", why=why) for f in beside.files]
        for saved in found.saved:
            self._work(saved.found, partial(self._answers, saved), owners)
        self.told += [_aside(aside) for one, aside in found.told if id(one) not in gone]
        for one in found.others:
            if id(one) not in gone:
                mates = {pair for near in found.near(one) for pair in owners.get(near, ())}
                self._other(one, mates)

    def _work(
        self,
        one: FoundFile,
        make: Callable[[], _Incoming],
        owners: dict[tuple[str, ...], set[tuple[str, str]]],
    ) -> bool:
        """Gather a piece of work, or say why it is left; return whether it was gathered."""
        troubles: list[str] = []
        with one_piece(troubles.append):
            try:
                made = make()
            except _UntoldError as why:
                self.told.append(
                    Taken(str(one), "left", slug=why.slug, why=str(why), given=why.given)
                )
                return False
            self.incoming.append(made)
            owners.setdefault(one.parts[:-1], set()).add(made.pair)
            return True
        self.told += [Taken(str(one), "left", why=why) for why in troubles]
        return False

    def _notebook(self, one: FoundFile, found: FoundFiles, beside: Companions) -> _Incoming:
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
        return _Incoming(one, data, owner, value, beside)

    def _answers(self, one: SavedText) -> _Incoming:
        owner = find_text_owner(self.clues, one.said, one.found.parts, self.student, self.slug)
        if owner.trouble:
            raise _UntoldError(owner, one.said)
        data, saved = self.saver.made(owner.slug, one)
        return _Incoming(one.found, data, owner, saved.worth, saved=saved)

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
                self.told.append(Taken(str(one), "left", why=why))
            else:
                self.to_look_at.append((one, owner, kind))


def _aside(one: Aside) -> Taken:
    return Taken(str(one), "left" if one.refused else "passed", why=one.why, count=one.count)


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


@dataclass(frozen=True)
class _Keeper:
    """Keeps what was gathered, and tells what became of it; the class's lock is held meanwhile."""

    folder: ClassFolder
    saver: Saver
    came: datetime | None
    by_file_time: bool

    def keep(
        self, incoming: list[_Incoming], to_look_at: list[tuple[FoundFile, Owner, str]]
    ) -> list[Taken]:
        """Return what became of the work, and of what is there to be looked at."""
        told: list[Taken] = []
        for group in _grouped(incoming):
            troubles: list[str] = []
            with one_piece(troubles.append):
                told += self._group(group)
            for why in troubles:
                told += [Taken(str(one.found), "left", *one.pair, why=why) for one in group]
        for found, owner, kind in to_look_at:
            troubles = []
            with one_piece(troubles.append):
                told.append(self._look(found, owner, kind))
            told += [Taken(str(found), "left", why=why) for why in troubles]
        return told

    def _look(self, found: FoundFile, owner: Owner, kind: str) -> Taken:
        source, pair = str(found), (owner.student, owner.slug)
        data = found.read()
        if data is None:
            return Taken(source, "left", *pair, why="It does not read any more.")
        came = self._moment(found) or datetime.now(UTC)
        try:
            new = for_the_eye.keep(self.folder, *pair, found.name, data, came)
        except for_the_eye.FullError as why:
            return Taken(source, "left", *pair, why=f"It is {kind}; {why}.")
        by = owner.by if owner.by == AS_YOU_SAY else f"by {owner.by}"
        if not new:
            return Taken(source, "same", *pair, why=f"{kind} that was kept before")
        return Taken(source, "kept", *pair, why=f"{kind} for you to look at, {by}")

    def _group(self, group: list[_Incoming]) -> list[Taken]:
        """Keep what came from a student for an exercise; return what became of it.

        Work with the weakest evidence is kept first, and of equal evidence the oldest first.
        """
        student, slug = group[0].pair
        told: list[Taken] = []
        kept: list[tuple[_Incoming, Taken, Path]] = []
        kept_versions.keep_what_was_put_there(self.folder, student, slug)
        for alike in _by_strength(group):
            if why := _no_order(alike):
                told += [Taken(str(p.found), "left", *p.pair, why=why) for p in alike]
                told += [_mate(f, p, "left") for p in alike for f in p.beside.files]
            else:
                alike.sort(key=lambda p: (p.found.changed or datetime.min, p.copy))
                kept += [(one, *self._keep(one)) for one in alike]
        if not kept:
            return told
        kept_versions.submit_what_counts(self.folder, student, slug)
        there = kept_versions.versions(self.folder, student, slug)
        standing = which_counts.standing(self.folder, slug, there)
        for one, taken, version in kept:
            told.append(_said(taken, version, standing, there))
            told += [_mate(f, one, "with") for f in one.beside.files]
            if one.saved and version == standing.counts:
                told += self._readings(one, one.saved)
        return told

    def _readings(self, one: _Incoming, saved: Saved) -> list[Taken]:
        """Record the bench readings of saved answers, and tell those that are refused."""
        said = self.saver.record(one.owner.student, one.owner.slug, saved)
        source = str(one.found)
        told = [
            Taken(source, "left", *one.pair, why=f"A reading is refused. {r}") for r in said.refused
        ]
        if said.recorded:
            count = f"{said.recorded} bench reading{'' if said.recorded == 1 else 's'} recorded"
            told.insert(0, Taken(source, "with", *one.pair, why=count))
        return told

    def _keep(self, one: _Incoming) -> tuple[Taken, Path]:
        """Keep what came as a version of its own, unless the same file is kept already.

        A file that was kept on weaker evidence is kept once more, with the time at which it first
        came.
        """
        student, slug = one.pair
        source, by = str(one.found), one.owner.by
        moment = self._moment(one.found)
        there = kept_versions.same(self.folder, one.pair, one.data)
        if there and max(which_counts.evidence(v) for v in there) >= strength(by):
            when = kept_versions.came_of(there[0])
            said = f"the same was taken in before, {when:%Y-%m-%d %H:%M} UTC"
            return Taken(source, "same", student, slug, said), there[0]
        if there:
            moment = kept_versions.came_of(there[0]).replace(tzinfo=UTC)
        version = kept_versions.write(
            self.folder,
            one.pair,
            one.data,
            one.beside.kept,
            source,
            by,
            moment,
            at_the_end=bool(there),
            answers=one.saved.words if one.saved else "",
            facts=facts_of(one.worth, one.saved.said if one.saved else None),
        )
        return Taken(source, "taken", student, slug, _why(one)), version

    def _moment(self, found: FoundFile) -> datetime | None:
        return self.came or (_local(found.changed) if self.by_file_time else None)


def _why(one: _Incoming) -> str:
    """Return in words by what the owner is known, and what is odd about the work."""
    words = [one.owner.by if one.owner.by == AS_YOU_SAY else f"by {one.owner.by}"]
    if one.saved:
        said = one.saved.said
        words += (
            [f"copy {shown(said.copy)[:9]} saved {shown(said.saved)[:20]}"] if said.copy else []
        )
        if said.whole and not said.as_saved:
            words.append("the text was changed after it was saved, so look at it")
        words += one.saved.odd
    return "; ".join([*words, *filter(None, [one.worth.trouble])])


def _mate(found: FoundFile, one: _Incoming, what: str) -> Taken:
    """Return what became of a file that came with a notebook."""
    if what == "left":
        return Taken(str(found), "left", *one.pair, why="It came with a notebook that is left.")
    kind = kinds.to_look_at(found.name, b"")
    why = f"beside {one.found.name}{f', {kind} for you to look at' if kind else ''}"
    return Taken(str(found), "with", *one.pair, why=why)


def _grouped(incoming: Iterable[_Incoming]) -> Iterable[list[_Incoming]]:
    """Return groups of what came from one student for one exercise, in the order found."""
    groups: dict[tuple[str, str], list[_Incoming]] = {}
    for one in incoming:
        groups.setdefault(one.pair, []).append(one)
    return groups.values()


def _by_strength(group: Iterable[_Incoming]) -> list[list[_Incoming]]:
    """Return what came, grouped by how strong its evidence is, the weakest first."""
    parted: dict[int, list[_Incoming]] = {}
    for one in group:
        parted.setdefault(strength(one.owner.by), []).append(one)
    return [parted[level] for level in sorted(parted)]


def _no_order(group: list[_Incoming]) -> str:
    """Return why it can't be told which of several different files is the newest, or "".

    What has no answers, or can't be read, never counts before something better, so its time does
    not matter. Copies of saved answers say themselves which is the newer.
    """
    best = max(one.worth.level for one in group)
    different = {p.data: p for p in group if p.worth.level == best}.values()
    for one, other in combinations(different, 2):
        times = one.found.changed, other.found.changed
        copies = bool(one.saved and other.saved) and one.copy != other.copy
        if not copies and (None in times or times[0] == times[1]):
            names = f"{one.found} and {other.found}"
            return (
                f"{names} differ, and nothing says which is the newer. Take in the one that counts."
            )
    return ""


def _said(taken: Taken, version: Path, standing: Standing, there: list[Path]) -> Taken:
    """Return what became of a file, changed to "older" if another version than its own counts."""
    if taken.what != "taken":
        return taken
    if version == standing.counts:
        if standing.chosen in (None, version):
            return taken
        when = kept_versions.came_of(standing.chosen)
        said = (
            f"it counts now, in place of the version of {when:%Y-%m-%d %H:%M} UTC that was chosen"
        )
        return replace(taken, why=f"{taken.why}; {said}")
    reason = standing.why_not[version]
    cure = ""
    if "stronger" in reason:
        cure = f". If this one should count, take it in with --student {taken.student}"
    elif reason != which_counts.A_NEWER_ONE:
        number = there.index(version) + 1
        cure = f". If this one should count: take-in --use {taken.student} {taken.slug} {number}"
    return replace(taken, what="older", why=f"{taken.why}; kept, for {reason}{cure}")


def _local(changed: datetime | None) -> datetime | None:
    """Return a file's time with its zone, or None if it is not a valid time."""
    with suppress(OverflowError, OSError, ValueError):
        return changed.astimezone() if changed else None
    return None
