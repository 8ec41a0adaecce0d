"""The bench form over the wire: what it takes, and what an attacker in the same Wi-Fi gets: nothing."""

from __future__ import annotations

import http.client
import json
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from urllib.parse import urlencode

import pytest

from coursekit.classroom.bench import bench_record
from coursekit.classroom.form import server
from coursekit.classroom.handout import worksheets
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.register import lock_and_backup, phone_code
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.sheets.code import SheetCode

from . import benches, small
from .benches import BENCH, opened
from .form_client import Visitor, fields_of, serving, words

MINE = "student=bench-01&lesson=small"


@pytest.fixture
def shop(tmp_path):
    folder, _ = opened(tmp_path)
    return folder, tmp_path


@pytest.fixture
def form(shop):
    with serving(*shop) as form:
        yield form


@pytest.fixture
def visitor(form):
    one = Visitor(form)
    one.get("/")
    yield one
    one.close()


@pytest.fixture
def phones(tmp_path):
    """The form for phones of a class in which the first two have the lesson on paper."""
    work = small.evening(tmp_path, 3, benches.BENCHED)
    shutil.rmtree(work.folder.path / "hand-out" / "bench-03")
    benches.on_paper(work.folder, "bench-02")
    with serving(work.folder, tmp_path / "course", phones=True) as form:
        yield form


@pytest.fixture
def phone(phones):
    """The phone of bench-01."""
    one = Visitor(phones, phone=True).enter()
    yield one
    one.close()


def stand(form):
    return {place: r.value for place, r in bench_record.latest(form.folder, "small").items()}


# ---- what it takes ---------------------------------------------------------------------------


def test_readings_are_recorded_and_shown(form, visitor):
    fields = visitor.page() | {
        "r.gap.1": "0,35", "r.gap.2": " 0.4 mm", "r.angle.1": "61,5", "by": "Ann",
    }  # fmt: skip
    status, headers, _ = visitor.post("/bench", fields)
    assert (status, headers["Location"]) == (303, "/bench?student=bench-01&lesson=small&recorded=3")
    assert stand(form) == {
        ("bench-01", "gap", 1): 0.35, ("bench-01", "gap", 2): 0.4, ("bench-01", "angle", 1): 61.5,
    }  # fmt: skip
    one = bench_record.readings(form.folder)[0]
    assert (one.by, one.source, one.typed) == ("Ann", "form, this computer", "0,35")
    _, _, text = visitor.get(headers["Location"])
    assert "3 recorded." in words(text)
    assert f"Recorded: 0.35 mm, {datetime.now(UTC).astimezone():%H:}" in words(text)
    assert fields_of(text)["r.gap.1"] == "", "a second reading is not to be led by the first"
    assert fields_of(text)["by"] == "Ann"


def test_good_readings_are_recorded_and_the_others_asked_back_as_typed(form, visitor):
    fields = visitor.page() | {
        "r.gap.1": "0,32",
        "r.gap.2": "0.4",
        "r.angle.1": "<b>",
        "by": '"<i>',
    }
    status, _, text = visitor.post("/bench", fields)
    assert status == 422
    assert stand(form) == {("bench-01", "gap", 2): 0.4}
    back = fields_of(text)
    assert (back["r.gap.1"], back["r.angle.1"], back["r.gap.2"]) == ("0,32", "<b>", "")
    assert "Asked back: widest gap ; angle of the joint ." in words(text)
    assert "The nearest marks are 0.3 and 0.35" in words(text)
    assert "<b>" not in text
    status, _, _ = visitor.post("/bench", back | {"r.gap.1": "0.35", "r.angle.1": "61"})
    assert status == 303
    assert stand(form)["bench-01", "gap", 1] == 0.35
    assert len(bench_record.readings(form.folder)) == 3


def test_signs_and_other_instruments(tmp_path):
    signed = BENCH.replace("low: 0, high: 5", "low: -5, high: 5")
    folder, _ = opened(tmp_path, bench=signed)
    with serving(folder, tmp_path) as form:
        visitor = Visitor(form)
        visitor.get("/")
        fields = visitor.page()
        assert fields["s.r.gap.1"] == ""
        fields |= {
            "r.gap.1": "0,32",
            "s.r.gap.1": "-",
            "d.gap": "0,01",
            "i.gap": "digital calliper",
        }
        assert visitor.post("/bench", fields | {"r.gap.2": "-0.4", "s.r.gap.2": "-"})[0] == 303
        found = bench_record.readings(form.folder)
        assert [(r.value, r.instrument, r.resolution) for r in found] == [
            (-0.32, "digital calliper", 0.01), (-0.4, "digital calliper", 0.01),
        ]  # fmt: skip
        wrong = visitor.page() | {"r.gap.1": "9", "s.r.gap.1": "-", "i.gap": "rule"}
        back = fields_of(visitor.post("/bench", wrong)[2])
        assert (back["r.gap.1"], back["s.r.gap.1"], back["i.gap"]) == ("9", "-", "rule")
        visitor.close()


