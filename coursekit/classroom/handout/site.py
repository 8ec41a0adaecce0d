"""A folder for any static web space, where each student has pages under names nobody can guess.

Decisions:

- A name is an HMAC of the class secret over the student and, for an answer page, the lesson: 160
  bits as 32 small letters and digits. So it says nothing of whose page it is, and it is the same
  whenever the site is laid out again.
- A student who gets another id keeps the names, because the link is in their hands already; so does
  a student who gets other numbers. A newcomer who is given an erased student's id would get that
  student's names too, so a newcomer gets an id that nobody had.
- Nothing in the folder lists the pages. What the kit has put there is noted in the class folder,
  and only that is ever replaced or removed.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import re
from collections.abc import Mapping, Sequence, Set
from contextlib import suppress
from dataclasses import dataclass, field
from html import escape
from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.handout import zips
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.handout.own_file import content, own_file
from coursekit.classroom.register.class_folder import (
    ClassError,
    ClassFolder,
    write_bytes,
    write_text,
)
from coursekit.classroom.register.former_ids import first_id

MANIFEST = "sites.json"  # in the class's `.made`: site → name of a file of ours → its SHA-256
_BYTES = 20
_OWN = re.compile(r"[a-z2-7]{32}\.(html|zip)")
_NO_ROBOTS = '<meta name="robots" content="noindex, nofollow, noarchive">'
_ROBOTS = "User-agent: *\nDisallow: /\n"
_PAGE = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
{robots}
<meta name="referrer" content="no-referrer">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; \
base-uri 'none'; form-action 'none'">
<title>{title}</title>
<style>
:root {{ color-scheme: light dark; --paper: #fff; --ink: #1a1a1a; --deed: #1f4e79; }}
@media (prefers-color-scheme: dark) {{
  :root {{ --paper: #161616; --ink: #ececea; --deed: #9cc4ec; }}
}}
html {{ background: var(--paper); color: var(--ink); }}
a {{ color: var(--deed); }}
body {{ font: 1.1rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 38rem; padding: 1rem; }}
li a {{ display: inline-block; padding: 0.6rem 0; }}
</style>
</head>
<body>
<main>
<h1>{title}</h1>
{body}
</main>
</body>
</html>
"""
_INDEX = """\
<p>This web space holds pages of a class. Each student opens their own by the link that the
instructor gave them. There is no list of them here.</p>"""
_YOURS = """\
<p>{title}</p>
<ul>
{lessons}
</ul>
<p>Keep this address to yourself, because whoever has it can open your pages.</p>"""


@dataclass
class Site:
    """A site as it was laid out.

    `links` maps each student's id to the path of their page in the site, `removed` names files of
    ours that are needed no more, and `left` files that are not ours and stand where ours would.
    """

    links: dict[str, str] = field(default_factory=dict)
    removed: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)


def name(folder: ClassFolder, student: str, slug: str = "") -> str:
    """Return the name, without ending, of a student's answer page or, without a slug, own page."""
    message = "\0".join(("", "site", first_id(folder, student), slug)).encode()
    digest = hmac.new(folder.secret, message, hashlib.sha256).digest()[:_BYTES]
    return base64.b32encode(digest).decode().lower()


def lay_out(works: Sequence[Assignment], target: Path, pages: Path | None) -> Site:
    """Lay out the students' files of one class's `works` in the folder `target`.

    Lessons that were laid out there before stay. `pages` is the folder of the built book's pages,
    which all share; None leaves them as they are.

    Raises ClassError if `target` and the class folder lie in one another, or if something was not
    handed out yet.
    """
    folder = works[0].folder
    refuse(folder, target)
    if pages is not None:
        zips.refuse_solutions(pages)
    files: dict[str, bytes] = {}
    for work in works:
        lesson = "" if pages is None else zips.first_page(work, pages)
        for student in folder.students:
            path = own_file(work, student.id)
            data = content(path, lesson)
            data = _unlisted(data) if path.suffix == ".html" else data
            files[f"{name(folder, student.id, work.slug)}{path.suffix}"] = data
    known = _known(folder, target)
    site = Site()
    there = {*files, *(file for file in known if (target / file).is_file())}
    files |= _pages_of_students(works, there, site)
    files |= {"index.html": _page("Pages of a class", _INDEX), "robots.txt": _ROBOTS.encode()}
    files |= {} if pages is None else _book(pages)
    _note(folder, target, known | {n: _digest(d) for n, d in files.items() if _OWN.fullmatch(n)})
    _write(target, files, known, site)
    _remove_old(folder, works[0].root, target, files, known, site)
    _note(folder, target, known)
    return site


