"""Photos: what a student photographed, beside the boxes to type it into."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tornado.web import HTTPError

from coursekit.classroom.form import pages
from coursekit.classroom.form.sheet_pages import AnswersPage, BenchPage, SheetPage
from coursekit.classroom.intake import for_the_eye
from coursekit.classroom.intake.for_the_eye import ToLookAt
from coursekit.classroom.intake.safe_reading import open_regular, read_regular
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk import lesson_choice, opened, words
from coursekit.desk.page import DeskPage

_LARGEST = 20_000_000  # bytes; take-in keeps nothing that is larger


@dataclass(frozen=True)
class Photo:
    """A photo or scan: its name and kind, whether browsers draw it, whether it is done."""

    id: str
    name: str
    kind: str
    drawn: bool
    done: bool
    path: Path


def photos(folder: ClassFolder, student: str, slug: str) -> list[Photo]:
    """Return a student's photos and scans for a lesson, and those for no lesson in particular."""
    return [
        Photo(
            for_the_eye.known_as(folder, one.path),
            one.name,
            one.kind,
            bool(_drawn(one)),
            for_the_eye.is_done(folder, one.path),
            one.path,
        )
        for one in for_the_eye.for_the_eye(folder, student, slug)
        if for_the_eye.is_typed_from(one.path)
    ]


def _drawn(one: ToLookAt) -> str:
    file = open_regular(one.path)
    if file is None:
        return ""
    with file:
        return opened.drawn_as(file.read(64))


@dataclass(frozen=True)
class Facts:
    """What stands beside the boxes: the photo, its place among the others, and where to go.

    `photo` is None if there is none; `others` are the address and words of each, and `at` is the
    place of this one among them.
    """

    photo: Photo | None
    address: str
    others: tuple[tuple[str, str], ...]
    at: int
    following: str


def facts(folder: ClassFolder, page: str, asked: Mapping[str, str]) -> Facts:
    """Return what stands beside the boxes on `page`, for the sheet and photo that are asked for."""
    sheet = {name: asked.get(name, "") for name in ("student", "lesson")}
    found = photos(folder, sheet["student"], sheet["lesson"])
    waiting = [place for place, one in enumerate(found) if not one.done]
    named = [place for place, one in enumerate(found) if one.id == asked.get("photo")]
    at = next(iter([*named, *waiting, *range(len(found))]), -1)
    pages = [f"/{page}?{urlencode(sheet | {'photo': one.id})}" for one in found]
    said = [f"{n}. {one.name}{' (done)' if one.done else ''}" for n, one in enumerate(found, 1)]
    photo = found[at] if found else None
    address = f"/photo?{urlencode(sheet | {'photo': photo.id})}" if photo else ""
    later = pages[at + 1 :] + pages[:at] if len(pages) > 1 else []
    return Facts(photo, address, tuple(zip(pages, said, strict=True)), at, *later[:1] or [""])


class _Beside(DeskPage, SheetPage):
    """A sheet's boxes with the student's photos beside them."""

    carried = ("photo",)

    def _sheet(self) -> pages.Sheet | None:
        """Return the sheet; where only the lesson is missing, ask for it beside the photo."""
        student = self.fields.get("student", "")
        known = words.names(self.desk.folder)
        if student not in known or self.fields.get("lesson"):
            return super()._sheet()
        self.show(
            "photos",
            facts=facts(self.desk.folder, self.page, self.fields),
            sheet=None,
            who=known[student],
            student=student,
            lessons=lesson_choice.groups(self.desk.view),
        )
        return None

    def show_boxes(
        self, sheet: pages.Sheet, errors: dict[str, str], alerts: list[str], status: str
    ) -> None:
        """Show the boxes of the sheet beside a photo."""
        asked = dict(self.fields) | {"student": sheet.student.id, "lesson": sheet.exercise.slug}
        shown = facts(self.desk.folder, self.page, asked)
        if errors and self.fields.get("photo") and shown.photo is None:
            alerts = [*alerts, "The photo is not there any more."]
        query = urlencode({"student": sheet.student.id, "lesson": sheet.exercise.slug})
        self.show(
            "photos",
            facts=shown,
            sheet=sheet,
            who=self.name(sheet.student.id),
            student=sheet.student.id,
            page=self.page,
            other=self.other,
            query=query,
            groups=self.groups(sheet, errors),
            alerts=alerts,
            status=status,
            kept=self.fields.get("kept", ""),
        )

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Record what was typed; if all of it was good, the photo may be done."""
        found: tuple[int, dict[str, str], str] = await super().record(sheet)
        if "done" in self.fields and not found[1]:
            _set_done(self, True)
            self.fields.pop("photo", None)  # the next one comes up
        return found


class PhotoAnswers(_Beside, AnswersPage):
    """The answers that stand on a paper sheet, beside its photo."""

    page, other = "photos", "photos/bench"

    def kept_back(self, sheet: pages.Sheet) -> str:
        """Return why answers are recorded but not handed in; the page has a button for it."""
        if self.fields["kept"] == "busy":
            return (
                "The answers are recorded but not handed in yet, because the class is being marked."
            )
        return (
            f"The answers are recorded but not handed in, because {self.name(sheet.student.id)} "
            "has handed in a notebook, and paper does not take its place unasked."
        )


class PhotoBench(_Beside, BenchPage):
    """The bench record of a sheet, beside its photo."""

    page, other = "photos/bench", "photos"


class Photograph(DeskPage):
    """The photo itself."""

    async def get(self) -> None:
        """Send it."""
        one = _named(self)
        data = await asyncio.to_thread(read_regular, one.path, _LARGEST)
        if data is None:
            raise HTTPError(404)
        opened.send(self, one.name, data, save="save" in self.fields)


class Done(DeskPage):
    """Says that nothing more is to be typed from a photo, or that there is."""

    async def post(self) -> None:
        """Keep that, and show the next."""
        _named(self)
        async with self.form.turn:
            await asyncio.to_thread(_set_done, self, self.fields.get("done") == "1")
        sheet = {name: self.fields.get(name, "") for name in ("student", "lesson")}
        if self.fields.get("done") != "1":
            sheet["photo"] = self.fields["photo"]
        elif all(one.done for one in photos(self.desk.folder, sheet["student"], sheet["lesson"])):
            self.redirect("/drop#photos", status=303)
            return
        page = "photos/bench" if self.fields.get("page") == "photos/bench" else "photos"
        self.redirect(f"/{page}?{urlencode(sheet)}", status=303)


class HandIn(DeskPage):
    """Hands in answers from paper that were recorded and kept back."""

    def post(self) -> None:
        """Order it."""
        said: dict[str, Any] = {n: self.fields.get(n, "") for n in ("student", "lesson")}
        where = f"/photos?{urlencode(said)}"
        said["replace"] = self.fields.get("kept") == "own"
        who = f"{self.name(said['student'])}, {self.title(said['lesson'])}"
        self.order("hand_in_paper", f"Handing in the answers from paper: {who}", where, said)


def _named(page: DeskPage) -> Photo:
    """Return the photo that a request names; 404 if it is none of that student's."""
    student, slug = page.fields.get("student", ""), page.fields.get("lesson", "")
    if student in words.names(page.desk.folder) and _is_plain(slug):
        for one in photos(page.desk.folder, student, slug):
            if one.id == page.fields.get("photo"):
                return one
    raise HTTPError(404)


def _is_plain(slug: str) -> bool:
    return not slug or slug.replace("-", "").isalnum()


def _set_done(page: DeskPage, done: bool) -> None:
    for_the_eye.set_done(page.desk.folder, _named(page).path, done)
