"""Keeps what was gathered: work as versions, the rest to be looked at; tells what became of it."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import combinations
from pathlib import Path

from coursekit.classroom.intake import for_the_eye, kept_versions, kinds, which_counts
from coursekit.classroom.intake.archives import FoundFile
from coursekit.classroom.intake.gathering import Incoming
from coursekit.classroom.intake.owner import AS_YOU_SAY, Owner, strength
from coursekit.classroom.intake.saved_answers import Saved, Saver
from coursekit.classroom.intake.taken import Taken
from coursekit.classroom.intake.which_counts import Standing, facts_of
from coursekit.classroom.intake.worth import ASK_AGAIN
from coursekit.classroom.register import dates
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import shown


@dataclass(frozen=True)
class Keeper:
    """Keeps what was gathered, and tells what became of it; the class's lock is held meanwhile."""

    folder: ClassFolder
    saver: Saver
    came: datetime | None
    by_file_time: bool

    def keep(
        self, incoming: list[Incoming], to_look_at: list[tuple[FoundFile, Owner, str]]
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
        return Taken(
            source, "kept", *pair, why=f"{kind}, kept in {for_the_eye.kept_in(*pair)}, {by}"
        )

    def _group(self, group: list[Incoming]) -> list[Taken]:
        """Keep what came from a student for an exercise; return what became of it.

        Work with the weakest evidence is kept first, and of equal evidence the oldest first.
        """
        student, slug = group[0].pair
        told: list[Taken] = []
        kept: list[tuple[Incoming, Taken, Path]] = []
        kept_versions.keep_what_was_put_there(self.folder, student, slug)
        for alike in _by_strength(group):
            if why := _no_order(alike):
                told += [Taken(str(p.found), "left", *p.pair, why=why, asks="order") for p in alike]
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

    def _readings(self, one: Incoming, saved: Saved) -> list[Taken]:
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

    def _keep(self, one: Incoming) -> tuple[Taken, Path]:
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
            said = f"the same was taken in before, {dates.shown(when)}"
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


def _why(one: Incoming) -> str:
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


def _mate(found: FoundFile, one: Incoming, what: str) -> Taken:
    """Return what became of a file that came with a notebook."""
    if what == "left":
        return Taken(str(found), "left", *one.pair, why="It came with a notebook that is left.")
    kind = kinds.to_look_at(found.name, b"")
    why = f"beside {one.found.name}{f', {kind} for you to look at' if kind else ''}"
    return Taken(str(found), "with", *one.pair, why=why)


def _grouped(incoming: Iterable[Incoming]) -> Iterable[list[Incoming]]:
    """Return groups of what came from one student for one exercise, in the order found."""
    groups: dict[tuple[str, str], list[Incoming]] = {}
    for one in incoming:
        groups.setdefault(one.pair, []).append(one)
    return groups.values()


def _by_strength(group: Iterable[Incoming]) -> list[list[Incoming]]:
    """Return what came, grouped by how strong its evidence is, the weakest first."""
    parted: dict[int, list[Incoming]] = {}
    for one in group:
        parted.setdefault(strength(one.owner.by), []).append(one)
    return [parted[level] for level in sorted(parted)]


def _no_order(group: list[Incoming]) -> str:
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
        said = f"it counts now, in place of the version of {dates.shown(when)}, that was chosen"
        return replace(taken, why=f"{taken.why}; {said}")
    reason = standing.why_not[version]
    cure = ""
    if "stronger" in reason:
        cure = f". If this one should count, take it in with --student {taken.student}"
    elif reason != which_counts.A_NEWER_ONE:
        number = there.index(version) + 1
        cure = f". If this one should count: take-in --use {taken.student} {taken.slug} {number}"
    why = taken.why
    for word in filter(None, reason.split(", and ")[:1]):
        why = why.replace(f"; {word}{ASK_AGAIN}", "").replace(f"; {word}", "")  # it is said once
    return replace(taken, what="older", why=f"{why}; {reason}{cure}")


def _local(changed: datetime | None) -> datetime | None:
    """Return a file's time with its zone, or None if it is not a valid time."""
    with suppress(OverflowError, OSError, ValueError):
        return changed.astimezone() if changed else None
    return None
