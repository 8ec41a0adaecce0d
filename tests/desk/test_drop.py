"""Drop: what is dropped becomes a line or a question, and nothing is lost, doubled or let out."""

from __future__ import annotations

import errno
import http.client
import io
import json
import os
import re
import shutil
import threading
import time
import zipfile
from urllib.parse import urlencode

import pytest

from coursekit.classroom.intake import drops, take_in
from coursekit.classroom.intake.drop_uploads import Upload, parts_of
from coursekit.classroom.intake.drops import Drop
from coursekit.classroom.students import privacy
from coursekit.desk import intake_words
from coursekit.desk.pages import drop as page

from ..classroom import small
from ..classroom.form_client import words
from ..classroom.test_take_in import notebook
from .desk_client import Window, serving_desk, ticket

ID = "0123456789abcdef"
JPEG = b"\xff\xd8\xff\xe0" + bytes(40)


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    """A class in which the numbers of bench-02 are nobody else's, so that answers tell whose."""
    while True:
        path = tmp_path_factory.mktemp("handed-out")
        work = small.evening(path, 4)
        sides = {s.id: work.numbers(s.id)["side"] for s in work.folder.students}
        if list(sides.values()).count(sides["bench-02"]) == 1:
            return path


@pytest.fixture
def work(handed_out, tmp_path):
    shutil.copytree(handed_out, tmp_path / "e")
    return small.opened(tmp_path / "e")