def test_the_code_of_a_sheet_opens_it(tmp_path):
    work = small.evening(tmp_path)
    numbers = work.numbers("bench-02")
    code = str(
        worksheets.copy(work.exercise, "bench-02", "B", numbers).code(
            worksheets.body(work.exercise)
        )
    )
    head, check = code.rsplit("/", 1)
    with serving(work.folder, tmp_path / "course") as form:
        visitor = Visitor(form)
        visitor.get("/")
        for typed in (
            code,
            f"  {code} ",
            f"{head.replace('/0', '/0')}/{check.lower()}",
            code.replace("/", " / "),
        ):
            status, headers, _ = visitor.get(
                "/sheet?code=" + typed.replace("/", "%2F").replace(" ", "+")
            )
            assert (status, headers["Location"]) == (303, "/bench?student=bench-02&lesson=small")
        old = code.split("/")[:2]
        stale = str(SheetCode(*old, "000000"))
        _, headers, _ = visitor.get(f"/sheet?code={stale}")
        _, _, text = visitor.get(headers["Location"])
        assert "This sheet was printed as version 000000; it would now be" in words(text)
        for typed, message in (
            (code[:-1], "A sheet's code must be student/lesson/version/checksum"),
            (f"{head}/{'0000' if check != '0000' else '1111'}", "A sheet's code must match its checksum"),
            (str(SheetCode("bench-99", "small", "000000")), "must be of a student on the roster; got 'bench-99'"),
            (str(SheetCode("bench-01", "large", "000000")), "must be of a lesson of the course; got 'large'"),
            ("", "A sheet must be named by the code in its foot, or by student and lesson; got neither"),
        ):  # fmt: skip
            status, _, text = visitor.get(f"/sheet?code={typed}")
            assert (status, message in words(text)) == (422, True)
            assert fields_of(text)["code"] == typed
        visitor.close()


def test_answers_from_paper_are_recorded_and_handed_in(tmp_path):
    work = small.evening(tmp_path)
    with serving(work.folder, tmp_path / "course") as form:
        visitor = Visitor(form)
        visitor.get("/")
        fields = visitor.page("answers")
        fields |= {
            "a.area.0": "100,5",
            "a.shape.0": "square",
            "a.why.0": "- Because\r\nof it",
            "by": "Ann",
        }
        status, headers, _ = visitor.post("/answers", fields)
        assert (status, headers["Location"]) == (
            303,
            "/answers?student=bench-01&lesson=small&recorded=3",
        )
        found = {a.question: (a.answer, a.by) for a in paper_answers.every(work.folder, "small")}
        assert found == {
            "area": ("100,5", "Ann"), "shape": ("square", "Ann"), "why": ("- Because\nof it", "Ann"),
        }  # fmt: skip
        path = work.folder.submitted("bench-01", "small") / "small.ipynb"
        assert "area = '100,5'" in path.read_text()
        shown = visitor.page("answers")
        assert (shown["a.area.0"], shown["a.shape.0"]) == ("100,5", "square")
        assert visitor.post("/answers", shown)[0] == 303
        assert len(paper_answers.every(work.folder, "small")) == 3, "nothing changed"
        visitor.post("/answers", shown | {"a.area.0": "", "s.a.double.0": "-", "a.double.0": "7"})
        stands = paper_answers.latest(work.folder, "small")["bench-01"]
        assert {q: a.answer for q, a in stands.items()} == {
            "shape": "square", "why": "- Because\nof it", "double": "-7",
        }  # fmt: skip
        again = visitor.page("answers")
        assert (again["a.double.0"], again["s.a.double.0"]) == ("7", "-")
        status, _, text = visitor.post("/answers", again | {"a.shape.0": "star", "a.area.0": "5"})
        assert (status, "must be answered by one of round, square" in words(text)) == (422, True)
        small.hand_in(work, "bench-02")
        fields = visitor.page("answers", "bench-02") | {"a.area.0": "99,75"}
        _, headers, _ = visitor.post("/answers", fields)
        _, _, text = visitor.get(headers["Location"])
        assert "recorded but not handed in: bench-02 has handed in a notebook" in words(text)
        assert (
            "99,75" not in (work.folder.submitted("bench-02", "small") / "small.ipynb").read_text()
        )
        visitor.close()


