"""The plan of evenings: what `course/_evenings.yml` decides, and what the lessons' pages say.

A lesson's page says how long it takes: *Read in 25 minutes; work in 90 more … At the bench: one
evening.* The plan takes its minutes from there, and is refused where it contradicts the lessons.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import Any

import yaml

from coursekit.book import whole
from coursekit.book.lesson import lessons
from coursekit.classroom.bank.exercises import AuthoringError

FILE = "course/_evenings.yml"
_READ = re.compile(r"^\*?Read in (\d+) minutes(?:; work in (\d+) more)?", re.MULTILINE)
_BENCH = re.compile(r"At the bench:\s*([^.]*)")


@dataclass(frozen=True)
class Evening:
    """One evening: what is read before it, what is done in it, and for how many minutes."""

    home: tuple[str, ...]
    again: tuple[str, ...]
    bench: str
    torch: str
    home_minutes: int
    torch_minutes: int


@dataclass(frozen=True)
class Plan:
    """The evenings in order, and how many people share how many torches for how long."""

    evenings: tuple[Evening, ...]
    people: int
    torches: int
    minutes: int

    @property
    def share(self) -> float:
        """The most that each person can have of a torch in one evening, minutes."""
        return self.minutes * self.torches / self.people

    def says(self) -> str:
        """What all of it adds up to."""
        home = sum(e.home_minutes for e in self.evenings)
        most = max(e.home_minutes for e in self.evenings)
        torch = sum(e.torch_minutes for e in self.evenings)
        return (
            f"{len(self.evenings)} evenings of {self.minutes / 60:g} hours, a week apart. At home "
            f"they ask for {home / 60:.0f} hours in all, {most} minutes at most before any one of "
            f"them. The torch is in each person's hand from the first evening on, and for "
            f"{torch / 60:.0f} hours in all: {self.people} people share {self.torches} torches, so "
            f"nobody can have more than {self.share:.0f} minutes in an evening."
        )


def plan(root: Path) -> Plan:
    """Return the plan of the course at `root`.

    A lesson that the plan doesn't name gets an evening of its own at the end.

    Raises
    ------
    AuthoringError
        *the plan must …; got …*, with what it contradicts.
    """
    data = yaml.safe_load((root / FILE).read_text(encoding="utf-8"))
    rows = list(data["evenings"])
    named = [slug for row in rows for slug in row["home"]]
    rows += [
        {"home": [slug], "bench": "what the lesson is about", "torch": "–", "torch_minutes": 0}
        for slug in lessons(root)
        if slug not in named
    ]
    made = Plan(
        tuple(_evening(row, root) for row in rows),
        data["people"],
        data["torches"],
        data["minutes"],
    )
    for wrong in (*_out_of_order(made, root), *_too_short(made, root), *_torch(made)):
        raise AuthoringError(f"{FILE}: {wrong}")
    return made


def _evening(row: dict[str, Any], root: Path) -> Evening:
    home = tuple(row["home"])
    minutes = sum(sum(at_home(slug, root)) for slug in home)
    again = tuple(row.get("again", ()))
    return Evening(home, again, row["bench"], row["torch"], minutes, row["torch_minutes"])


def at_home(slug: str, root: Path) -> tuple[int, int]:
    """Return the minutes to read a page and to work it, from its own line about time."""
    found = _READ.search(_page(slug, root))
    if found is None:
        raise AuthoringError(
            f"course/{slug}.md: a page of the plan must say how long it takes; got no 'Read in … "
            "minutes'. Add the line."
        )
    return int(found[1]), int(found[2] or 0)


def at_the_bench(slug: str, root: Path) -> float:
    """Return how many evenings a lesson asks for at the bench, from its own line about time.

    A lesson that goes on through the course ("every evening …") asks for none of its own.
    """
    found = _BENCH.search(_page(slug, root))
    said = found[1] if found else ""
    if said.startswith("half an evening"):
        return 0.5
    return float(len(re.findall(r"\bone\b", said)))


def _page(slug: str, root: Path) -> str:
    return (root / "course" / f"{slug}.md").read_text(encoding="utf-8")


def _out_of_order(made: Plan, root: Path) -> list[str]:
    """Lessons planned twice, and lessons planned before one that they build on."""
    planned = [slug for e in made.evenings for slug in e.home]
    twice = sorted({slug for slug in planned if planned.count(slug) > 1})
    wrong = [
        f"the plan must hold every lesson once; got {slug} twice. Use `again`." for slug in twice
    ]
    for slug, before in whole.needs(root).items():
        if late := [b for b in before if planned.index(b) > planned.index(slug)]:
            wrong.append(
                f"the plan must put a lesson after those it builds on; got {slug} before "
                f"{', '.join(late)}. Swap them."
            )
    return wrong


def _too_short(made: Plan, root: Path) -> list[str]:
    """Lessons that get fewer evenings than their page asks for."""
    days = [s for e in made.evenings for s in (*e.home, *e.again)]
    return [
        f"the plan must give {slug} the {asked} evenings that its page asks for; got "
        f"{days.count(slug)}. Name it under `again`."
        for slug in lessons(root)
        if days.count(slug) < (asked := ceil(at_the_bench(slug, root)))
    ]


def _torch(made: Plan) -> list[str]:
    """Evenings that give a person more of a torch than there is; a first one without it."""
    wrong = []
    if not made.evenings[0].torch_minutes:
        wrong.append("the torch must be in hand from the first evening; got 0 minutes. Add some.")
    for n, one in enumerate(made.evenings, start=1):
        if one.torch_minutes > made.share:
            wrong.append(
                f"a person's share of the torches must do for an evening; got {one.torch_minutes} "
                f"of {made.share:g} minutes in evening {n}. Spread it over more evenings."
            )
    return wrong
