"""The same term with its gradebook on a PostgreSQL server and its notebooks run by two Dask workers."""

from __future__ import annotations

import json
import os

import pytest

from coursekit.classroom.register import class_folder, class_toml
from tests import postgres_server
from tests.classroom.test_scale import cluster  # noqa: F401 – a fixture

from .scenario import ABSENT, NEW_ID, OTHER_ID, STUDENTS, Term, did

pytestmark = pytest.mark.slow


@pytest.fixture
def server(tmp_path_factory):
    with postgres_server.server(tmp_path_factory.mktemp("pg")) as running:
        yield running


def test_the_same_term_gives_the_same_marks_elsewhere(
    root,
    tmp_path,
    monkeypatch,
    server,
    cluster,  # noqa: F811
):
    monkeypatch.setenv(
        "COURSEKIT_ROOT", os.environ.get("COURSEKIT_ROOT", "")
    )  # put back at the end
    # some lessons: what differs here is where things are, not what they are
    term = Term.begun(tmp_path, root, 4, mark_words=("--scheduler", cluster.address))
    term.open()
    server.psql("create database evening_class;")
    file = term.folder / "class.toml"
    address = class_toml.quoted(server.get_uri(database="evening_class"))
    file.write_text(class_toml.put(file, "", "gradebook", address))
    term.whole()
    assert not (term.folder / "gradebook.db").exists()
    for slug in term.slugs:
        assert term.marks(slug) == pytest.approx(term.expected(slug)), slug
    assert class_folder.load(term.folder).db_url.startswith("postgresql+psycopg://")
    shown = json.loads(did("class", "show", *term.on, "--json"))
    assert [x["exercise"] for x in shown["lessons"]] == list(term.slugs)
    assert all(x["due"] and x["students"][ABSENT]["overdue"] for x in shown["lessons"])
    told = json.loads(did("student", "erase", NEW_ID, "--yes", *term.on, "--json"))
    assert told["still_named_in"] == []
    assert f"gradebook: the student and {len(term.slugs)} submissions" in told["removed"]
    assert set(term.marks(term.slugs[0])) == set(STUDENTS) - {ABSENT, OTHER_ID}