def test_when_nothing_can_be_recorded_all_that_was_typed_comes_back(form, visitor, monkeypatch):
    fields = visitor.page() | {"r.gap.1": "0.35", "r.gap.2": "0.4", "by": "Ann"}
    for error in (OSError(28, "No space left on device"), ClassError("another has been writing.")):

        def fail(*args, error=error):
            raise error

        with monkeypatch.context() as patch:
            patch.setattr(bench_record, "record", fail)
            status, _, text = visitor.post("/bench", fields)
        assert (status, "Not recorded: " in words(text)) == (503, True)
        fields = fields_of(text)
        assert (fields["r.gap.1"], fields["r.gap.2"], fields["by"]) == ("0.35", "0.4", "Ann")
    assert visitor.post("/bench", fields)[0] == 303
    assert len(bench_record.readings(form.folder)) == 2


def test_a_mistake_of_ours_tells_nothing_about_this_computer(form, visitor, monkeypatch, capfd):
    def fail(*args):
        raise RuntimeError("secret path /home/ann/class")

    fields = visitor.page() | {"r.gap.1": "0.35"}
    with monkeypatch.context() as patch:
        patch.setattr(bench_record, "record", fail)
        status, _, text = visitor.post("/bench", fields)
    assert status == 500
    assert "Something failed here" in words(text)
    for word in ("secret", "Traceback", "/home", "RuntimeError"):
        assert word not in text


def test_a_lesson_that_is_not_sound_leaves_the_others(form, visitor):
    (form.root / "exercises" / "bent.md").write_text("no head")
    status, _, text = visitor.get("/")
    assert (status, "bent" in text, "small" in text) == (200, False, True)
    status, _, text = visitor.get("/bench?student=bench-01&lesson=bent")
    assert (status, "the file must begin with a head" in words(text)) == (404, True)


# ---- who is kept out -------------------------------------------------------------------------


def test_only_this_computer_is_listened_to_by_default(form):
    with socket.create_connection(("127.0.0.1", form.port), timeout=5):
        pass
    address = server.wifi_address()
    for other in filter(None, ("127.0.0.2", address)):
        with pytest.raises(OSError), socket.create_connection((other, form.port), timeout=2):
            pass
    assert form.hosts == {f"127.0.0.1:{form.port}", f"localhost:{form.port}"}


def test_the_wifi_address_is_listened_to_when_asked(shop):
    """127.0.0.2 stands in for the address in the Wi-Fi: this computer too, but not the default one."""
    if sys.platform == "darwin":
        pytest.skip("macOS has one loopback address only")
    from coursekit.classroom.form.form_state import Form
    from coursekit.classroom.form.gate import Gate

    form = Form(*shop, Gate(), "127.0.0.2", 0)
    form.port = 0
    import asyncio

    async def main():
        listening = server.listen(form)
        reader, writer = await asyncio.open_connection("127.0.0.2", form.port)
        writer.write(f"GET /bench HTTP/1.1\r\nHost: 127.0.0.2:{form.port}\r\n\r\n".encode())
        said = await reader.readline()
        writer.close()
        await server.close(listening)
        return said

    assert asyncio.run(main()) == b"HTTP/1.1 302 Found\r\n"


def test_a_phone_needs_a_student_s_own_code_and_is_that_student_s(phones):
    one, two = Visitor(phones, phone=True), Visitor(phones, phone=True)
    for path in ("/", f"/bench?{MINE}", "/answers", "/sheet?code=x"):
        status, headers, text = one.get(path)
        assert (status, headers["Location"], text) == (302, "/enter", "")
    assert one.cookies == {}
    status, _, text = one.post("/enter", {"code": "00000000"})
    assert (status, "must be the one that is printed" in words(text)) == (403, True)
    assert one.cookies == {}
    one.enter("bench-02")
    text = one.get("/")[2]
    assert "bench-02" in words(text)
    assert "bench-01" not in text
    assert one.get("/bench?student=bench-02&lesson=small")[0] == 200
    fields = one.page(student="bench-02") | {"r.gap.1": "0.35"}
    assert (two.post("/bench", fields)[0], stand(phones)) == (403, {})
    two.cookies = {"bench_session": "0" * 32 + ".1." + "0" * 64}
    assert two.post("/bench", fields)[0] == 403
    assert one.post("/bench", fields)[0] == 303
    assert [r.source for r in bench_record.readings(phones.folder)] == ["form, phone"]
    one.enter("bench-01")
    assert one.get("/bench?student=bench-02&lesson=small")[0] == 403, "another took the phone over"
    assert one.get(f"/bench?{MINE}")[0] == 200
    for one_ in (one, two):
        one_.close()


