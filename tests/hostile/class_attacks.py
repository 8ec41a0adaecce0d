"""Attacks on a class as a whole, and mishaps that come to the same: each with what must come of it.

`python -m tests.hostile.class_attacks` tries them all and prints, for each, expected and got;
`python -m tests.hostile.class_attacks secret disk` those whose point or name has one of the words.
An attack works on a class of four with one exercise handed out.
"""

from __future__ import annotations

import json
import logging
import os
import shutil
import signal
import socket
import sqlite3
import stat
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from contextlib import ExitStack, closing, suppress
from pathlib import Path

import nbformat
from click.testing import CliRunner

from coursekit.classroom.bank.notebooks import Probe, grade_id
from coursekit.classroom.form import doorstep, quiet
from coursekit.classroom.register import class_folder, quick_check
from coursekit.classroom.register.class_folder import load, open_class
from coursekit.classroom.register.roster import Student
from coursekit.classroom.register.secret import make_secret
from coursekit.classroom.running.limits import Limits
from coursekit.classroom.running.runner import NotIsolatedError, Warm
from coursekit.cli import main
from tests.classroom import form_client, small

from .intake_attacks import SLUG, Attack, Evening, table

ATTACKS: list[Attack] = []
LACKS = "not possible here"  # how an outcome begins where this machine can't try an attack


def attack(point: str, expected: str) -> Callable[[Callable[[Evening], str]], None]:
    def note(act: Callable[[Evening], str]) -> None:
        ATTACKS.append(Attack(point, act.__name__.replace("_", " "), act, expected))

    return note


# --- the secret ---------------------------------------------------------------------------------

READS = [
    ["class", "show"],
    ["class", "due"],
    ["marks", SLUG],
    ["items", SLUG],
    ["remind"],
    ["class", "check"],
]
WRITES = [
    ["class", "due", SLUG, "2999-01-01"], ["class", "late", "10"],
    ["class", "question", SLUG, "area", "--tolerance", "1.2"], ["read", SLUG, "--give", "bench-01", "why", "1"], ["hand-out", SLUG, "--no-pages"],
    ["take-in", "@INBOX@"], ["worksheets", SLUG], ["mark", SLUG], ["feedback", SLUG], ["report"],
    ["student", "rename", "bench-04", "bench-09"], ["student", "renumber", "bench-02", SLUG],
    ["student", "erase", "bench-03", "--yes"], ["bench", "take-in", "@INBOX@/r.csv"],
    ["answers", "take-in", "@INBOX@/a.csv"], ["answers", "hand-in", SLUG], ["class", "pack", "@INBOX@/p.zip"],
    ["student", "export", "bench-01", "@INBOX@/e.zip"],
]  # fmt: skip


def words_of(e: Evening, words: list[str]) -> list[str]:
    return [w.replace("@INBOX@", str(e.inbox)) for w in words]


def _secret_is(spoil: Callable[[Path], object]) -> Callable[[Evening], str]:
    """Spoil the secret, call every command, and say how many of them refuse it in a sentence."""

    def act(e: Evening) -> str:
        small.hand_in(e.work, "bench-01")
        e.call("mark", SLUG)
        before = small.tree(e.folder.path)
        spoil(e.folder.path / "secret")
        spoilt = {"secret": small.tree(e.folder.path).get("secret")}
        calls = [e.call(*words_of(e, words)) for words in READS + WRITES]
        (e.inbox / "roster.csv").write_text("id,name\nbench-01,x\n")
        calls.append(e.open_again())
        told = sum(code == 1 and "the class secret must be" in said for code, said in calls)
        after = small.tree(e.folder.path)
        changed = [
            n
            for n in sorted(before | after)
            if before.get(n) != (after | spoilt).get(n) and n != "secret"
        ]
        return f"{told} of {len(calls)} refuse it, {len(changed)} files changed"

    return act


class Night(Evening):
    """An evening that can open its class again."""

    def open_again(self) -> tuple[int, str]:
        words = ["class", "open", str(self.folder.path), "--roster", str(self.inbox / "roster.csv")]
        done = CliRunner().invoke(main, words)
        if done.exception and not isinstance(done.exception, SystemExit):
            return -1, f"ended by {type(done.exception).__name__}"
        return done.exit_code, done.output


def _linked(path: Path) -> None:
    path.rename(path.with_name("elsewhere"))
    path.symlink_to("elsewhere")


def _foldered(path: Path) -> None:
    path.unlink()
    path.mkdir()


ALL_REFUSE = (
    f"{len(READS) + len(WRITES) + 1} of {len(READS) + len(WRITES) + 1} refuse it, 0 files changed"
)
SPOILT: dict[str, Callable[[Path], object]] = {
    "empty": lambda p: p.write_text(""),
    "blank lines": lambda p: p.write_text("\n\n"),
    "short": lambda p: p.write_text(p.read_text()[:20] + "\n"),
    "an odd number of digits": lambda p: p.write_text(p.read_text()[:63] + "\n"),
    "long": lambda p: p.write_text(p.read_text().strip() * 2 + "\n"),
    "no digits": lambda p: p.write_text("the class secret\n"),
    "zeros that a disk left": lambda p: p.write_bytes(b"\0" * 65),
    "digits that are all zero": lambda p: p.write_text("0" * 64 + "\n"),
    "not there": lambda p: p.unlink(),
    "a folder": _foldered,
}
ATTACKS += [
    Attack("secret", f"it is {name}", _secret_is(spoil), ALL_REFUSE)
    for name, spoil in SPOILT.items()
]


