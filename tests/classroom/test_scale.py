"""Marking spread over two worker processes of a Dask scheduler, one of them killed on the way."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from coursekit import cli
from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.running import dask_cluster, plain_cells
from coursekit.classroom.running.runner import Limits, Run, RunnerError

from .conftest import LIMITS, SLUG
from .test_nothing_leaks import assert_clean

pytestmark = pytest.mark.slow

DASK = [sys.executable, "-W", "ignore", "-m", "dask"]


@pytest.fixture
def cluster(tmp_path):
    """A scheduler with two workers, each a process of one thread that nobody starts again."""
    file, log = tmp_path / "scheduler.json", (tmp_path / "log").open("wb")
    common = ["--scheduler-file", str(file), "--no-dashboard"]
    place = {"stdout": log, "stderr": log, "cwd": tmp_path, "start_new_session": True}
    started = [
        subprocess.Popen(
            [*DASK, "scheduler", "--host", "127.0.0.1", "--port", "0", *common], **place
        )
    ]
    until = time.monotonic() + 600
    while not file.is_file() and time.monotonic() < until:
        time.sleep(0.1)
    workers = [
        subprocess.Popen([*DASK, "worker", "--no-nanny", "--nthreads", "1", *common], **place)
        for _ in range(2)
    ]
    address = json.loads(file.read_text())["address"]
    client = dask_cluster._connected(address)
    client.wait_for_workers(2, timeout=600)
    client.close()
    yield SimpleNamespace(address=address, workers=workers)
    for process in (*workers, *started):
        process.kill()
        process.wait()
    log.close()


@pytest.fixture
def fresh(ran, tmp_path, monkeypatch):
    """The demo class as it was handed in, not marked. All of it is run, plain answers too."""
    monkeypatch.setattr(plain_cells, "run_of", lambda *_: None)
    folder = invented_class.open_demo(tmp_path / "class")
    work = assignments.Assignment(folder, ran.exercise, ran.key)
    assignments.hand_out(work)
    invented_class.hand_in(work)
    return work


def got(work):
    with gradebook(work.folder) as book:
        return scores(book, SLUG)


def records(work):
    return {s.id: mark_class.recorded(work.folder, s.id, SLUG) for s in work.folder.students}


def test_a_killed_worker_changes_nothing(ran, fresh, cluster):
    lost = []

    def kill_one(student, what):
        if not lost:
            lost.append(cluster.workers[0].pid)
            cluster.workers[0].kill()

    with dask_cluster.DaskCluster(cluster.address, LIMITS) as place:
        assert len(place._client.nthreads()) == 2
        mark_class.mark_class(fresh, place=place, progress=kill_one)
        assert len(place._client.nthreads()) == 1
    assert lost
    assert got(fresh) == got(ran)
    for student, record in records(fresh).items():
        assert record.marks == records(ran)[student].marks
        assert record.values == records(ran)[student].values


def test_the_command_marks_on_a_scheduler(ran, fresh, cluster, root, monkeypatch):
    monkeypatch.chdir(root)
    words = ["mark", SLUG, "--class", str(fresh.folder.path), "--seconds", "2", "--json"]
    done = CliRunner().invoke(cli.main, [*words, "--scheduler", cluster.address])
    assert done.exit_code == 0, done.output
    assert got(fresh) == got(ran)


def test_no_worker_left_is_said(fresh, cluster, monkeypatch):
    monkeypatch.setattr(dask_cluster, "PATIENCE", 1.0)
    with dask_cluster.DaskCluster(cluster.address, LIMITS) as place:
        for worker in cluster.workers:
            worker.kill()
            worker.wait()
        with pytest.raises(RunnerError, match="must have a worker; the last one is gone"):
            mark_class.mark_class(fresh, place=place)


class Failed:
    status = "error"


def test_a_notebook_that_takes_its_workers_with_it_is_run_at_home(fresh, cluster, monkeypatch):
    with dask_cluster.DaskCluster(cluster.address, LIMITS) as place:
        failed = Failed()
        monkeypatch.setattr(place, "_some", lambda futures: [failed])
        monkeypatch.setattr(place._client, "submit", lambda *_, **__: failed)
        (task,) = tasks(fresh)[:1]
        ((same, run),) = place.runs([task])
        assert same is task
        assert run.values["mill-setting"]["is"] == "float"


def tasks(work):
    """The tasks that marking sends to a place to run."""

    sent = []

    def runs(tasks):
        for task in tasks:
            sent.append(task)
            yield task, Run()

    mark_class.mark_class(work, place=SimpleNamespace(limits=LIMITS, runs=runs))
    return sent


def test_what_is_sent_holds_no_key_no_secret_and_no_other_student(fresh, tmp_path):
    sent = tasks(fresh)
    assert len(sent) == 11  # all but the broken file
    for task in sent:
        text = dask_cluster.as_text(task, LIMITS)
        assert set(json.loads(text)) == {"cells", "probes", "files", "limits"}
        (tmp_path / "sent.txt").write_text(text, encoding="utf-8")
        assert_clean(fresh, tmp_path / "sent.txt")
        assert fresh.folder.secret.hex() not in text
        assert str(fresh.folder.path) not in text
        assert set(re.findall(r"bench-\d\d", text)) <= {task.student}


def test_no_right_value_is_sent_to_a_worker(fresh):
    blank = next(t for t in tasks(fresh) if t.student == "bench-07")
    text = dask_cluster.as_text(blank, LIMITS)
    right = answers(fresh.exercise, fresh.key, fresh.numbers("bench-07"))
    given = {f"{v:g}" for v in fresh.numbers("bench-07").values()}
    for question in fresh.exercise.graded:
        value = right.get(question.id)
        if isinstance(value, float) and f"{value:g}" not in given:
            assert not re.search(rf"(?<![\d.]){re.escape(f'{value:.2f}')}", text), question.id


def test_a_run_comes_back_as_it_was(fresh):
    run = Run(
        {3: [{"output_type": "stream", "name": "stdout", "text": "é"}]},
        {"a": {"is": "none"}},
        {4: "time"},
    )
    text = json.dumps({"outputs": run.outputs, "values": run.values, "stopped": run.stopped})
    assert dask_cluster.run_of(text) == run


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nowhere://x", "127.0.0.1"])
def test_nobody_there(monkeypatch, address):
    monkeypatch.setattr(dask_cluster, "CONNECT", 1.0)
    with pytest.raises(ClassError, match="A Dask scheduler must answer at"):
        dask_cluster.DaskCluster(address, Limits())


def test_another_version_is_refused(cluster, monkeypatch):
    monkeypatch.setattr(dask_cluster, "__version__", "0.0.0")
    with pytest.raises(
        ClassError, match=r"A worker must have this kit's version 0\.0\.0; the one at"
    ):
        dask_cluster.DaskCluster(cluster.address, Limits())


def test_a_missing_package_is_said(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(ClassError, match=r"pip install 'coursekit\[scale\]'"):
        dask_cluster.DaskCluster("tcp://127.0.0.1:9", Limits())