@pytest.fixture
def desk(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


@pytest.fixture
def window(desk):
    return Window(desk)


def sent(window, name, data, number=1, id=ID, tickets=None, headers=None, **said):
    """Send one file as the page's script does; return status and text."""
    fields = {"drop": id, "number": number, "name": name, "size": len(data)} | said
    fields = (tickets or ticket(window.page("/drop"))) | fields
    head = {"Content-Type": "application/octet-stream"} | (headers or {})
    status, _, text = window.ask("POST", f"/drop/file?{urlencode(fields)}", data, **head)
    return status, text


def dropped(window, files, id=ID, **said):
    """Send files, have them taken in, and return the page that shows what came of it."""
    tickets = ticket(window.page("/drop"))
    for number, (name, data) in enumerate(files.items(), start=1):
        assert sent(window, name, data, number, id, tickets, **said) == (200, "There.")
    return taken_in(window, id)


def taken_in(window, id=ID):
    status, headers, _ = window.send("/drop", "/drop/take-in", drop=id)
    assert status == 303
    return window.wait(headers["Location"])


def zipped(members):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return data.getvalue()


def unstamped(work, **cells):
    """A notebook whose answers fit the numbers of bench-02, with nothing that says whose it is."""
    place = small.hand_in(work, "bench-02", cells)
    found = json.loads((place / "small.ipynb").read_text())
    del found["metadata"]["coursekit"]
    shutil.rmtree(place)
    return json.dumps(found).encode()


def test_each_file_becomes_a_line_that_says_whose_it_is_and_why(window, work):
    seen = words(dropped(window, {
        "miter.ipynb": notebook(work, "bench-03"),
        "Bench 1/IMG_1.jpg": JPEG,
        "all.zip": zipped({"inner.zip": zipped({"x.ipynb": notebook(work, "bench-04")}), "__MACOSX/a": b"1"}),
    }))  # fmt: skip
    assert "Bench 3 · Small : taken in. Known by its stamp; it has no answers." in seen
    assert "it has no answers. all.zip/inner.zip/x.ipynb" in seen
    assert "Bench 1 : kept for you to look at. A photo, known by its folder's name." in seen
    assert "macOS adds it to an archive." in seen
    assert "Unclear" not in seen
    assert (work.folder.submitted("bench-04", "small") / "small.ipynb").is_file()
    # what was kept elsewhere is not kept twice, and the first page has nothing to ask
    assert Drop(work.folder, ID).given() == []
    assert "unclear" not in words(window.page("/"))


def test_the_command_and_the_page_say_the_same_of_the_same_files(window, work, tmp_path):
    files = {"a.ipynb": notebook(work, "bench-01"), "b.txt": b"hello", "c.zip": b"PK\x03\x04"}
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    dropped(window, files)
    here = Drop(work.folder, ID).told().lines
    shutil.rmtree(work.folder.path / "taken-in")
    shutil.rmtree(work.folder.submitted("bench-01", "small"))
    there = take_in.take_in(work.folder, [tmp_path / name for name in files])
    assert [(h.source, h.what, h.student, h.slug, h.why) for h in here] == [
        (t.source, t.what, t.student, t.slug, t.why) for t in there
    ]


def test_what_nobody_signed_is_proposed_and_taken_in_by_one_button(window, work):
    text = dropped(window, {"homework.ipynb": unstamped(work)})
    seen = words(text)
    assert "2 of 2 answers fit the numbers of Bench 2." in seen
    assert "--student" not in text
    assert "1 file unclear" in words(window.page("/"))
    form = re.search(r'<form[^>]*action="/drop/settle">(.*?)</form>', text, re.S)[1]
    assert "This is Bench 2’s Small" in form
    said = {"drop": ID, "source": "homework.ipynb", "student": "bench-02", "lesson": "small"}
    for name, value in said.items():
        assert f'name="{name}" value="{value}"' in form
    status, headers, _ = window.send("/drop", "/drop/settle", **said)
    assert status == 303
    seen = words(window.wait(headers["Location"]))
    assert "Bench 2 · Small : taken in. As you said." in seen
    assert "unclear" not in words(window.page("/"))
    assert Drop(work.folder, ID).given() == []


def test_work_counts_as_come_when_it_was_dropped_however_late_it_is_settled(window, work):
    sent(window, "homework.ipynb", unstamped(work))
    names = Drop(work.folder, ID).place / drops.NAMES
    facts = json.loads(names.read_text())
    facts["when"] -= 3 * 24 * 3600
    names.write_text(json.dumps(facts) + "\n")
    taken_in(window)
    said = {"drop": ID, "source": "homework.ipynb", "student": "bench-02", "lesson": "small"}
    window.wait(window.send("/drop", "/drop/settle", **said)[1]["Location"])
    stamp = (work.folder.submitted("bench-02", "small") / "timestamp.txt").read_text()
    assert stamp == time.strftime("%Y-%m-%d %H:%M:%S UTC\n", time.gmtime(facts["when"]))


def test_two_names_that_disagree_are_two_buttons(window, work):
    text = dropped(window, {"bench-02 small.ipynb": notebook(work, "bench-03")})
    seen = words(text)
    assert "Whose it is cannot be told: its stamp says Bench 3, its file name says Bench 2." in seen
    assert "This is Bench 3’s Small" in seen
    assert "This is Bench 2’s Small" in seen


def test_of_two_that_differ_one_is_chosen_and_the_other_stays_until_it_is_set_aside(window, work):
    files = {"a.ipynb": notebook(work, note="one"), "b.ipynb": notebook(work, note="two")}
    text = dropped(window, files)  # without times, as a browser without scripts sends them
    assert "This one counts" in text
    assert "Say which one counts." in words(text)
    said = {"drop": ID, "source": "b.ipynb", "student": "bench-03", "lesson": "small"}
    window.wait(window.send("/drop", "/drop/settle", **said)[1]["Location"])
    place = work.folder.submitted("bench-03", "small")
    assert (place / "small.ipynb").read_bytes() == files["b.ipynb"]
    assert "1 file unclear" in words(window.page("/"))
    window.send("/drop", "/drop/aside", drop=ID, source="a.ipynb", state="aside")
    assert "unclear" not in words(window.page("/"))
    assert "Set aside: 1" in words(window.page("/drop"))
    assert len(Drop(work.folder, ID).given()) == 1  # it is kept all the same
    window.send("/drop", "/drop/aside", drop=ID, source="a.ipynb", state="open")
    assert "1 file unclear" in words(window.page("/"))
    window.send("/drop", "/drop/aside", drop=ID, source="a.ipynb", state="gone")  # only from aside
    assert "1 file unclear" in words(window.page("/"))
    window.send("/drop", "/drop/aside", drop=ID, source="a.ipynb", state="aside")
    window.send("/drop", "/drop/aside", drop=ID, source="a.ipynb", state="gone")
    assert Drop(work.folder, ID).given() == []


def test_a_photo_that_nobody_claims_is_seen_on_the_page_and_kept_without_a_lesson(window, work):
    text = dropped(window, {"IMG_2044.jpg": JPEG})
    look = re.search(r'<img class="glance" src="([^"]+)"', text)[1].replace("&amp;", "&")
    status, headers, _ = window.get(look)
    assert (status, headers["Content-Type"]) == (200, "image/jpeg")
    assert "sandbox" in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    said = {"drop": ID, "source": "IMG_2044.jpg", "student": "bench-02", "lesson": ""}
    window.wait(window.send("/drop", "/drop/settle", **said)[1]["Location"])
    assert [p.read_bytes() for p in (work.folder.path / "to-look-at/bench-02/_any").iterdir()] == [
        JPEG
    ]
    assert "1 photo to type in" in words(window.page("/"))
    assert window.get(look)[0] == 404  # it is settled, and not shown from here any more


def test_what_is_not_a_picture_is_saved_and_never_shown(window, work):
    evil = b"<script>alert(1)</script>"
    dropped(window, {"photo.jpg": evil, "x.html": evil})
    for name in ("photo.jpg", "x.html"):
        ask = urlencode({"drop": ID, "source": name})
        status, headers, _ = window.get(f"/drop/look?{ask}")
        assert (status, headers["Content-Type"]) == (200, "application/octet-stream")
        assert headers["Content-Disposition"].startswith("attachment")


def test_unclear_files_stay_after_a_restart_and_in_another_window(work):
    with serving_desk(work.folder.path, work.root) as desk:
        dropped(Window(desk), {"homework.ipynb": unstamped(work)})
        assert "homework.ipynb" in words(Window(desk).page("/drop"))
    with serving_desk(work.folder.path, work.root) as again:
        one = Window(again)
        assert "1 file unclear" in words(one.page("/"))
        assert "This is Bench 2’s Small" in one.page("/drop")


def test_what_was_sent_and_not_taken_in_waits(window, work):
    sent(window, "miter.ipynb", notebook(work))
    seen = words(Window(window.form).page("/drop"))
    assert "1 file came on" in seen
    assert "Take it in" in seen
    assert "1 file unclear" in words(window.page("/"))
    assert "Bench 3 · Small : taken in." in words(taken_in(window))


def test_what_comes_later_into_the_same_drop_waits_and_is_not_thrown_away(window, work):
    dropped(window, {"a.bin": b"a"})
    sent(window, "miter.ipynb", notebook(work), 2)
    window.send("/drop", "/drop/aside", drop=ID, source="a.bin", state="aside")
    assert [g.number for g in Drop(work.folder, ID).waiting()] == [2]
    assert "Bench 3 · Small : taken in." in words(taken_in(window))
    assert [g.number for g in Drop(work.folder, ID).given()] == [1]


def test_a_message_is_pasted(window, work):
    seen = words(dropped(window, {"": b"Hello, my answers will come tomorrow."}, pasted=1))
    assert "what was pasted" in seen


def test_the_page_works_without_scripts(window, work):
    text = window.page("/drop")
    action = re.search(r'action="(/drop/form\?[^"]+)"', text)[1].replace("&amp;", "&")
    body = (
        b'--xx\r\nContent-Disposition: form-data; name="files"; filename="a/../miter.ipynb"\r\n\r\n'
        + notebook(work)
        + b'\r\n--xx\r\nContent-Disposition: form-data; name="files"; filename=""\r\n\r\n'
        b'\r\n--xx\r\nContent-Disposition: form-data; name="pasted"\r\n\r\nHello there'
        b"\r\n--xx--\r\n"
    )
    kind = "multipart/form-data; boundary=xx"
    status, headers, _ = window.ask("POST", action, body, Content_Type=kind)
    assert status == 303
    seen = words(window.wait(headers["Location"]))
    assert "Bench 3 · Small : taken in." in seen
    assert "what was pasted" in seen
    # a form that is broken, and one that is empty
    assert window.ask("POST", action, b"--yy--", Content_Type=kind)[0] in (303, 400)
    assert window.ask("POST", action, b"", Content_Type="multipart/form-data")[0] in (303, 400)


# ── what somebody could try ────────────────────────────────────────────────────────────────────

NAMES = [
    "../../../roster.csv", "/etc/passwd", "..\\..\\secret", "C:\\x\\class.toml", "a/../../b.txt",
    "x" * 600 + ".txt", "\x1b[2Jname\n\r\x00.txt", "\u202etxt.exe", "con", "names.jsonl",
    "told.json", ".lock", "", ".", "a\x00b", "🧰" * 200, "-rf", "%2e%2e%2fx",
]  # fmt: skip


def test_a_name_is_only_a_name(window, work):
    before = small.tree(work.folder.path)
    tickets = ticket(window.page("/drop"))
    for number, name in enumerate(NAMES, start=1):
        assert sent(window, name, b"what %d" % number, number, tickets=tickets)[0] == 200, name
    own = f".made/drops/{ID}/"
    new = {n for n, data in small.tree(work.folder.path).items() if before.get(n) != data}
    assert {n for n in new if not n.startswith(own)} <= {".made/desk-job.json"}
    assert {n.removeprefix(own) for n in new if n.startswith(own)} == {
        *map(str, range(1, len(NAMES) + 1)), drops.NAMES, drops.LOCK
    }  # fmt: skip
    text = taken_in(window)
    new = {n for n, data in small.tree(work.folder.path).items() if before.get(n) != data}
    assert all(
        n.startswith((".made/drops/", ".made/lock", ".made/desk", ".made/backups/", ".undo/"))
        for n in new
    ), new
    assert not set(text) & set("\x1b\x00\u202e")
    assert len(Drop(work.folder, ID).given()) == len(NAMES)  # all are unclear, and all are there


@pytest.mark.parametrize("name", NAMES)
def test_no_part_of_a_name_leads_anywhere(name):
    parts = parts_of(name)
    assert parts
    for part in parts:
        assert part.strip(". ")
        assert part not in (".", "..")
        assert not set(part) & set("/\\\x00\n")
        assert len(part.encode()) <= 255


def test_a_drop_is_named_by_sixteen_signs_and_nothing_else(window, work):
    for id in ("../../../x", "0123456789abcde", "0123456789ABCDEF", "", ID + "/..", f"{ID}\n"):
        assert sent(window, "a.txt", b"a", id=id)[0] == 400, id
        assert window.send("/drop", "/drop/take-in", drop=id)[0] == 400
        assert window.send("/drop", "/drop/aside", drop=id, source="a", state="aside")[0] == 400
        assert window.get(f"/drop/look?{urlencode({'drop': id, 'source': 'a.txt'})}")[0] == 400
    assert not drops.place(work.folder).exists()


def test_a_file_that_did_not_come_whole_is_none(window, work):
    assert sent(window, "a.txt", b"hello", size=6)[0] == 400
    assert sent(window, "a.txt", b"hello", size="x")[0] == 400
    assert Drop(work.folder, ID).given() == []
    assert [p.name for p in Drop(work.folder, ID).place.iterdir()] == []


def test_a_body_that_says_too_much_or_ends_too_soon(desk, work, monkeypatch):
    window = Window(desk)
    tickets = ticket(window.page("/drop"))
    huge = {"Content-Length": "500000000"}
    with pytest.raises((ConnectionError, http.client.HTTPException)):
        status, _ = sent(window, "a", b"x", tickets=tickets, headers=huge)
        raise ConnectionError if status in (400, 413) else AssertionError(status)
    window.connection.close()
    monkeypatch.setattr("coursekit.classroom.intake.drop_uploads.LARGEST_FILE", 10)
    assert sent(Window(desk), "a.txt", b"x" * 11)[0] == 413
    # the browser goes away in the middle
    fields = urlencode(tickets | {"drop": ID, "number": 2, "name": "b", "size": 100})
    one = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=300)
    one.putrequest("POST", f"/drop/file?{fields}", skip_host=True)
    for name, value in {
        "Host": window.host, "Origin": f"http://{window.host}", "Content-Length": "100",
        "Content-Type": "application/octet-stream",
        "Cookie": "; ".join(f"{k}={v}" for k, v in window.cookies.items()),
    }.items():  # fmt: skip
        one.putheader(name, value)
    one.endheaders(b"half")
    place = Drop(work.folder, ID).place
    late = time.monotonic() + 60
    while not list(place.glob(".2.*.part")):
        assert time.monotonic() < late
        time.sleep(0.02)
    one.close()
    while list(place.glob("*part")) or list(place.glob(".*.part")):
        assert time.monotonic() < late, list(place.iterdir())
        time.sleep(0.02)
    assert Drop(work.folder, ID).given() == []