@attack("secret", "refused True, the other file is as it was True")
def it_is_a_link_to_another_file(e):
    _linked(e.folder.path / "secret")
    (e.folder.path / "elsewhere").chmod(0o644)
    code, said = e.call("mark", SLUG)
    kept = stat.S_IMODE((e.folder.path / "elsewhere").stat().st_mode) == 0o644
    return f"refused {code == 1 and 'the class secret must be' in said}, the other file is as it was {kept}"


@attack("secret", "mark, take-in, hand-out refuse it")
def it_is_another_class_s(e):
    path = e.folder.path / "secret"
    path.unlink()
    make_secret(path, bytes(range(100, 132)))
    refuse = []
    for words in (["mark", SLUG], ["take-in", str(e.inbox)], ["hand-out", SLUG, "--no-pages"]):
        code, said = e.call(*words)
        if code == 1 and "it is another" in said:
            refuse.append(words[0])
    return f"{', '.join(refuse)} refuse it"


@attack("secret", "refused, then opened with a whole one")
def it_is_empty_in_a_class_that_nothing_was_handed_out_to(e):
    """The cure that the message names must work."""
    place = e.inbox / "new"
    e.put("roster.csv", b"id,name\nbench-01,x\n")
    open_class(place, [Student("bench-01", "x")])
    (place / "secret").write_text("")
    words = ["class", "open", str(place), "--roster", str(e.inbox / "roster.csv")]
    first = CliRunner().invoke(main, words).exit_code
    (place / "secret").unlink()
    then = CliRunner().invoke(main, words).exit_code
    return f"{'refused' if first == 1 else first}, then {'opened' if then == 0 else then} with {'a whole one' if len(load(place).secret) == 32 else 'none'}"


OPEN = """
import os, signal, sys
from pathlib import Path
from coursekit.classroom.register import class_folder
from coursekit.classroom.register.roster import Student
at, left = sys.argv[2], int(sys.argv[3])
real = getattr(os, at)
def killed(*args, **more):
    global left
    left -= 1
    if left < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    return real(*args, **more)
setattr(os, at, killed)
class_folder.open_class(Path(sys.argv[1]), [Student("bench-01", "x")])
"""


def _opened_in_pieces(e: Evening, at: str, times: int) -> str:
    """Kill `class open` at the first, second … call of `os.<at>`, and see what secret stays each time."""
    found = set()
    for turn in range(times):
        place = e.inbox / f"new-{turn}"
        subprocess.run([sys.executable, "-c", OPEN, str(place), at, str(turn)], check=False)
        secret = place / "secret"
        found.add("whole" if secret.is_file() and len(bytes.fromhex(secret.read_text())) == 32 else
                  "none" if not secret.exists() else f"{secret.stat().st_size} bytes")  # fmt: skip
        open_class(place, [Student("bench-01", "x")])
        assert len(load(place).secret) == 32
    return " or ".join(sorted(found))


@attack("secret", "none")
def class_open_is_killed_while_it_writes(e):
    return _opened_in_pieces(e, "fsync", 1)


@attack("secret", "none or whole")
def class_open_is_killed_around_the_naming(e):
    return _opened_in_pieces(e, "link", 2)


@attack("secret", "none is left, and then it opens")
def class_open_on_a_full_disk(e):
    place = e.inbox / "new"
    program = (
        "import resource, sys; from pathlib import Path; from coursekit.classroom.register import class_folder as c;"
        "from coursekit.classroom.register.roster import Student; resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0));"
        "c.open_class(Path(sys.argv[1]), [Student('bench-01', 'x')])"
    )
    subprocess.run([sys.executable, "-c", program, str(place)], check=False, capture_output=True)
    left = [p.name for p in place.iterdir() if "secret" in p.name]
    open_class(place, [Student("bench-01", "x")])
    return f"{left if left else 'none'} is left, and then it opens"


@attack("secret", "FileExistsError, as it was")
def a_second_class_open_at_the_same_moment(e):
    path = e.folder.path / "secret"
    before = path.read_bytes()
    try:
        make_secret(path, bytes(range(32)))
    except FileExistsError as error:
        return f"{type(error).__name__}, {'as it was' if path.read_bytes() == before else 'lost'}"
    return "written over"


# --- rights -------------------------------------------------------------------------------------


@attack("rights", "folder 0o700, secret 0o600")
def the_class_folder_lay_open_to_all(e):
    e.folder.path.chmod(0o777)
    (e.folder.path / "secret").chmod(0o644)
    e.call("class", "show")
    modes = [oct(stat.S_IMODE(p.stat().st_mode)) for p in (e.folder.path, e.folder.path / "secret")]
    return f"folder {modes[0]}, secret {modes[1]}"