def test_a_thousand_wrong_codes_open_nothing_and_the_door_shuts(phones):
    visitor = Visitor(phones, phone=True)
    told = {visitor.post("/enter", {"code": f"{i:08d}"})[0] for i in range(1000)}
    assert told == {403, 429}
    assert visitor.cookies == {}
    time.sleep(0.2)  # a request or two come free again
    status, _, text = visitor.post(
        "/enter", {"code": phone_code.phone_code(phones.folder, "bench-01")}
    )
    assert (status, "The door is shut for" in words(text)) == (403, True)
    visitor.close()


def test_a_guess_says_nothing_about_who_is_there(phones, phone):
    """Neither outside nor on another's phone does an id that exists answer otherwise than one that does not."""
    outside = set()
    for guess in ("bench-02", "bench-99", "Bench 2", "bench-02/small/000000/0000", ""):
        phones.gate._records.clear()
        stranger = Visitor(phones, phone=True)
        outside.add(stranger.post("/enter", {"code": guess})[2])
        stranger.close()
    assert len(outside) == 1
    inside = {
        phone.get("/bench?" + urlencode({"student": id, "lesson": "small"}))[2]
        for id in ("bench-02", "bench-03", "bench-99", "../secret", "")
    }
    assert len(inside) == 1


NOT_THEIRS = {
    "another's": {"student": "bench-02", "lesson": "small"},
    "another's who has it not": {"student": "bench-03", "lesson": "small"},
    "nobody's": {"student": "bench-99", "lesson": "small"},
    "another's by a former id": {"student": "ada", "lesson": "small"},
    "a lesson not handed out": {"student": "bench-01", "lesson": "other"},
    "no lesson": {"student": "bench-01", "lesson": "nothing"},
    "a path": {"student": "bench-01", "lesson": "../../secret"},
    "another's by the sheet's code": {"code": str(SheetCode("bench-02", "small", "000000"))},
    "both, the own one last": {"code": str(SheetCode("bench-02", "small", "0" * 6)), "student": "bench-01", "lesson": "small"},
    "nothing": {},
}  # fmt: skip


@pytest.mark.parametrize("what", NOT_THEIRS)
def test_a_phone_gets_403_for_what_is_another_s_on_every_route_and_records_nothing(
    phones, phone, what
):
    (phones.folder.path / "former-ids.csv").write_text("former,now\nada,bench-02\n")
    for kind, folder in ((".md", "exercises"), (".py", "solutions"), (".md", "solutions")):
        shutil.copy(phones.root / folder / f"small{kind}", phones.root / folder / f"other{kind}")
    asked = NOT_THEIRS[what]
    before = small.tree(phones.folder.path)
    told = set()
    for path in ("/sheet", "/bench", "/answers"):
        status, headers, text = phone.get(f"{path}?{urlencode(asked)}")
        assert (status, headers["Location"]) == (403, None), path
        told |= {text}
    mine = {k: v for k, v in phone.page().items() if k not in ("student", "lesson")}
    typed = {"r.gap.1": "0.35", "a.area.0": "7", "a.why.0": "Ha", "by": "eve"}
    for path in ("/bench", "/answers"):
        for query in ("", f"?{MINE}"):  # of two fields of one name the last counts, the body's
            if query and asked.keys() != {"student", "lesson"}:
                continue
            status, _, text = phone.post(path + query, mine | typed | asked)
            assert status == 403, path
            told |= {text}
    assert len(told) == 1
    assert "opens that student's lessons alone" in words(told.pop())
    assert small.tree(phones.folder.path) == before


def test_the_routes_tried_are_all_there_are():
    """A new route must be thought about: it is for phones too."""
    assert set(server.ROUTES) == {"/", "/enter", "/sheet", "/bench", "/answers", r"/form\.css"}