def test_other_posts_are_as_small_as_they_were(window):
    with pytest.raises((ConnectionError, http.client.HTTPException)):
        status, _, _ = window.ask("POST", "/drop/take-in", b"drop=" + b"a" * 70_000)
        raise ConnectionError if status == 400 else AssertionError(status)


def test_halves_that_a_killed_desk_left_are_swept(window, work):
    place = Drop(work.folder, ID).place
    place.mkdir(parents=True)
    half, young = place / ".1.99.part", place / ".2.99.part"
    for path in (half, young):
        path.write_bytes(b"half")
    os.utime(half, (1, 1))
    window.page("/drop")
    assert half.exists()  # looking changes nothing
    dropped(window, {"a.bin": b"a"}, id="f" * 16)
    assert (half.exists(), young.exists()) == (False, True)


def test_a_full_disk_is_said_and_leaves_no_half(window, work, monkeypatch):
    def full(upload, data):
        upload.drop.place.mkdir(parents=True, exist_ok=True)
        upload._file = upload._part.open("wb")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Upload, "write", full)
    status, text = sent(window, "a.bin", b"a")
    assert (status, text) == (507, "The file could not be kept: No space left on device.")
    assert list(Drop(work.folder, ID).place.iterdir()) == []


def test_only_the_page_itself_may_send(desk, work):
    window, other = Window(desk), Window(desk)
    tickets = ticket(window.page("/drop"))
    bad = [
        sent(other, "a", b"a", tickets=tickets),
        sent(window, "a", b"a", tickets={"post": tickets["post"]}),
        sent(window, "a", b"a", tickets={"_xsrf": tickets["_xsrf"]}),
        sent(window, "a", b"a", tickets=tickets, headers={"Origin": "http://elsewhere.example"}),
        sent(window, "a", b"a", tickets=tickets, headers={"Origin": None}),
        sent(window, "a", b"a", tickets=tickets, headers={"Sec-Fetch-Site": "cross-site"}),
    ]
    assert [status for status, _ in bad] == [403] * 6
    assert (
        sent(window, "a", b"a", tickets=tickets, headers={"Content-Type": "text/plain"})[0] == 415
    )
    assert sent(window, "a", b"a", tickets=tickets, headers={"Host": "elsewhere.example"})[0] == 421
    form = {"Content-Type": "application/x-www-form-urlencoded"}
    assert sent(window, "a", b"a=b", tickets=tickets, headers=form)[0] == 415
    kind = "multipart/form-data; boundary=x"
    assert window.ask("POST", "/drop/form", b"--x--", Content_Type=kind)[0] == 403
    assert not drops.place(work.folder).exists()