@attack("rights", "0o700")
def a_new_class_folder(e):
    """Looked at while its first file is written, when it must be shut already."""
    seen = []
    before, real = os.umask(0), class_folder.write_roster

    def write_roster(path, students):
        seen.append(oct(stat.S_IMODE(path.parent.stat().st_mode)))
        real(path, students)

    class_folder.write_roster = write_roster
    try:
        open_class(e.inbox / "new", [Student("bench-01", "x")])
    finally:
        os.umask(before)
        class_folder.write_roster = real
    return ", ".join(seen)


# --- the disk -----------------------------------------------------------------------------------

CALLS = """
import json, os, resource, shutil, sys
from pathlib import Path
from click.testing import CliRunner
from coursekit.cli import main
from coursekit.classroom.running.cage import kernel
how, place, calls = sys.argv[1], Path(sys.argv[2]), json.loads(sys.argv[3])
if how == "limit":
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
else:
    uid, gid = os.getuid(), os.getgid()
    kernel.unshare(kernel.NEW_MOUNTS | (kernel.NEW_USER if uid else 0))
    if uid:
        Path("/proc/self/setgroups").write_text("deny")
        Path("/proc/self/uid_map").write_text(f"{uid} {uid} 1")
        Path("/proc/self/gid_map").write_text(f"{gid} {gid} 1")
    kernel.mount("none", "/", "", kernel.MS_REC | kernel.MS_PRIVATE)
    if how == "full":
        kept = place.with_name("kept")
        shutil.copytree(place, kept)
        kernel.mount("tmpfs", str(place), "tmpfs", 0, "size=40m")
        shutil.copytree(kept, place, dirs_exist_ok=True)
        free = shutil.disk_usage(place).free - int(sys.argv[4])
        (place / "filler").write_bytes(b"x" * free)
    else:
        kernel.mount(str(place), str(place), "", kernel.MS_BIND)
        kernel.make_read_only(str(place))
told = []
for words in calls:
    done = CliRunner().invoke(main, words)
    bad = done.exception is not None and not isinstance(done.exception, SystemExit)
    told.append([words[:2], done.exit_code, done.output[-300:], repr(done.exception) if bad else ""])
print(json.dumps(told))
"""