def refuse(folder: ClassFolder, target: Path) -> None:
    """Raise ClassError if a site at `target` and the class folder would lie in one another."""
    site, own = target.resolve(), folder.path.resolve()
    if site.is_relative_to(own) or own.is_relative_to(site):
        raise ClassError(
            f"{target}: a site must lie apart from the class folder, which holds the secret and "
            f"everybody's work; got one inside the other ({folder.path}). Name another folder."
        )


def _unlisted(page: bytes) -> bytes:
    """Return an answer page with the words that keep search engines from listing it."""
    if b'name="robots"' in page:
        return page
    return re.sub(rb"<head[^>]*>", lambda m: m[0] + b"\n" + _NO_ROBOTS.encode(), page, count=1)


def _page(title: str, body: str) -> bytes:
    return _PAGE.format(robots=_NO_ROBOTS, title=escape(title), body=body).encode()


def _pages_of_students(
    works: Sequence[Assignment], there: Set[str], site: Site
) -> dict[str, bytes]:
    """Return each student's page, with a link to each lesson that is in the site."""
    folder, made = works[0].folder, {}
    titles = _titles(works)
    for student in folder.students:
        lessons = []
        for slug, title in titles.items():
            own = name(folder, student.id, slug)
            if file := next((own + end for end in (".html", ".zip") if own + end in there), ""):
                lessons.append(f'<li><a href="{file}">{escape(title)}</a></li>')
        body = _YOURS.format(title=escape(folder.title), lessons="\n".join(lessons))
        site.links[student.id] = f"{name(folder, student.id)}.html"
        made[site.links[student.id]] = _page("Your lessons", body)
    return made


def _titles(works: Sequence[Assignment]) -> dict[str, str]:
    """Return slug → title of every lesson of the course, in the course's order."""
    found = {work.slug: work.exercise.title for work in works}
    root = works[0].root
    if root is None:
        return found
    titles = {}
    for slug in exercises.slugs(root):
        titles[slug] = found.get(slug, slug)
        if slug not in found:
            with suppress(AuthoringError):
                titles[slug] = exercises.load(slug, root).title
    return titles


def _book(pages: Path) -> dict[str, bytes]:
    return {
        f"{zips.PAGES}/{path.relative_to(pages).as_posix()}": path.read_bytes()
        for path in zips.sent_pages(pages)
    }


def _write(target: Path, files: Mapping[str, bytes], known: dict[str, str], site: Site) -> None:
    for file, data in files.items():
        path = target / file
        if _is_foreign(path, file, known) and path.read_bytes() != data:
            site.left.append(file)
            continue
        write_bytes(path, data)
        known[file] = _digest(data)


def _is_foreign(path: Path, file: str, known: Mapping[str, str]) -> bool:
    """Whether something that is not ours lies at a place of ours; nobody else has our own names."""
    if _OWN.fullmatch(file) or not path.is_file():
        return False
    return known.get(file) != _digest(path.read_bytes())


def _remove_old(
    folder: ClassFolder,
    root: Path | None,
    target: Path,
    files: Mapping[str, bytes],
    known: dict[str, str],
    site: Site,
) -> None:
    """Remove what we put there for students who are gone, or of an older book."""
    slugs = ("", *(exercises.slugs(root) if root else ()))
    expected = {name(folder, s.id, slug) for s in folder.students for slug in slugs}
    replaced = {Path(file).stem for file in files}
    with_book = any(file.startswith(f"{zips.PAGES}/") for file in files)
    for file in [f for f in known if f not in files]:
        own = bool(_OWN.fullmatch(file))
        stem = Path(file).stem
        old = stem not in expected or stem in replaced if own else with_book
        if not old or _is_foreign(target / file, file, known):
            continue
        if (target / file).is_file():
            (target / file).unlink()
            site.removed.append(file)
        del known[file]


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _manifests(folder: ClassFolder) -> dict[str, dict[str, str]]:
    path = folder.made / MANIFEST
    return json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}


def _known(folder: ClassFolder, target: Path) -> dict[str, str]:
    return dict(_manifests(folder).get(str(target.resolve()), {}))


def _note(folder: ClassFolder, target: Path, known: Mapping[str, str]) -> None:
    found = _manifests(folder) | {str(target.resolve()): dict(sorted(known.items()))}
    write_text(folder.made / MANIFEST, json.dumps(found, indent=1) + "\n")
