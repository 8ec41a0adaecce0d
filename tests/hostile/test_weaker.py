"""The same attacks against the weaker cage, and, the harmless of them, against none at all."""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

import nbformat
import pytest

from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.running.runner import Limits, NotIsolatedError, Warm
from tests.tools import lack

from . import attacks
from .conftest import CANARY, SLEEP

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="the attacks are written for Linux"),
]
LIMITS = Limits(cell=1.0, notebook=8.0, memory=4e8, scratch=2e7, file=1e7, output=4e6)


def notebook(*cells: str):
    made = [nbformat.v4.new_code_cell(c, id=f"c{i}") for i, c in enumerate(cells)]
    return nbformat.v4.new_notebook(cells=made)


def printed(run) -> str:
    return "\n".join(str(o) for outputs in run.outputs.values() for o in outputs)


@pytest.fixture(scope="module")
def prey(tmp_path_factory):
    """What the attackers are after: a class folder, a home, and an ear at each address."""
    place = tmp_path_factory.mktemp("prey")
    for name in ("class/submitted/bench-01/miter-angles", "class/hand-out/bench-01/miter-angles"):
        (place / name).mkdir(parents=True)
    for name in ("class/secret", "class/gradebook.db", "class/roster.csv", "canary.txt"):
        (place / name).write_text(CANARY)
    work = place / "class/submitted/bench-01/miter-angles/miter-angles.ipynb"
    work.write_text("{}")
    (place / "class/hand-out/bench-01/miter-angles/numbers.json").write_text("{}")
    return place


@pytest.fixture(scope="module")
def words(prey, root):
    tcp = socket.create_server(("127.0.0.1", 0))
    udp = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    udp.bind(("127.0.0.1", 0))
    unix, hidden = socket.socket(socket.AF_UNIX), socket.socket(socket.AF_UNIX)
    unix.bind(str(prey / "ear"))
    hidden.bind(f"\0coursekit-weaker-{os.getpid()}")
    unix.listen()
    hidden.listen()
    yield {
        "@CLASS@": str(prey / "class"),
        "@ROOT@": str(root),
        "@HOME@": str(prey),
        "@CANARY@": CANARY,
        "@PORT@": str(tcp.getsockname()[1]),
        "@UDP@": str(udp.getsockname()[1]),
        "@UNIX@": str(prey / "ear"),
        "@ABSTRACT@": f"coursekit-weaker-{os.getpid()}",
        "@PID@": str(os.getpid()),
        "@SLEEP@": SLEEP,
    }
    for ear in (tcp, udp, unix, hidden):
        ear.close()


@pytest.fixture(scope="module")
def weaker():
    """A warm process caged by Landlock and the filter of kernel calls alone."""
    warm = Warm(LIMITS, spaces=False)
    try:
        warm.run(notebook("1"), [], {})
    except NotIsolatedError as error:
        lack(str(error))
    assert warm.layers.isolated
    assert not warm.layers.spaces
    yield warm
    warm.close()


@pytest.fixture(scope="module")
def none():
    warm = Warm(LIMITS, isolate=False)
    yield warm
    warm.close()


def put(text, words):
    for word, stands_for in words.items():
        text = text.replace(word, stands_for)
    return text


@pytest.mark.parametrize("name", attacks.TRY)
def test_every_try_is_refused_by_the_weaker_cage(weaker, words, name):
    run = weaker.run(notebook(attacks.ATTEMPT + put(attacks.TRY[name], words), "a = 1"), [], {})
    assert run.stopped == {}
    assert "REFUSED" in printed(run)
    assert "LOOT" not in printed(run)


def test_the_weaker_cage_leaves_its_prey_alone(weaker, words, prey):
    for name in ("write into the class", "write elsewhere", "write into the libraries"):
        weaker.run(notebook(attacks.ATTEMPT + put(attacks.TRY[name], words)), [], {})
    assert (prey / "class/roster.csv").read_text() == CANARY
    assert sorted(p.name for p in prey.iterdir()) == ["canary.txt", "class", "ear"]


@pytest.mark.parametrize(
    "name",
    ["fork bomb", "daemon", "memory", "memory by many", "disk", "many files", "thread bomb",
     "segmentation fault", "loop that catches all", "abort"],
)  # fmt: skip
def test_a_breaker_of_the_weaker_cage_loses_its_cell_only(weaker, words, name):
    cell = put(attacks.BREAK[name].cell, words)
    cells = notebook(cell, "after = 2", "after")
    run = weaker.run(cells, [Probe("c2", "after")], {})
    broken = 0 in run.stopped or any(o["output_type"] == "error" for o in run.outputs[0])
    assert broken
    assert run.values["c2"] == {"is": "int", "value": "2"}
    assert not processes_with(SLEEP)


def processes_with(word: str) -> list[bytes]:
    found = []
    for entry in Path("/proc").iterdir():
        try:
            words = (entry / "cmdline").read_bytes() if entry.name.isdigit() else b""
        except OSError:
            continue
        if word.encode() in words:
            found.append(words)
    return found


@pytest.mark.parametrize(
    "name",
    ["read the secret", "read another's work", "read home", "connect by TCP", "send by UDP",
     "connect by Unix socket", "connect from a child", "read /proc"],
)  # fmt: skip
def test_without_a_cage_the_same_tries_get_through(none, words, name):
    """Otherwise a refusal above could come from a try that never works."""
    run = none.run(notebook(attacks.ATTEMPT + put(attacks.TRY[name], words)), [], {})
    assert "LOOT" in printed(run)


def test_without_a_cage_a_daemon_still_ends_with_its_notebook(none, words):
    cell = put(attacks.BREAK["daemon"].cell, words)
    run = none.run(notebook(cell, "after = 2", "after"), [Probe("c2", "after")], {})
    assert run.outputs[0][0]["ename"] == "CellTimeout"
    assert run.values["c2"] == {"is": "int", "value": "2"}
    none.run(notebook("1"), [], {})  # the next notebook waits for the end of the last
    assert not processes_with(SLEEP)


def test_without_a_cage_a_killed_warm_process_is_made_anew(none):
    cell = "import os, signal, time\nos.kill(os.getppid(), signal.SIGKILL)\ntime.sleep(900)"
    run = none.run(notebook(cell, "after = 2", "after"), [Probe("c2", "after")], {})
    assert 0 in run.stopped
    assert run.values["c2"] == {"is": "int", "value": "2"}