def _on_disk(e: Evening, how: str, room: int = 0) -> list[list]:
    """What the commands say on a disk that is full, may only be read, or takes no byte more."""
    small.hand_in(e.work, "bench-01")
    e.call("mark", SLUG)
    small.hand_in(e.work, "bench-02")
    e.put("x.ipynb", e.notebook("bench-03"))
    e.put("r.csv", b"student,lesson,line,reading,value\n")
    e.put("a.csv", b"student,lesson,question,answer\nbench-04,small,area,3\n")
    calls = [[*words_of(e, w), "--class", str(e.folder.path)] for w in READS + WRITES]
    done = subprocess.run(
        [sys.executable, "-c", CALLS, how, str(e.folder.path), json.dumps(calls), str(room)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if "unshare" in done.stderr or "PermissionError" in done.stderr:
        return []
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout.splitlines()[-1])


def _counted(told: list[list]) -> str:
    if not told:
        return LACKS
    for words, code, said, trouble in told:
        if trouble:
            return f"{words} {code}: {trouble} {said}"
    reads = sum(code == 0 for _, code, _, _ in told[: len(READS) - 1])
    return f"{len(told)} calls, 0 tracebacks, {reads} of {len(READS) - 1} that read go on"


SENTENCES = f"{len(READS) + len(WRITES)} calls, 0 tracebacks, {len(READS) - 1} of {len(READS) - 1} that read go on"


@attack("disk", SENTENCES)
def it_takes_no_byte_more(e):
    return _counted(_on_disk(e, "limit"))


@attack("disk", SENTENCES)
def it_is_full(e):
    return _counted(_on_disk(e, "full"))


@attack("disk", SENTENCES)
def it_has_a_megabyte_and_a_half(e):
    return _counted(_on_disk(e, "full", 1_500_000))


@attack("disk", SENTENCES)
def it_may_only_be_read(e):
    return _counted(_on_disk(e, "read-only"))


@attack("disk", "the class is as it was before")
def the_class_on_a_full_disk_afterwards(e):
    small.hand_in(e.work, "bench-01")
    e.call("mark", SLUG)
    before = small.tree(e.folder.path)
    _on_disk(e, "limit")
    after = small.tree(e.folder.path)
    lost = [
        n
        for n, data in before.items()
        # erasing a student first removes what is kept to undo steps, and then finds no room
        if after.get(n) != data and not n.startswith((".made", "submitted", ".undo"))
    ]
    halves = [n for n in after if n.endswith(".part")]
    return "the class is as it was before" if not lost + halves else f"{lost} {halves}"


# --- the clock ----------------------------------------------------------------------------------


def _at(e: Evening, days: float) -> str:
    """What a command says whose clock is so many days off."""
    real = quick_check.time.time
    quick_check.time.time = lambda: real() + days * 86400
    try:
        code, said = e.call("class", "late", "5")
    finally:
        quick_check.time.time = real
    return f"exit {code}, says so {'the clock must not be behind' in said}"


@attack("clock", "exit 0, says so True")
def it_is_two_days_behind(e):
    return _at(e, -2)


@attack("clock", "exit 0, says so True")
def it_is_back_in_1970(e):
    return _at(e, -time.time() / 86400)


LOOKING = [w for w in WRITES if w[:2] != ["student", "export"]]  # which only reads the class


@attack(
    "clock", f"{len(LOOKING)} of {len(LOOKING)} that write say so, 0 of {len(READS) - 1} that read"
)
def every_command_that_writes_looks_first(e):
    os.utime(e.folder.path / "roster.csv", (time.time() + 9e6,) * 2)
    words = "the clock must not be behind"
    reading = sum(words in e.call(*w)[1] for w in READS if w != ["class", "check"])
    writing = 0
    for call in LOOKING:
        os.utime(e.folder.path / "roster.csv", (time.time() + 9e6,) * 2)
        writing += words in e.call(*words_of(e, call))[1]
    return f"{writing} of {len(LOOKING)} that write say so, {reading} of {len(READS) - 1} that read"


@attack("clock", "exit 0, says so True")
def it_was_ahead_and_is_right_again(e):
    os.utime(e.folder.path / "roster.csv", (time.time() + 9e6,) * 2)
    return _at(e, 0)


@attack("clock", "exit 0, says so False")
def it_is_right(e):
    return _at(e, 0)


# --- what is whole ------------------------------------------------------------------------------


def checked(e: Evening) -> dict[str, str]:
    """What `class check` finds: about → its words."""
    code, said = e.call("class", "check", "--json")
    found = json.loads(said[said.index("{") :])
    assert (code == 0) == found["well"] == (not found["findings"])
    return {f["about"]: f["said"] for f in found["findings"]}


def _marked(e: Evening, *students: str) -> None:
    for student in students or ("bench-01", "bench-02"):
        small.hand_in(e.work, student)
    e.call("mark", SLUG)
    e.call("feedback", SLUG)


def _gradebook(spoil: Callable[[Path], object]) -> Callable[[Evening], str]:
    def act(e: Evening) -> str:
        _marked(e)
        e.call("mark", SLUG)  # a backup is there now
        spoil(e.folder.gradebook_file)
        found = checked(e)
        named = "backups" in found.get("gradebook", "") or "Mark" in found.get("gradebook", "")
        return f"{', '.join(found)}, a cure {named}"

    return act


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def _scribbled(path: Path) -> None:
    raw = bytearray(path.read_bytes())
    raw[4096 * 3 : 4096 * 5] = os.urandom(4096 * 2)
    path.write_bytes(raw)


def _emptied(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as book:
        book.execute("CREATE TABLE other (x)")


@attack("whole", "well")
def nothing_is_wrong(e):
    _marked(e)
    return ", ".join(checked(e)) or "well"


for _name, _spoil in {
    "cut in half": _cut, "scribbled over": _scribbled, "another database": _emptied,
    "not there": lambda p: p.unlink(), "no database": lambda p: p.write_text("x" * 5000),
}.items():  # fmt: skip
    ATTACKS.append(
        Attack("whole", f"the gradebook is {_name}", _gradebook(_spoil), "gradebook, a cure True")
    )


@attack("whole", "gradebook; then well, the marks are the same True")
def the_gradebook_is_put_back_as_it_says(e):
    _marked(e)
    e.call("mark", SLUG)
    before = e.call("marks", SLUG, "--json")
    _cut(e.folder.gradebook_file)
    said = checked(e)
    words = said["gradebook"].split()
    copy = next(Path(w) for w in words if "backups" in w)
    shutil.copy(copy, e.folder.gradebook_file)
    e.call("mark", SLUG)
    return f"{', '.join(said)}; then {', '.join(checked(e)) or 'well'}, the marks are the same {e.call('marks', SLUG, '--json') == before}"


@attack("whole", "records, stale; then well")
def a_record_of_marks_is_cut(e):
    _marked(e)
    record = e.folder.autograded("bench-01", SLUG) / "marks.json"
    _cut(record)
    os.utime(e.folder.submitted("bench-01", SLUG) / f"{SLUG}.ipynb", (1e9, 1e9))
    first = checked(e)
    first.setdefault("stale", "the notebook is older than the record, so only the record tells")
    e.call("mark", SLUG)
    e.call("feedback", SLUG)
    return f"{', '.join(sorted(first))}; then {', '.join(checked(e)) or 'well'}"


@attack("whole", "stale; then well")
def work_came_that_is_not_marked(e):
    _marked(e)
    small.hand_in(e.work, "bench-03")
    first = checked(e)
    e.call("mark", SLUG)
    return f"{', '.join(first)}; then {', '.join(checked(e)) or 'well'}"


@attack("whole", "stale: coursekit hand-out small")
def the_exercise_has_another_question_since(e):
    _marked(e)
    path = e.work.root / "exercises" / "small.md"
    path.write_text(path.read_text().replace("## shape\nmarks: 1", "## shape\nmarks: 2"))
    found = checked(e)
    return f"{', '.join(found)}: {'coursekit hand-out small' if 'coursekit hand-out small' in found['stale'] else found}"


# --- capitals -----------------------------------------------------------------------------------


@attack("capitals", "capitals: a Mac, Windows or a stick does not tell them apart")
def ids_that_another_disk_mixes_up(e):
    (e.folder.path / "roster.csv").write_text("id,name\nbench-01,a\nBENCH-01,b\n")
    found = checked(e)
    words = "a Mac, Windows or a stick does not tell them apart"
    return f"{', '.join(found)}: {words if words in found.get('capitals', '') else found}"


@attack("capitals", "this disk does not tell them apart")
def the_disk_itself_ignores_capitals(e):
    """Simulated: a link of the other spelling is what such a disk answers with."""
    (e.folder.path / "roster.csv").write_text("id,name\nbench-01,a\nBENCH-01,b\n")
    (e.folder.path / "CLASS.TOML").symlink_to("class.toml")
    words = "this disk does not tell them apart"
    said = checked(e)["capitals"]
    return words if words in said else said


# --- the form -----------------------------------------------------------------------------------


def _open_sockets() -> int:
    """How many sockets this process has open: the crowd's ends and the form's; 0 where nobody can say."""
    count = 0
    for handle in Path("/proc/self/fd").glob("*"):
        with suppress(OSError):
            count += str(handle.readlink()).startswith("socket:")
    return count


def _crowd(e: Evening, count: int, addresses: int) -> str:
    """Hold `count` connections half open; ask for a page from an address that holds none of them."""
    records: list[logging.LogRecord] = []
    log = logging.getLogger("coursekit.form")
    ear = logging.Handler()
    ear.emit = records.append  # type: ignore[method-assign]
    before = log.propagate, list(log.filters)
    quiet.be_quiet()
    log.addHandler(ear)
    log.propagate = False
    try:
        with form_client.serving(e.folder, e.work.root) as form, ExitStack() as held:
            for i in range(count):
                with suppress(OSError):
                    link = socket.create_connection(
                        (form_client_host, form.port), 20, (f"127.0.1.{1 + i % addresses}", 0)
                    )
                    held.enter_context(link)
                    link.sendall(b"GET / HTTP/1.1\r\nHo")
            sockets = _open_sockets()
            answer = ""
            for _ in range(600):
                with (
                    suppress(OSError),
                    socket.create_connection((form_client_host, form.port), 60) as own,
                ):
                    own.sendall(
                        f"GET /form.css HTTP/1.1\r\nHost: 127.0.0.1:{form.port}\r\n\r\n".encode()
                    )
                    if (answer := own.recv(4096).decode("latin-1")[:12]) == "HTTP/1.1 200":
                        break
                time.sleep(0.05)
    finally:
        log.removeHandler(ear)
        log.propagate = before[0]
        log.filters[:] = before[1]
    room = doorstep.MOST_OF_ONE * addresses if addresses == 1 else doorstep.MOST_IN_ALL
    bounded = "bounded" if sockets <= count + room + 20 else f"{sockets} sockets"
    return f"answered {answer}, {bounded}, {len(records)} line"


form_client_host = "127.0.0.1"


@attack("crowd", "answered HTTP/1.1 200, bounded, 1 line")
def a_thousand_half_open_from_one_address(e):
    return _crowd(e, 1000, 1)


@attack("crowd", "answered HTTP/1.1 200, bounded, 1 line")
def a_thousand_half_open_from_a_hundred(e):
    return _crowd(e, 1000, 100)


@attack("crowd", "24 of 24 answered, then 24 again")
def connections_that_ended_make_room(e):
    with form_client.serving(e.folder, e.work.root) as form:

        def fill() -> int:
            with ExitStack() as held:
                links = []
                for _ in range(doorstep.MOST_OF_ONE):
                    links.append(
                        held.enter_context(
                            socket.create_connection((form_client_host, form.port), 20)
                        )
                    )
                    links[-1].sendall(
                        f"GET /form.css HTTP/1.1\r\nHost: 127.0.0.1:{form.port}\r\n\r\n".encode()
                    )
                return sum(link.recv(4096).startswith(b"HTTP/1.1 200") for link in links)

        first = fill()
        again = 0
        for turn in range(40):  # the server notices the ends a moment later, and later under load
            time.sleep(min(0.1 * turn, 3.0))
            with suppress(OSError):
                if (again := fill()) == doorstep.MOST_OF_ONE:
                    break
    return f"{first} of {doorstep.MOST_OF_ONE} answered, then {again} again"


@attack("crowd", "2 of 1000 printed, no traceback; (997 more like it before)")
def the_same_failure_a_thousand_times(e):
    now = [0.0]
    once = quiet.SaidOnce(clock=lambda: now[0])
    printed = []
    for turn in range(1000):
        now[0] = 0.0 if turn < 998 else 61.0 + turn / 1e3
        try:
            raise OSError(24, "Too many open files")
        except OSError:
            record = logging.LogRecord(
                "asyncio", 40, "", 0, "Exception in callback %s\nmore", (turn,), sys.exc_info()
            )
        if once.filter(record):
            printed.append(record)
    tracebacks = any(r.exc_info for r in printed)
    said = printed[-1].getMessage()
    return f"{len(printed)} of 1000 printed, {'a' if tracebacks else 'no'} traceback; {said[said.index('(') :]}"


# --- the cage -----------------------------------------------------------------------------------


def _run(cell: str, *, spaces: bool = True, **more: float) -> str:
    """What a cell prints in the cage."""
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(cell, id="c0"), nbformat.v4.new_code_cell("x", id="c1")]
    )
    warm = Warm(Limits(**{"cell": 20.0, "notebook": 60.0, **more}), spaces=spaces)
    try:
        run = warm.run(notebook, [Probe("c1", "x")], {})
    except NotIsolatedError:
        return LACKS
    finally:
        warm.close()
    said = "".join(str(o.get("text", o.get("evalue", ""))) for o in run.outputs.get(0, ()))
    return said.strip() or str(run.stopped)