def test_two_windows_drop_at_once_and_nothing_is_mixed_up(desk, work):
    windows = [Window(desk), Window(desk)]
    pages = {}

    def go(at):
        files = {f"{s}.ipynb": notebook(work, s, note=str(at)) for s in ("bench-01", "bench-02")}
        files |= {f"what-{k}.bin": b"%d-%d" % (at, k) for k in range(20)}
        pages[at] = dropped(windows[at], files, id=f"{at}" * 16)

    threads = [threading.Thread(target=go, args=(at,)) for at in (0, 1)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert set(pages) == {0, 1}
    assert "40 files unclear" in words(windows[0].page("/"))
    for at in (0, 1):
        kept = {g.parts: g.path.read_bytes() for g in Drop(work.folder, f"{at}" * 16).given()}
        assert kept == {(f"what-{k}.bin",): b"%d-%d" % (at, k) for k in range(20)}
    for student in ("bench-01", "bench-02"):
        assert len(list((work.folder.path / "taken-in" / student / "small").iterdir())) == 2


def test_files_of_one_name_are_told_apart(window, work):
    tickets = ticket(window.page("/drop"))
    for number, data in enumerate((b"one", b"two", b"three"), start=1):
        assert sent(window, "a.tar.gz", data, number, tickets=tickets)[0] == 200
    assert sent(window, "a.tar.gz", b"three", 3, tickets=tickets)[0] == 200  # the answer got lost
    given = Drop(work.folder, ID).given()
    assert [g.parts[-1] for g in given] == ["a.tar.gz", "a (2).tar.gz", "a (3).tar.gz"]
    assert [g.path.read_bytes() for g in given] == [b"one", b"two", b"three"]


@pytest.mark.slow
def test_thousands_of_files_in_one_drop(work, monkeypatch):
    monkeypatch.setattr("coursekit.classroom.intake.drop_uploads.MOST_FILES", 1500)
    drop = Drop(work.folder, ID)
    for number in range(1501):
        upload = Upload(drop, number, ("all", f"{number}.bin"))
        upload.write(b"x%d" % number)
        if number < 1500:
            upload.done()
        else:
            with pytest.raises(drops.DropError, match="at most 1,500 files"):
                upload.done()
            upload.give_up()
    assert len(drop.given()) == 1500
    with serving_desk(work.folder.path, work.root) as desk:
        window = Window(desk)
        assert "1500 files unclear" in words(window.page("/"))
        text = taken_in(window)
        assert "1500 files unclear" in words(window.page("/"))
        assert text.count('class="card unclear"') <= page.MOST_UNCLEAR


def test_a_stop_in_the_middle_loses_nothing_and_doubles_nothing(work, tmp_path):
    files = {f"{s}-{k}.ipynb": notebook(work, s, note=f"{k}") for s in ("bench-01", "bench-02", "bench-03") for k in range(12)}  # fmt: skip
    files |= {f"bench-04 {k}.jpg": JPEG + b"%d" % k for k in range(12)}
    drop = Drop(work.folder, ID)
    for number, (name, data) in enumerate(files.items(), start=1):
        upload = Upload(drop, number, (name,), changed=1_760_000_000 + number)
        upload.write(data)
        upload.done()
    versions = work.folder.path / "taken-in"
    with serving_desk(work.folder.path, work.root) as desk:
        window = Window(desk)
        broken = 0
        for least in (1, 9, 20):
            status, headers, _ = window.send("/drop", "/drop/take-in", drop=ID)
            job = re.search(r"job=([\w|:=.-]+)", headers["Location"])[1]
            while desk.jobs.jobs[job].state in ("waiting", "at work"):
                if len(list(versions.glob("*/*/*"))) >= least:
                    status, _, _ = window.send("/drop", "/jobs/stop", job=job)
                    assert status == 303
                    break
            broken += desk.jobs.jobs[job].state == "stopped"
        assert broken  # else this shows nothing
        assert ("came on" in words(window.page("/drop"))) == bool(drop.waiting())
        text = taken_in(window)
    kept = [p.read_bytes() for p in versions.glob("*/*/*/small.ipynb")]
    assert sorted(kept) == sorted(d for n, d in files.items() if n.endswith("ipynb"))
    looked = [p.read_bytes() for p in (work.folder.path / "to-look-at").rglob("*.jpg")]
    assert sorted(looked) == sorted(d for n, d in files.items() if n.endswith("jpg"))
    for s in ("bench-01", "bench-02", "bench-03"):
        there = (work.folder.submitted(s, "small") / "small.ipynb").read_bytes()
        assert there == files[f"{s}-11.ipynb"]
    assert "unclear" not in words(text)


def test_an_erased_student_is_gone_from_what_was_dropped_too(window, work):
    dropped(window, {
        "bench-02 small.ipynb": notebook(work, "bench-02"), "bench-02 wild.bin": b"x",
        "homework.ipynb": unstamped(work), "other.bin": b"y", "miter.ipynb": notebook(work, "bench-03"),
    })  # fmt: skip
    sent(window, "bench-02 late.bin", b"z", 9, "f" * 16)
    privacy.erase(work.folder, "bench-02")
    here = drops.place(work.folder)
    assert not [p for p in here.rglob("*") if p.is_file() and b"bench-02" in p.read_bytes()]
    assert [g.parts for g in Drop(work.folder, ID).given()] == [("other.bin",)]
    left = [(one.source, one.state) for one in Drop(work.folder, ID).told().lines]
    assert left == [("other.bin", "open"), ("miter.ipynb", "done")]
    assert not Drop(work.folder, "f" * 16).given()


# ── the words ──────────────────────────────────────────────────────────────────────────────────


def test_no_reason_speaks_of_the_command(work, tmp_path):
    inbox = tmp_path / "inbox"
    mess = {
        "bench-02 small.ipynb": notebook(work, "bench-03"),
        "x.ipynb": notebook(work, stamped=False),
        "bench-01.ipynb": notebook(work, "bench-01", stamped=False, note="weak"),
        "IMG.jpg": JPEG, "a.exe": b"MZ", "a.url": b"x", "a.zip": b"PK\x03\x04", "b.rar": b"Rar!",
        "c.msg": b"x", "empty.ipynb": b"", "cut.ipynb": notebook(work)[:500],
        "bench-04 a.ipynb": notebook(work, "bench-04", note="1"),
        "deep.zip": zipped({"a.zip": zipped({"b.zip": zipped({"c.zip": b"1"})})}),
    }  # fmt: skip
    for name, data in mess.items():
        inbox.mkdir(exist_ok=True)
        (inbox / name).write_bytes(data)
    take_in.take_in(work.folder, [inbox / "bench-04 a.ipynb"])
    take_in.take_in(work.folder, [], pasted=b"x")
    (inbox / "strong.ipynb").write_bytes(notebook(work, "bench-01", note="strong"))
    take_in.take_in(work.folder, [inbox / "strong.ipynb"])
    told = take_in.take_in(work.folder, [inbox])
    assert any("--" in t.why for t in told)  # the command does speak of its options
    assert any("--use" in t.why or "--student bench-01" in t.why for t in told)
    for one in told:
        said = intake_words.people(
            one.why, {"small": "Small"}, {f"bench-0{k}": f"Bench {k}" for k in range(1, 5)}
        )
        assert "--" not in said, one
        assert "coursekit" not in said
        assert "take in" not in said.lower(), said
        assert "UTC" not in said
        assert "bench-0" not in re.sub(r"\S+\.ipynb|bench-04 a", "", said), said
        assert said[0].isupper() or not said[0].isalpha()
        assert said[-1] in ".!?"