def test_a_phone_sees_its_student_s_lessons_and_the_words_of_the_questions(phones, phone):
    text = phone.get("/")[2]
    assert re.findall(r'href="([^"]*)"', text) == [
        "/form.css", f"/answers?{MINE.replace('&', '&amp;')}", f"/bench?{MINE.replace('&', '&amp;')}", "/enter",
    ]  # fmt: skip
    side = phones.view.work("small").numbers("bench-01")["side"]
    phones.view.work = phones.view.shown = (
        None  # to draw numbers may take a minute, in which nobody would be served
    )
    code = SheetCode("bench-01", "small", "000000")
    assert phone.get(f"/sheet?code={code}")[1]["Location"] == f"/bench?{MINE}"
    text = phone.get(f"/answers?{MINE}")[2]
    assert f"What is its area? side of a square: {side:g} mm in mm Answer" in words(text)
    assert "And of two?" in words(text)
    for other in ("bench-02", "bench-03", "Bench 2"):
        assert other not in text
    desk = Visitor(phones)
    desk.get("/")
    for path in ("/", f"/answers?{MINE}", "/answers?student=bench-02&lesson=small"):
        status, _, text = desk.get(path)
        assert (status, "What is its area" in text) == (200, False), "the sheet lies beside it"
    assert "bench-03" in desk.get("/")[2]
    desk.close()
    shutil.rmtree(phones.folder.bundle("bench-02", "small"))
    second = Visitor(phones, phone=True).enter("bench-02")
    text = words(second.get("/answers?student=bench-02&lesson=small")[2])
    assert "What is its area? in mm" in text, "on paper alone, so the numbers are there"
    second.close()
    third = Visitor(phones, phone=True).enter("bench-03")
    assert "Nothing is handed out to you yet." in words(third.get("/")[2])
    third.close()


def test_a_phone_s_answers_are_its_student_s(phones, phone):
    fields = phone.page("answers") | {"a.area.0": "100,5", "by": "b1"}
    status, headers, _ = phone.post("/answers", fields)
    assert (status, headers["Location"]) == (303, f"/answers?{MINE}&recorded=1")
    other = Visitor(phones, phone=True).enter("bench-02")
    assert "100,5" not in other.get("/answers?student=bench-02&lesson=small")[2]
    assert phone.page("answers")["a.area.0"] == "100,5"
    (kept,) = paper_answers.every(phones.folder, "small")
    assert (kept.student, kept.source) == ("bench-01", "form, phone")
    other.close()


def test_this_computer_is_the_one_that_asks_from_here_under_its_own_name(phones):
    """A Host header can be forged, and so can an address that is forwarded; both must fit."""
    code = phone_code.phone_code(phones.folder, "bench-01")
    desk, wifi = Visitor(phones), Visitor(phones, phone=True)
    desk.get("/")
    assert desk.get("/bench?student=bench-02&lesson=small")[0] == 200
    assert desk.get("/enter")[1]["Location"] == "/"
    assert desk.post("/enter", {"code": code})[1]["Location"] == "/"
    assert desk.get("/bench?student=bench-02&lesson=small")[0] == 200, "no code binds it"
    assert wifi.get("/")[1]["Location"] == "/enter"
    for name in ("X_Forwarded_For", "X_Real_Ip", "Forwarded", "X_Forwarded_Host"):
        assert wifi.get("/", **{name: "127.0.0.1"})[1]["Location"] == "/enter"
    if sys.platform == "linux":  # which takes any of 127.0.0.0/8 for this computer
        liar = Visitor(phones, source="127.0.0.2")
        assert liar.get("/")[1]["Location"] == "/enter"
        assert liar.post("/enter", {"code": code})[0] == 303
        assert liar.get("/bench?student=bench-02&lesson=small")[0] == 403
        liar.close()
    desk.close()
    wifi.close()


def test_without_phones_no_code_opens_and_nobody_else_gets_in(form):
    if sys.platform != "linux":
        pytest.skip("another loopback address is needed")
    other = Visitor(form, source="127.0.0.2")
    assert other.get("/")[1]["Location"] == "/enter"
    for code in ("", phone_code.phone_code(form.folder, "bench-01")):
        assert other.post("/enter", {"code": code})[0] == 403
    other.close()


