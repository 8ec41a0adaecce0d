"""At the bench: sheets to type in, readings beside what the student's own frame should give."""

from __future__ import annotations

import io
from dataclasses import dataclass
from urllib.parse import urlencode

import segno
from markupsafe import Markup

from coursekit.classroom.bench import class_fits
from coursekit.classroom.form import server as form_server
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register import phone_code
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.report import bench_sentences, overview
from coursekit.classroom.report.measured import LineMeasured, Measured, measured
from coursekit.desk import words
from coursekit.desk.page import DeskPage
from coursekit.sheets.text import long_minus, quantity, unit_sign


@dataclass(frozen=True)
class Cell:
    """A student's readings of one line: the mean, how far it is off, and whether that is much.

    `off` is "" where nothing was read.
    """

    value: str
    off: str
    outside: bool


@dataclass(frozen=True)
class Row:
    """A student's readings, and the address of the sheet to type them into."""

    name: str
    page: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Facts:
    """What the page shows of one lesson's bench record.

    `lines` are the heads of the columns: what was measured, its unit, and what the readings are
    compared with. `notes` say what the whole class is off by; `fits` what they say together.
    """

    slug: str
    title: str
    lines: tuple[tuple[str, str, str], ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...]
    fits: tuple[str, ...]


def lessons(view: FormClass) -> list[tuple[str, str]]:
    """Return slug and title of the lessons in use that have a bench record, in their order."""
    found = []
    for slug in overview.in_use(view.folder):
        exercise = view.sound(slug)
        if exercise and exercise.bench:
            found.append((slug, str(exercise.title)))
    return found


def facts(view: FormClass, slug: str) -> Facts:
    """Return what the page shows of a lesson."""
    work = view.shown(slug)
    names = words.names(view.folder)
    by_line = {one.line.id: one for one in measured(work)}
    rows = tuple(
        Row(
            names[s.id],
            "/bench?" + urlencode({"student": s.id, "lesson": slug}),
            tuple(_cell(by_line.get(line.id), s.id) for line in work.exercise.bench),
        )
        for s in view.folder.students
    )
    lines = tuple(
        (line.say, unit_sign(line.unit), _against(by_line.get(line.id)))
        for line in work.exercise.bench
    )
    notes = tuple(_all_off(one) for one in by_line.values() if one.all_off)
    found = class_fits.fits(view.folder, work.exercise)
    fits = bench_sentences.sentences(found, names)
    return Facts(slug, str(work.exercise.title), lines, rows, notes, fits)


def _against(line: LineMeasured | None) -> str:
    if line is None:
        return ""
    return "off the middle of the class" if line.from_class else "off what the frame gives"


def _cell(line: LineMeasured | None, student: str) -> Cell:
    found = next((m for m in line.students if m.student == student), None) if line else None
    if line is None or found is None:
        return Cell("", "", False)
    return Cell(_shown(found.value, line), _off(found, line), found.outside)


def _off(one: Measured, line: LineMeasured) -> str:
    return _shown(one.off, line, "+")


def _shown(value: float, line: LineMeasured, sign: str = "") -> str:
    plain = _plain(value, line)
    return long_minus(f"{float(plain):{sign if float(plain) else ''}g}")


def _plain(value: float, line: LineMeasured) -> str:
    """Return a value with one digit more than the instrument's division has, as a mean may."""
    digits = len(f"{line.line.resolution:g}".partition(".")[2])
    return f"{value:.{digits + 1}f}"


def _all_off(line: LineMeasured) -> str:
    middle, say = line.middle or 0.0, line.line.say
    by = quantity(float(_plain(abs(middle), line)), line.line.unit)
    more = "more" if middle > 0 else "less"
    return (
        f"{say[:1].upper()}{say[1:]}: in the middle, the class reads {by} {more} than the frames "
        "give. When everybody is off the same way, look at the instrument and at how it is held "
        "before you look at anybody’s work."
    )


class AtTheBench(DeskPage):
    """The page of tonight's lesson."""

    def get(self) -> None:
        """Show the lesson that was asked for, or the last that was handed out."""
        self.ask(self.fields.get("error", ""))

    def ask(self, error: str) -> None:
        """Show the page; `error` says why phones could not be let in."""
        some = lessons(self.desk.view)
        slug = self.fields.get("lesson", "") or (some[-1][0] if some else "")
        shown = facts(self.desk.view, slug) if slug in dict(some) else None
        self.show("at_the_bench", facts=shown, lessons=some, error=error, **self._phones())

    def _phones(self) -> dict[str, object]:
        desk = self.desk
        if not desk.phones:
            return {"address": "", "picture": "", "codes": ()}
        address = f"http://{desk.address}:{desk.port}/"
        names = words.names(desk.folder)
        codes = [
            (names[student], phone_code.printed(code))
            for code, student in phone_code.codes(desk.folder).items()
        ]
        return {"address": address, "picture": _picture(address), "codes": codes}


def _picture(address: str) -> Markup:
    """Return the QR code of an address as an SVG picture; the address is the kit's own."""
    out = io.BytesIO()
    segno.make_qr(address).save(
        out, kind="svg", xmldecl=False, svgns=True, border=4, scale=4, light="#fff", dark="#000"
    )
    return Markup(out.getvalue().decode("utf-8"))


class Phones(AtTheBench):
    """Lets students' phones in to the bench form for tonight, and shuts them out again."""

    def get(self) -> None:
        """Lead to the page itself, because a reader may load it again."""
        self.redirect("/at-the-bench")

    def post(self) -> None:
        """Let them in or shut them out, as the button says."""
        if self.fields.get("phones") != "in":
            self.desk.shut_phones_out()
            self.redirect("/at-the-bench", status=303)
            return
        address = self.fields.get("address", "").strip() or form_server.wifi_address()
        try:
            if not address:
                raise ClassError(
                    "Phones must find this computer in a network; it has no address in one. Join "
                    "the Wi-Fi, then let them in again."
                )
            self.desk.let_phones_in(address)
        except ClassError as error:
            self.set_status(422)
            self.ask(str(error))
            return
        self.redirect("/at-the-bench", status=303)