PAIRS = """
import os, socket, sys
made = 0
try:
    while made < 200:
        a, b = socket.socketpair()
        made += 1
except OSError:
    pass
print("pairs", made)
"""
PIPES = """
import os, fcntl
held, size = [], 0
try:
    while True:
        r, w = os.pipe()
        os.set_blocking(w, False)
        try:
            fcntl.fcntl(w, 1031, 1 << 20)
        except OSError:
            pass
        held.append((r, w))
        try:
            while True:
                size += os.write(w, b"x" * 65536)
        except BlockingIOError:
            pass
except OSError:
    pass
print("below 130 MB" if size < 130e6 else size)
"""


@attack("memory", "pairs 0")
def socket_pairs_in_the_cage(e):
    return _run(PAIRS)


@attack("memory", "pairs 0")
def socket_pairs_in_the_weaker_cage(e):
    return _run(PAIRS, spaces=False)


@attack("memory", "below 130 MB")
def pipes_as_large_as_they_get(e):
    return _run(PIPES)


UNFILTERED = """
import resource, sys
from coursekit.classroom.running.cage import locks
from coursekit.classroom.running.limits import Limits
locks.limit(Limits(), count_processes=False, filtered=False)
import socket
held = []
try:
    while True:
        held.append(socket.socketpair())
except OSError:
    pass
sizes = [s.getsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF) for pair in held for s in pair]
print(sum(sizes) * int(Limits().processes) < Limits().memory)
"""