FOREIGN = [
    ("another site", {"Origin": "http://evil.example"}, 403),
    ("another port of this computer", {"Origin": "http://127.0.0.1:1"}, 403),
    ("a page without an origin", {"Origin": "null"}, 403),
    ("no browser", {"Origin": None}, 403),
    ("secured elsewhere", {"Origin": "https://127.0.0.1"}, 403),
    ("a browser that says so", {"Sec-Fetch-Site": "cross-site"}, 403),
    ("a page of the same site", {"Sec-Fetch-Site": "same-site"}, 403),
    ("a name that was rebound", {"Host": "evil.example"}, 421),
    ("a name that was rebound, with its origin", {"Host": "evil.example", "Origin": "http://evil.example"}, 421),
    ("no port", {"Host": "127.0.0.1"}, 421),
    ("text that a form can send", {"Content-Type": "text/plain"}, 415),
    ("a script's JSON", {"Content-Type": "application/json"}, 415),
    ("a file", {"Content-Type": "multipart/form-data; boundary=x"}, 400),
    ("no kind at all", {"Content-Type": None}, 415),
]  # fmt: skip


@pytest.mark.parametrize(("who", "headers", "wanted"), FOREIGN)
def test_a_post_from_elsewhere_records_nothing(form, visitor, who, headers, wanted):
    """With the victim's own session and tokens, which another site could not have."""
    fields = visitor.page() | {"r.gap.1": "0.35"}
    sent = {k.replace("-", "_"): v for k, v in headers.items()}
    status, _, text = visitor.post("/bench", fields, **sent)
    assert (status, stand(form)) == (wanted, {})
    assert "recorded" in words(text) or wanted in (400, 421)


def test_tokens_that_are_not_this_pages_record_nothing(form, visitor):
    other = Visitor(form)
    other.get("/")
    mine, theirs = visitor.page(), other.page()
    for change in (
        {"_xsrf": ""}, {"_xsrf": "0" * 64}, {"_xsrf": theirs["_xsrf"]}, {"post": ""}, {"post": "x.y"},
        {"post": theirs["post"]}, {"post": mine["post"] + "0"}, {"_xsrf": mine["post"]},
    ):  # fmt: skip
        assert visitor.post("/bench", mine | {"r.gap.1": "0.35"} | change)[0] == 403
    for gone in ("_xsrf", "post"):
        fields = {k: v for k, v in mine.items() if k != gone} | {"r.gap.1": "0.35"}
        assert visitor.post("/bench", fields)[0] == 403
    visitor.cookies = other.cookies
    assert visitor.post("/bench", mine | {"r.gap.1": "0.35"})[0] == 403
    visitor.cookies = {}
    assert visitor.post("/bench", mine | {"r.gap.1": "0.35"})[0] == 403
    assert stand(form) == {}
    other.close()


def test_a_post_sent_again_counts_once_and_a_changed_one_is_kept(form, visitor):
    fields = visitor.page() | {"r.gap.1": "0.35", "r.gap.2": "0.4"}
    crowd = [Visitor(form) for _ in range(8)]
    for one in crowd:
        one.cookies = dict(visitor.cookies)
    threads = [threading.Thread(target=one.post, args=("/bench", fields)) for one in crowd]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(bench_record.readings(form.folder)) == 2
    assert visitor.post("/bench", fields | {"r.gap.1": "0.45"})[0] == 303
    assert [r.value for r in bench_record.readings(form.folder)] == [0.35, 0.4, 0.45]
    for one in crowd:
        one.close()


PATHS = [
    "/secret", "/../secret", "/..%2fsecret", "/%2e%2e/secret", "/form.css/../../secret", "//etc/passwd",
    "/form.css/", "/form.css%00", "/static/form.css", "/gradebook.db", "/bench/../secret", "/.made/lock",
    "/roster.csv", "/templates/base.html.j2", "/..\\secret", "/%5c..%5csecret", "/bench;/secret",
    "/bench/small.csv", "/%c0%ae%c0%ae/secret", "/" + "a" * 4000, "/%", "/%zz", "/?/../secret", "/favicon.ico",
    "/enter/../bench", "/BENCH", "/bench%0d%0aSet-Cookie:x=1", "/.git/config", "/~root", "/proc/self/environ",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_no_path_leads_to_a_file(form, visitor, path):
    secret = (form.folder.path / "secret").read_text().strip()
    for method in ("GET", "HEAD"):
        status, headers, text = visitor.ask(method, path)
        assert status in (200, 302, 303, 404) or (method, status) == ("HEAD", 405)
        assert "x" not in visitor.cookies
        assert secret not in text
        assert "root:" not in text
        assert "bench-01,Bench 1" not in text
        assert (
            status in (404, 405)
            or path.startswith(("/?", "/bench;", "/%"))
            or "Which sheet" in text
        )
        assert headers["Content-Security-Policy"].startswith("default-src 'none'")


@pytest.mark.parametrize("name", ["../../secret", "/etc/passwd", "small/../../secret", "", "x" * 3000, "small\0", "..", "small.md"])  # fmt: skip
def test_no_name_of_a_lesson_or_student_leads_to_a_file(form, visitor, name):
    from urllib.parse import quote

    for query in (f"student=bench-01&lesson={quote(name)}", f"student={quote(name)}&lesson=small"):
        for page in ("bench", "answers"):
            status, _, text = visitor.get(f"/{page}?{query}")
            assert (status, len(text) < 3000) == (404, True)
    mine = visitor.page()
    assert visitor.post("/bench", mine | {"lesson": name, "r.gap.1": "0.35"})[0] == 404
    assert (
        sorted(p.name for p in form.folder.path.iterdir() if p.name in ("bench", "answers")) == []
    )


@pytest.mark.parametrize(
    "method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"]
)
def test_other_methods_do_nothing(form, visitor, method):
    status, headers, _ = visitor.ask(method, "/bench", b"r.gap.1=0.35")
    assert status == 405
    assert "Access-Control-Allow-Origin" not in headers


