"""The pages of a sheet: choosing one, its bench record, and its answers from paper."""

from __future__ import annotations

import asyncio
from urllib.parse import urlencode

from tornado.escape import url_escape, url_unescape

from coursekit.classroom.bench import bench_record
from coursekit.classroom.form import boxes, pages
from coursekit.classroom.form.door import COOKIE, FormPage
from coursekit.classroom.paper import as_notebook, paper_answers
from coursekit.classroom.register.class_folder import ClassError

BY = "bench_typed_by"
BY_SECONDS = 30 * 24 * 3600


def _query(student: str, slug: str) -> str:
    return urlencode({"student": student, "lesson": slug})


class _Page(FormPage):
    """A page that may be about a sheet."""

    def asked_for(self) -> pages.Sheet | None:
        """Return the sheet that the fields name; a phone gets None, and is told, if not its own.

        Raises ValueError, in words for whoever typed it.
        """
        if not self.student:
            return self.form.view.sheet(self.fields)
        try:
            return self.form.view.sheet_of(self.student, self.fields)
        except pages.NotYoursError:
            self.not_yours()
            return None


class Start(_Page):
    """The page on which a sheet is chosen."""

    def get(self) -> None:
        """Ask which sheet."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page, with what was typed."""
        typed = {name: self.fields.get(name, "")[:160] for name in ("code", "student", "lesson")}
        view = self.form.view
        if self.student:
            student = self.form.folder.student(self.student)
            own = [(e, _query(student.id, e.slug)) for e in view.lessons_of(student.id)]
            self.show("own", error=error, student=student, lessons=own)
            return
        students, lessons = self.form.folder.students, view.lessons()
        self.show("start", error=error, students=students, lessons=lessons, **typed)


class Open(Start):
    """Leads from a typed code, or a chosen student and lesson, to the sheet."""

    def get(self) -> None:
        """Go to the sheet, or ask again and say why."""
        try:
            sheet = self.asked_for()
        except ValueError as error:
            self.set_status(422)
            self.ask(str(error))
            return
        if sheet is None:
            return
        where = {"student": sheet.student.id, "lesson": sheet.exercise.slug}
        if sheet.notice:
            where["code"] = self.fields["code"]
        self.redirect(f"/bench?{urlencode(where)}", status=303)