@attack("memory", "True")
def socket_pairs_of_all_children_without_the_filter_of_calls(e):
    done = subprocess.run(
        [sys.executable, "-c", UNFILTERED], capture_output=True, text=True, check=False
    )
    return done.stdout.strip() or done.stderr[-300:]


def _names() -> dict[str, str]:
    import coursekit

    found = {
        "host": socket.gethostname(),
        "kit": str(Path(coursekit.__file__).parents[1]),
        "Python": sys.prefix,
    }
    found["home"] = str(Path.home())
    return found


ASK = """
import os, platform, socket, sys, traceback, coursekit, coursekit.miters, numpy
print(socket.gethostname(), platform.node(), os.uname())
print(os.environ, os.path.expanduser("~"), os.getcwd())
print(coursekit.__file__, coursekit.__path__, coursekit.miters, sys.path, sys.prefix, sys.executable, sys.argv, sys.orig_argv)
print(numpy.__file__, os.__file__, coursekit.miters.__spec__)
try:
    coursekit.miters.miter(None)
except BaseException:
    traceback.print_exc(file=sys.stdout)
x = coursekit.__file__
"""


@attack("cage", "none of host, kit, Python, home, PATH is told")
def a_cell_asks_where_it_is(e):
    before = os.environ["PATH"]
    os.environ["PATH"] = f"/opt/tools-of-the-instructor:{before}"
    try:
        said = _run(ASK)
    finally:
        os.environ["PATH"] = before
    if said == LACKS:
        return said
    assert "coursekit" in said and "bench" in said, said
    names = _names() | {"PATH": "tools-of-the-instructor"}
    told = [what for what, name in names.items() if len(name) > 1 and name in said]
    return f"{', '.join(told) or 'none of ' + ', '.join(names)} is told"


@attack("cage", "none of kit, Python, home is told")
def a_cell_asks_in_the_weaker_cage(e):
    said = _run(ASK, spaces=False)
    if said == LACKS:
        return said
    hidden = {k: v for k, v in _names().items() if k in ("kit", "Python", "home")}
    told = [what for what, name in hidden.items() if name in said]
    return f"{', '.join(told) or 'none of ' + ', '.join(hidden)} is told"


@attack("cage", "none")
def an_error_in_the_kit_tells_its_traceback(e):
    said = _run("from coursekit import miters\nmiters.curve(1, 2, 3, 4, 5, 6, 7)\n1/0")
    small.hand_in(
        e.work,
        "bench-01",
        {"area": "import coursekit\nprint(coursekit.__file__)\narea = coursekit.__file__"},
    )
    e.call("mark", SLUG)
    e.call("feedback", SLUG)
    texts = [said, *(p.read_text() for p in e.folder.path.glob("autograded/*/*/*.ipynb"))]
    texts += [p.read_text() for p in e.folder.path.glob("feedback/*/*/*.html")]
    assert len(texts) == 3
    told = {n for n in _names().values() if len(n) > 1 and any(n in t for t in texts)}
    return ", ".join(sorted(told)) or "none"