def raw(form, data, wait=2.0):
    """Send bytes as they are and return the first of the answer, b"" where there is none."""
    with socket.create_connection(("127.0.0.1", form.port), timeout=wait) as one:
        try:
            one.sendall(data)
            return one.recv(4096)
        except OSError:
            return b""


RAW = [
    b"\0" * 100, b"GET / HTTP/1.1\r\n\r\n", b"GET\r\n\r\n", b"\x16\x03\x01\x02\x00\x01" + b"x" * 200,
    b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
    b"POST /bench HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: -5\r\n\r\n",
    b"POST /bench HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99999999999\r\n\r\n",
    b"POST /bench HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    b"POST /bench HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\nFFFFFFFFFF\r\n",
    b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"y" * 20_000 + b"\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: bench_session=\xff\xfe\r\n\r\n",
    b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n\r\n",
]  # fmt: skip


def test_broken_requests_end_and_the_form_goes_on(form, visitor):
    for data in RAW:
        said = raw(form, data)
        assert not said.startswith(b"HTTP/1.1 200"), data[:60]
    assert visitor.post("/bench", visitor.page() | {"r.gap.1": "0.35"})[0] == 303


def test_a_post_that_is_too_large_is_refused_and_nothing_is_recorded(form, visitor):
    fields = visitor.page() | {"r.gap.1": "0.35"}
    big = Visitor(form)
    big.cookies = dict(visitor.cookies)
    with pytest.raises((AssertionError, OSError, http.client.HTTPException)):
        status, _, _ = big.post("/bench", fields | {"by": "x" * (server.LARGEST_POST + 1)})
        assert status == 303, "answered with a refusal"
    big.close()
    assert stand(form) == {}
    many = fields | {f"r.gap.{i}": "0.35" for i in range(3, 900)}
    assert visitor.post("/bench", many)[0] == 303
    assert list(stand(form)) == [("bench-01", "gap", 1)], "boxes that the sheet does not have"


def test_ten_thousand_requests_at_once_lose_nobodys_reading(form, visitor):
    """Strangers flood the form from four connections while a guest records a reading now and then."""
    told = []

    def flood(seed):
        one = Visitor(form)
        for i in range(2500):
            one.cookies = {}  # a stranger each time
            if (i + seed) % 5:
                told.append(one.get(("/", "/bench", "/../secret", "/answers?x")[i % 4])[0])
            else:
                told.append(
                    one.post("/bench", {"r.gap.1": "1", "student": "bench-02", "lesson": "small"})[
                        0
                    ]
                )
        one.close()

    strangers = [threading.Thread(target=flood, args=(i,)) for i in range(4)]
    for one in strangers:
        one.start()
    wanted = [round(0.05 * i, 2) for i in range(1, 31)]
    for value in wanted:
        status, _, _ = visitor.post("/bench", visitor.page() | {"r.gap.1": f"{value:.2f}"})
        assert status == 303
    for one in strangers:
        one.join()
    assert len(told) == 10_000
    assert set(told) <= {200, 403, 404, 429}
    assert told.count(429) > 5000
    assert [(r.student, r.value) for r in bench_record.readings(form.folder)] == [
        ("bench-01", v) for v in wanted
    ]
    assert len(form.gate._buckets) <= 1001


