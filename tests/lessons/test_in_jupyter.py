"""One exercise done in a real JupyterLab, from hand-out to marks; `tests.lessons.walk` does the others."""

from __future__ import annotations

from importlib import metadata

import pytest

from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments, start_files
from coursekit.classroom.marking import mark_class
from tests.tools import lack, need

from . import walk

pytestmark = pytest.mark.slow


def test_from_hand_out_to_marks_in_jupyterlab(root, tmp_path):
    chromium = need("chromium")
    try:
        installed = metadata.version("jupyterlab")
    except metadata.PackageNotFoundError:
        lack("jupyterlab is not installed")
    assert installed == start_files.JUPYTERLAB, "the walk must use what students get"
    from playwright.sync_api import sync_playwright

    work = assignments.assignment(
        invented_class.open_demo(tmp_path / "class"), "miter-angles", root
    )
    assignments.hand_out(work)
    right = walk.right_lines(work, walk.STUDENT)
    lines = {name: right[name] for name in ("mill_setting", "along")} | {"cutter": "sqrt(4) * pi"}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        troubles = walk.walk(work, browser, lines)
        browser.close()
    assert not troubles  # a blank notebook runs without an error, and so does a filled one
    mark_class.mark_class(work)
    got = {
        m.question: m.verdict
        for m in mark_class.recorded(work.folder, walk.STUDENT, work.slug).marks
    }
    assert [got[id] for id in ("mill-setting", "cutter", "ordinates", "flank")] == [
        "right", "wrong", "right", "blank",
    ]  # fmt: skip
