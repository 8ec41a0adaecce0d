"""A student's answers from a file in the browser to the mark, in Chromium and in Firefox.

Typed on a phone's screen, the browser killed, opened again, saved to hand in, taken in, marked with no
process started, given feedback.
"""

from __future__ import annotations

import shutil

import pytest

from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.bench import bench_record
from coursekit.classroom.handout.assignments import assignment, page_name
from coursekit.classroom.intake import take_in
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import load
from coursekit.classroom.report import feedback

from ..chromium import Chromium
from ..firefox import Firefox
from .conftest import SLUG
from .test_read_off import nothing_starts as nothing_starts

pytestmark = pytest.mark.slow
STUDENT = "bench-02"
PHONE = (390, 844)
# what stands in the device's own store, read afresh
KEPT = """async (words) => {
  const {lesson, student, stamp} = document.body.dataset;
  const kept = await Keep.open(Keep.name(lesson, student, stamp), {});
  return JSON.stringify(kept.get()).includes(words);
}"""


def opened(name, tmp_path):
    profile, saved = tmp_path / "profile", tmp_path / "saved"
    if name == "firefox":
        browser = Firefox(profile, saved)
        browser.size(*PHONE)
        return browser
    size = {"width": PHONE[0], "height": PHONE[1]}
    return Chromium(profile, saved, viewport=size)


@pytest.mark.parametrize("name", ["chromium", "firefox"])
def test_typed_killed_opened_again_saved_taken_in_and_marked(
    name, root, handed_out, tmp_path, request
):
    shutil.copytree(handed_out(SLUG).folder.path, tmp_path / "class")
    work = assignment(load(tmp_path / "class"), SLUG, root)
    shutil.copy(work.folder.bundle(STUDENT, SLUG) / page_name(SLUG, STUDENT), tmp_path)
    right = answers(work.exercise, work.key, work.numbers(STUDENT))
    with opened(name, tmp_path) as browser:
        browser.open(tmp_path / page_name(SLUG, STUDENT))
        browser.type("[id='q-mill-setting.1']", f"{right['mill-setting']:.2f}".replace(".", ","))
        inches = right["cutter"] / 25.4
        browser.type("[id='q-cutter.1']", f"{inches:.4f} in")
        browser.type("[id='q-flank.1']", "1234")
        browser.type("#q-gap .words", "Both flanks are too deep.")
        browser.type("[id='reading.protractor.1']", "61,5")
        browser.wait_for(KEPT, "61,5")
        browser.kill()
        browser.start()
        browser.open(tmp_path / page_name(SLUG, STUDENT))
        browser.wait_for("document.querySelector('#kept').textContent.startsWith('Kept on')")
        assert browser.evaluate("document.querySelector('#q-gap .words').value") == (
            "Both flanks are too deep."
        )
        browser.click("#save")
        text = browser.saved(f"{SLUG}-{STUDENT}-1.txt")
        assert browser.errors == []
    request.getfixturevalue("nothing_starts")
    told = take_in.take_in(work.folder, [text])
    assert told[0].what == "taken", told
    assert {(one.student, one.slug) for one in told} == {(STUDENT, SLUG)}
    (done,) = mark_class.mark_class(work)
    verdicts = {m.question: m.verdict for m in done.marks}
    assert verdicts["mill-setting"] == verdicts["cutter"] == "right"
    assert verdicts["flank"] == "wrong"
    assert verdicts["gap"] == "to-read"
    assert verdicts["shell-end"] == "blank"
    (reading,) = bench_record.readings(work.folder, SLUG, STUDENT)
    assert (reading.line, reading.value) == ("protractor", 61.5)
    (shown,) = feedback.give_feedback(work.folder, SLUG, None, root)
    assert "Both flanks are too deep." in shown.read_text(encoding="utf-8")