class SheetPage(_Page):
    """A page that shows a sheet's boxes and takes what is typed into them."""

    page, other, what = "bench", "answers", "bench record"
    carried: tuple[str, ...] = ()  # fields that a page of the desk adds and wants back

    def get(self) -> None:
        """Show the sheet."""
        if (sheet := self._sheet()) is None:
            return
        count = self.fields.get("recorded", "")
        status = f"{count} recorded." if count.isdigit() and len(count) < 4 else ""
        alerts = [sheet.notice] if sheet.notice else []
        if self.fields.get("kept"):
            alerts.append(self.kept_back(sheet))
        try:
            self.show_boxes(sheet, {}, [a for a in alerts if a], status)
        except ClassError as error:
            self.set_status(503)
            self.show("told", head="The record cannot be read", why=str(error))

    def _sheet(self) -> pages.Sheet | None:
        """Return the sheet that was asked for; if there is none to show, say so and return None."""
        try:
            return self.asked_for()
        except ValueError as error:
            self.set_status(404)
            self.show("told", head="No such sheet", why=str(error))
            return None

    def show_boxes(
        self, sheet: pages.Sheet, errors: dict[str, str], alerts: list[str], status: str
    ) -> None:
        """Show the boxes of the sheet."""
        self.show(
            "sheet",
            sheet=sheet,
            page=self.page,
            other=self.other,
            what=self.what,
            query=_query(sheet.student.id, sheet.exercise.slug),
            groups=self.groups(sheet, errors),
            alerts=alerts,
            status=status,
            hidden_fields=self.hidden_fields(),
            by=(self.fields.get("by") or url_unescape(self.get_cookie(BY, "")))[:60],
        )

    def groups(self, sheet: pages.Sheet, errors: dict[str, str]) -> list[boxes.Group]:
        """Return the boxes; each page has its own."""
        raise NotImplementedError

    def kept_back(self, sheet: pages.Sheet) -> str:
        """Return what to say about answers that are recorded but not handed in."""
        return ""

    async def post(self) -> None:
        """Record what was typed, and show again what was refused, with the reason."""
        if (sheet := self._sheet()) is None:
            return
        by = url_escape(self.fields.get("by", "").strip()[:60])
        self.set_cookie(BY, by, max_age=BY_SECONDS, **COOKIE)
        try:
            count, errors, kept = await self.record(sheet)
        except (ClassError, OSError) as error:
            self.set_status(503)
            self.boxes_back(sheet, str(error))
            return
        if errors:
            self.set_status(422)
            self.show_boxes(sheet, errors, [], f"{count} recorded." if count else "")
            return
        where = {"student": sheet.student.id, "lesson": sheet.exercise.slug, "recorded": count}
        where |= {"kept": kept} if kept else {}
        where |= {name: self.fields[name] for name in self.carried if name in self.fields}
        self.redirect(f"/{self.page}?{urlencode(where)}", status=303)

    def boxes_back(self, sheet: pages.Sheet, why: str) -> None:
        """Show the page again with all that was typed; if even that fails, say what to do."""
        told = f"Not recorded: {why} What you typed stands below; send it again."
        try:
            self.show_boxes(
                sheet, dict.fromkeys(self.typed(sheet), "Not recorded yet."), [told], ""
            )
        except (ClassError, OSError):
            why += " Go back: what you typed is still there."
            self.show("told", head="Not recorded", why=why)

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Record, and return how many, what was refused, and why answers were not handed in."""
        raise NotImplementedError

    def typed(self, sheet: pages.Sheet) -> list[str]:
        """Return the names of the boxes with something in them."""
        raise NotImplementedError

    def source(self) -> str:
        """Return where a post came from, as the record keeps it."""
        return "form, phone" if self.student else "form, this computer"


class BenchPage(SheetPage):
    """The bench record of a sheet."""

    def groups(self, sheet: pages.Sheet, errors: dict[str, str]) -> list[boxes.Group]:
        """Return the boxes of the bench record."""
        return boxes.bench_groups(self.form.view, sheet, self.fields, errors)

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Record the readings."""
        posted = boxes.read_bench(self.form.view, sheet, self.fields, self.posting, self.source())
        bench_record.record(self.form.folder, posted.good)
        self.form.recorded += len(posted.good)
        return len(posted.good), posted.errors, ""

    def typed(self, sheet: pages.Sheet) -> list[str]:
        """Return the boxes of readings with something in them."""
        return [n for n, v in self.fields.items() if n.startswith("r.") and v.strip()]


class AnswersPage(SheetPage):
    """The answers that stand on a paper sheet."""

    page, other, what = "answers", "bench", "questions"

    def groups(self, sheet: pages.Sheet, errors: dict[str, str]) -> list[boxes.Group]:
        """Return the boxes of the questions."""
        phone = bool(self.student)
        return boxes.answer_groups(self.form.view, sheet, self.fields, errors, with_text=phone)

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Record the answers and hand them in."""
        posted = boxes.read_answers(self.form.view, sheet, self.fields, self.posting, self.source())
        paper_answers.record(self.form.folder, posted.answers)
        self.form.recorded += len(posted.answers)
        kept = ""
        if posted.answers:
            async with self.form.turn:
                kept = await asyncio.to_thread(self._hand_in, sheet)
        return len(posted.answers), posted.errors, kept

    def _hand_in(self, sheet: pages.Sheet) -> str:
        work = self.form.view.work(sheet.exercise.slug)
        try:
            done = as_notebook.hand_in(work, [sheet.student.id])
        except ClassError:
            return "busy"
        return "own" if any(o.why for o in done) else ""

    def kept_back(self, sheet: pages.Sheet) -> str:
        """Return why answers are recorded but not handed in, and what the instructor can do."""
        call = f"coursekit answers hand-in {sheet.exercise.slug}"
        if self.fields["kept"] == "busy":
            return (
                "The answers are recorded but not handed in yet: the class is being marked. The "
                f"next answers of this sheet hand them in, or the instructor does: {call}"
            )
        return (
            f"The answers are recorded but not handed in: {sheet.student.id} has handed in a "
            f"notebook. The instructor can let paper count: {call} --replace {sheet.student.id}"
        )

    def typed(self, sheet: pages.Sheet) -> list[str]:
        """Return all questions, because an emptied box says something too."""
        return [q.id for q in sheet.exercise.graded]
