"""The commands leave out imports that nothing here needs, and all that is needed still works."""

from __future__ import annotations

import subprocess
import sys

ASKED = """
from coursekit import light_start
light_start.imports()
import sys
from nbgrader.api import Gradebook
import coursekit.classroom.marking, nbformat
heavy = {"jupyter_server", "notebook", "nbconvert", "matplotlib", "sympy", "arrow"}
print(*sorted(heavy & set(sys.modules)))
from nbgrader.apps import NbGraderAPI
from nbgrader.preprocessors import AssignLatePenalties
nbformat.validate(nbformat.v4.new_notebook())
print(NbGraderAPI.__name__, AssignLatePenalties.__name__)
"""


def test_marking_imports_neither_a_server_nor_a_library_of_the_students():
    done = subprocess.run(
        [sys.executable, "-c", ASKED], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == ["", "NbGraderAPI AssignLatePenalties"]
