"""The cage as an ordinary user has it. As root the test becomes nobody, with a Python nobody may read."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import tempfile
from pathlib import Path

import pytest

from tests.tools import lack

pytestmark = pytest.mark.slow

NOBODY = 65534
PROGRAM = """
import json, nbformat, os, sys
from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.running.limits import Limits
from coursekit.classroom.running.runner import Warm
sys.path.insert(0, sys.argv[1])
import attacks

def notebook(*cells):
    made = [nbformat.v4.new_code_cell(c, id=f"c{i}") for i, c in enumerate(cells)]
    return nbformat.v4.new_notebook(cells=made)

words = dict(zip(*[iter(sys.argv[2:])] * 2))
found = {"user": os.getuid(), "tries": {}, "breaks": {}}
warm = Warm(Limits(cell=1.0, notebook=8.0, memory=4e8, scratch=2e7, file=1e7, output=4e6, processes=40))
for name, text in attacks.TRY.items():
    for word, stands_for in words.items():
        text = text.replace(word, stands_for)
    run = warm.run(notebook(attacks.ATTEMPT + text), [], {})
    found["tries"][name] = str(run.outputs)
for name in ("fork bomb", "daemon", "memory by many", "disk", "many files", "loop that catches all"):
    cell = attacks.BREAK[name].cell.replace("@SLEEP@", words["@SLEEP@"])
    run = warm.run(notebook(cell, "after = 2", "after"), [Probe("c2", "after")], {})
    found["breaks"][name] = run.values.get("c2")
found["spaces"], found["kind"] = warm.layers.spaces, warm.layers.user
warm.close()
print(json.dumps(found))
"""


@pytest.fixture(scope="module")
def found(root, once):
    """What came of the attacks, run as an ordinary user on that user's own files."""

    def fill(folder):
        # a folder that an ordinary user may pass through; pytest's own are shut against others
        with tempfile.TemporaryDirectory(prefix="coursekit-ordinary-") as name:
            Path(name).chmod(0o755)
            (folder / "found.json").write_text(_attacked(root, Path(name)))

    return json.loads((once("ordinary", fill) / "found.json").read_text())


def _python(root: Path, place: Path) -> Path:
    """Return a Python that an ordinary user may run, with this package and its libraries."""
    if os.geteuid() != 0:
        return Path(sys.executable)
    system = Path("/usr/bin/python3")
    version = "import sys; print(*sys.version_info[:2], sep='.')"
    here = f"{sys.version_info.major}.{sys.version_info.minor}"
    if not system.exists() or here not in subprocess.check_output(
        [system, "-c", version], text=True
    ):
        lack(f"there is no Python {here} in /usr/bin that another user may run")
    subprocess.run([system, "-m", "venv", "--without-pip", place / "env"], check=True)
    site = next((place / "env/lib").glob("python*/site-packages"))
    shutil.copytree(
        sysconfig.get_path("purelib"),
        site,
        copy_function=_linked,
        dirs_exist_ok=True,
        symlinks=True,
    )
    shutil.copytree(root / "coursekit", site / "coursekit", dirs_exist_ok=True)
    for editable in site.glob("*coursekit*.pth"):
        editable.unlink()
    return place / "env/bin/python"


def _linked(source: str, target: str) -> None:
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)


def _attacked(root: Path, place: Path) -> str:
    """Run the attacks as an ordinary user; return what came of them as JSON."""
    python = _python(root, place)
    prey = place / "prey"
    work = prey / "class/submitted/bench-01/miter-angles"
    work.mkdir(parents=True)
    for path in (prey / "class/secret", prey / "class/gradebook.db", prey / "class/roster.csv",
                 prey / "canary.txt", work / "miter-angles.ipynb"):  # fmt: skip
        path.write_text("mine")
    tables = prey / "tables"
    tables.mkdir()
    shutil.copy(root / "tests/hostile/attacks.py", tables)
    words = {"@CLASS@": prey / "class", "@ROOT@": root, "@HOME@": prey, "@CANARY@": "mine-alone",
             "@PORT@": 9, "@UDP@": 9, "@UNIX@": prey / "ear", "@ABSTRACT@": "ear",
             "@PID@": os.getpid(), "@SLEEP@": f"86401.{os.getpid()}"}  # fmt: skip
    command = [
        str(python),
        "-c",
        PROGRAM,
        str(tables),
        *(str(w) for pair in words.items() for w in pair),
    ]
    user = {}
    if os.geteuid() == 0:
        for path in (prey, *prey.rglob("*")):
            os.chown(path, NOBODY, NOBODY)
        user = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=prey, check=False, timeout=1800,
        env={"PATH": os.environ["PATH"], "HOME": str(prey), "CANARY": "mine-alone"}, **user,
    )  # fmt: skip
    if "NotIsolatedError" in done.stderr:
        lack(done.stderr.strip().splitlines()[-1])
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_user_is_an_ordinary_one(found):
    assert found["user"] != 0
    assert found["kind"] in ("namespace", "kept")


def test_every_try_is_refused(found):
    assert len(found["tries"]) > 15
    for name, printed in found["tries"].items():
        assert "REFUSED" in printed, name
        assert "LOOT" not in printed, (name, printed)


def test_breakers_lose_their_cell_only(found):
    assert found["breaks"] == {name: {"is": "int", "value": "2"} for name in found["breaks"]}
    assert len(found["breaks"]) == 6