def test_slow_visitors_do_not_keep_others_waiting(form, visitor):
    slow = [socket.create_connection(("127.0.0.1", form.port)) for _ in range(200)]
    for one in slow:
        one.sendall(b"GET / HTTP/1.1\r\nHost: ")
    assert visitor.post("/bench", visitor.page() | {"r.gap.1": "0.35"})[0] == 303
    for one in slow:
        one.close()


def test_every_answer_tells_the_browser_to_load_nothing(form, visitor):
    seen = [
        visitor.get(p) for p in ("/", "/bench?student=bench-01&lesson=small", "/nothing", "/enter")
    ]
    seen.append(visitor.post("/bench", {}))
    for _, headers, text in seen:
        policy = headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "script" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cache-Control"] == "private, no-cache"
        assert headers["Referrer-Policy"] == "same-origin"
        assert "Server" not in headers
        assert not re.search(r"<script|https?://|\son\w+=|style=", text)
    fresh = Visitor(form)
    _, headers, _ = fresh.get("/")
    cookie = headers["Set-Cookie"]
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {p.strip() for p in cookie.split(";")}
    fresh.close()


def test_a_record_that_is_busy_is_waited_for(form, visitor):
    fields = visitor.page() | {"r.gap.1": "0.35"}
    lock = form.folder.made / "bench" / "small.lock"
    let_go = threading.Timer(0.5, lambda: held.close())
    held = lock_and_backup.held(lock)
    held.__enter__()
    held.close = lambda: held.__exit__(None, None, None)
    let_go.start()
    assert visitor.post("/bench", fields)[0] == 303
    let_go.join()


# ---- the command -----------------------------------------------------------------------------


def command(folder: ClassFolder, root, *words):
    return subprocess.Popen(
        [sys.executable, "-m", "coursekit.cli", "bench", "form", "--class", str(folder.path), "--port", "0", *words],
        cwd=root, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={"PATH": "/usr/bin", "PYTHONUNBUFFERED": "1", "COURSEKIT_ROOT": str(root)},
    )  # fmt: skip


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_ctrl_c_ends_it_cleanly(shop, end):
    process = command(*shop)
    first = process.stdout.readline()
    port = int(re.fullmatch(r"On this computer: http://127\.0\.0\.1:(\d+)/\n", first)[1])
    assert process.stdout.readline() == "Stop it with Ctrl-C.\n"
    with socket.create_connection(("127.0.0.1", port)) as held_open:
        held_open.sendall(b"GET / HTTP/1.1\r\nHost: ")
        process.send_signal(end)
        said, wrong = process.communicate(timeout=20)
    assert (process.returncode, said, wrong) == (
        0,
        f"Stopped. 0 values recorded in {shop[0].path}.\n",
        "",
    )


def test_phones_are_told_the_address_and_what_the_wifi_hears(shop):
    if sys.platform != "linux":
        pytest.skip("another loopback address is needed")
    process = command(*shop, "--phones", "--address", "127.0.0.2")
    said = ""
    while "Stop it" not in said:
        said += process.stdout.readline()
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=20)
    assert re.search(r"On phones in the same Wi-Fi: http://127\.0\.0\.2:\d+/\n", said)
    assert "Each student types the code from the top of their worksheet.\n" in said
    assert not any(phone_code.printed(c) in said for c in phone_code.codes(shop[0]))
    assert "Whoever is in that Wi-Fi can read along." in said
    assert said.count("█") > 50, "no square code"


def test_a_port_that_is_taken_and_an_address_of_another_are_told(shop):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        for words_, message in (
            (["--port", str(taken.getsockname()[1])], "Is another form running?"),
            (["--phones", "--address", "192.0.2.1"], "got 192.0.2.1 port"),
            (["--address", "127.0.0.2"], "An address must go with --phones; got it alone."),
        ):
            process = command(*shop, *words_)
            said, wrong = process.communicate(timeout=20)
            assert process.returncode != 0
            assert (said, message in " ".join(wrong.split())) == ("", True)


def test_the_instructor_sees_the_codes_again(shop):
    from .test_cli import call

    folder = shop[0]
    code, said = call("bench", "codes", "--class", folder.path)
    first = phone_code.printed(phone_code.phone_code(folder, "bench-01"))
    assert (code, said.splitlines()[0]) == (0, f"{first}  bench-01 · Bench 1")
    assert len(said.splitlines()) == 4
    told = json.loads(call("bench", "codes", "--json", "--class", folder.path)[1])
    assert told["bench-01"] == first