# --- paths in what leaves the house -------------------------------------------------------------


@attack("paths", "0 files of the export name this machine")
def an_export_names_where_the_work_lay(e):
    e.take(e.put("bench-01/x.ipynb", e.notebook("bench-01")))
    small.hand_in(
        e.work, "bench-01", {"area": f'raise ValueError("/home/anna/x.py and {e.folder.path}")'}
    )
    e.call("mark", SLUG)
    e.call("feedback", SLUG)
    target = e.inbox / "export.zip"
    code, said = e.call("student", "export", "bench-01", target)
    assert code == 0, said
    own = [
        str(e.folder.path.parent),
        str(e.work.root),
        sys.prefix,
        *([str(Path.home())] if len(str(Path.home())) > 6 else []),
    ]
    with zipfile.ZipFile(target) as archive:
        assert any(n.endswith("origin.json") for n in archive.namelist())
        named = [
            n for n in archive.namelist()
            if not n.endswith(f"{SLUG}.ipynb")  # the student's own words
            and not n.endswith(".html")
            and any(p.encode() in archive.read(n) for p in own)
        ]  # fmt: skip
        pages = [n for n in archive.namelist() if n.endswith(".html")]
        shown = [archive.read(n).decode() for n in pages]
    # what the student typed stands in the page as code; the kit's own words about it name no folder
    named += [
        n
        for n, text in zip(pages, shown, strict=True)
        if any(p in text.replace(f"and {e.folder.path}", "") for p in own)
    ]
    return f"{named or 0} files of the export name this machine"


# --- notebooks ----------------------------------------------------------------------------------


def _marks(e: Evening, student: str = "bench-01") -> dict[str, float]:
    e.call("mark", SLUG)
    record = json.loads((e.folder.autograded(student, SLUG) / "marks.json").read_text())
    return {m["question"]: m["marks"] for m in record["marks"]}


def _changed(e: Evening, change: Callable[[nbformat.NotebookNode], object]) -> str:
    path = small.hand_in(e.work, "bench-01") / f"{SLUG}.ipynb"
    notebook = nbformat.read(path, as_version=4)
    change(notebook)
    nbformat.write(notebook, path)
    found = _marks(e)
    return ", ".join(f"{q} {m:g}" for q, m in found.items())


def merge(notebook: nbformat.NotebookNode, into: str, *others: str) -> None:
    """Merge cells as an editor does: the texts one after the other, the metadata of one of them."""
    ids = {into, *others}
    found = [c for c in notebook.cells if grade_id(c) in ids]
    kept = next(c for c in found if grade_id(c) == into)
    kept.source = "\n\n".join(str(c.source) for c in found)
    notebook.cells = [c for c in notebook.cells if c is kept or grade_id(c) not in ids]


FULL = "area 2, double 3, shape 1, why 0"


@attack("notebook", FULL)
def it_begins_with_a_byte_order_mark(e):
    path = small.hand_in(e.work, "bench-01") / f"{SLUG}.ipynb"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    return ", ".join(f"{q} {m:g}" for q, m in _marks(e).items())


@attack("notebook", "taken bench-03")
def one_with_a_byte_order_mark_is_taken_in(e):
    return e.take(e.put("x.ipynb", b"\xef\xbb\xbf" + e.notebook()))


MERGED = {
    "two answers, into the first": ("area-answer", "double-answer"),
    "two answers, into the second": ("double-answer", "area-answer", "area"),
    "an answer and its check, into the answer": ("area-answer", "area"),
    "an answer and its check, into the check": ("area", "area-answer"),
    "all from one answer to the next, into the first": ("area-answer", "area", "double-answer"),
    "all from one answer to the next, into the check between": ("area", "area-answer", "double-answer"),
    "three answers and their checks, into the last check": ("shape", "area-answer", "area", "double-answer", "double", "shape-answer"),
}  # fmt: skip


def _merging(cells: tuple[str, ...]) -> Callable[[Evening], str]:
    return lambda e: _changed(e, lambda notebook: merge(notebook, *cells))


ATTACKS += [
    Attack("notebook", f"merged: {name}", _merging(cells), FULL) for name, cells in MERGED.items()
]


@attack("notebook", "'The corners are square.' waits for the instructor")
def a_written_answer_is_merged_into_its_question(e):
    path = small.hand_in(e.work, "bench-01") / f"{SLUG}.ipynb"
    notebook = nbformat.read(path, as_version=4)
    next(c for c in notebook.cells if grade_id(c) == "why").source = "The corners are square."
    merge(notebook, "why-text", "why")
    nbformat.write(notebook, path)
    e.call("mark", SLUG)
    kept = nbformat.read(e.folder.autograded("bench-01", SLUG) / f"{SLUG}.ipynb", as_version=4)
    record = json.loads((e.folder.autograded("bench-01", SLUG) / "marks.json").read_text())
    waits = "waits for the instructor" if record["written"]["why"] else "is blank"
    return f"{next(c.source for c in kept.cells if grade_id(c) == 'why')!r} {waits}"


@attack("notebook", "area 0, double 0, shape 1, why 0")
def an_answer_cell_is_deleted_and_stands_nowhere(e):
    def change(notebook):
        notebook.cells = [
            c for c in notebook.cells if grade_id(c) not in ("area-answer", "double-answer")
        ]

    return _changed(e, change)


@attack("notebook", FULL)
def the_answers_stand_in_a_cell_of_the_student_s_own(e):
    def change(notebook):
        text = "\n".join(
            str(c.source) for c in notebook.cells if grade_id(c) in ("area-answer", "double-answer")
        )
        notebook.cells = [
            c for c in notebook.cells if grade_id(c) not in ("area-answer", "double-answer")
        ]
        notebook.cells.insert(2, nbformat.v4.new_code_cell(text, id="own"))

    return _changed(e, change)


@attack("notebook", FULL)
def it_only_calls_the_kit(e):
    """What the kit's public functions give is an answer like any other: the value is marked."""
    call = 'from coursekit import units\narea = side * units.mm(f"{side} mm")'
    small.hand_in(e.work, "bench-01", {"area": call, "double": "double = 2 * area"})
    return ", ".join(f"{q} {m:g}" for q, m in _marks(e).items())


@attack("notebook", "no key, no secret, no solutions")
def it_calls_the_kit_for_the_key(e):
    return _run(
        "found = []\n"
        "import importlib\n"
        "for name in ('solutions', 'solutions.small'):\n"
        "    try:\n        importlib.import_module(name); found.append(name)\n    except ImportError: pass\n"
        "try:\n    from coursekit import project; from coursekit.classroom.bank import keys\n"
        "    keys.load_key('miter-angles', project.root()); found.append('key')\nexcept BaseException: pass\n"
        f"try:\n    open({str(e.folder.path / 'secret')!r}).read(); found.append('secret')\nexcept OSError: pass\n"
        "print(found or 'no key, no secret, no solutions')\n"
    )


# --- settings -----------------------------------------------------------------------------------


@attack("settings", "exit 1, a sentence")
def class_toml_of_brackets_within_brackets(e):
    (e.folder.path / "class.toml").write_text("a = " + "[" * 100_000 + "]" * 100_000 + "\n")
    code, said = e.call("class", "show")
    return f"exit {code}, {'a sentence' if 'too deep to read' in said else said[:200]}"


@attack("settings", "settings, of nbgrader_config.py True")
def nbgrader_s_settings_fail(e):
    path = e.folder.path / "nbgrader_config.py"
    path.write_text(path.read_text() + "\nimport a_module_that_is_nowhere\n")
    found = checked(e)
    return f"{', '.join(found)}, of nbgrader_config.py {str(path) in found.get('settings', '')}"


@attack("settings", "exit 1, a sentence")
def a_frame_file_of_brackets_within_brackets(e):
    path = e.put("frame.toml", b"a = " + b"[" * 100_000 + b"]" * 100_000 + b"\n")
    code, said = e.call("sheets", "drawing", path)
    return f"exit {code}, {'a sentence' if 'too deep to read' in said else said[:200]}"


# --- what is left half-written ------------------------------------------------------------------


@attack("left over", "old ones told and swept; new ones and a student's stay: notes.1.part, fresh")
def files_that_a_kill_left(e):
    _marked(e)
    gone = [
        e.folder.path / ".roster.csv.77.part", e.folder.path / "reports" / ".report.html.77.part",
        e.folder.made / "backups" / ".gradebook-x.db.part", e.folder.path / "to-send" / SLUG / ".pages.77.part",
        e.folder.submitted("bench-01", SLUG) / ".timestamp.txt.77.part", e.folder.path / ".secret.77.part",
    ]  # fmt: skip
    stay = [
        e.folder.submitted("bench-01", SLUG) / ".notes.1.part",
        e.folder.path / "hand-out" / ".fresh.77.part",
    ]
    for path in (*gone, *stay):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("x")
        if path != stay[1]:
            os.utime(path, (time.time() - 7200,) * 2)
    found = checked(e)
    e.call("mark", SLUG)
    swept = (
        "old ones told and swept"
        if "left over" in found and not any(map(Path.exists, gone))
        else f"{found} {gone}"
    )
    there = [p.name.strip(".").removesuffix(".77.part") for p in stay if p.exists()]
    return f"{swept}; new ones and a student's stay: {', '.join(there)}"


@attack("left over", "no half, the old one stays")
def a_write_that_fails_leaves_no_half(e):
    program = (
        "import resource, sys; from pathlib import Path; from coursekit.classroom.register.class_folder import write_text;"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (10, 10)); write_text(Path(sys.argv[1]), 'x' * 1000)"
    )
    path = e.put("kept.txt", b"old")
    subprocess.run([sys.executable, "-c", program, str(path)], check=False, capture_output=True)
    halves = [p.name for p in e.inbox.iterdir() if p.name.endswith(".part")]
    return f"{halves or 'no half'}, the old one {'stays' if path.read_bytes() == b'old' else 'is lost'}"


if __name__ == "__main__":
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    raise SystemExit(1 if table(ATTACKS, sys.argv[1:], Night) else 0)
