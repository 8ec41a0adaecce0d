"""The files in `start/` that open the desk by a double-click."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.request import HTTPCookieProcessor, build_opener

import pytest

from ..classroom import small

KIT = Path(__file__).parents[2]
SHELLS = ("desk-linux.sh", "desk-mac.command")
PATIENCE = 300.0
shell = pytest.mark.skipif(os.name != "posix", reason="a shell script")


def written(path, text):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(0o755)
    return path


@pytest.fixture
def kit(tmp_path):
    """A folder with spaces in its name that holds nothing of the kit but its start files."""
    kit = tmp_path / "the kit (1)"
    (kit / "start").mkdir(parents=True)
    for file in (KIT / "start").iterdir():
        (kit / "start" / file.name).write_bytes(file.read_bytes())
        (kit / "start" / file.name).chmod(file.stat().st_mode)
    return kit


def start(kit, name, *words, tools=None):
    around = {"PATH": f"{tools}:/usr/bin:/bin" if tools else "/usr/bin:/bin", "HOME": str(kit)}
    file = [str(kit / "start" / name), *words]
    return subprocess.run(file, cwd="/", env=around, capture_output=True, text=True, timeout=600)


@shell
@pytest.mark.parametrize("name", SHELLS)
def test_uv_runs_the_desk_in_the_kit_s_folder(kit, tmp_path, name):
    written(tmp_path / "tools" / "uv", 'echo "$PWD: $@"')
    done = start(kit, name, "--port", "8800", tools=tmp_path / "tools")
    assert f"{kit}: run --frozen coursekit desk --port 8800\n" in done.stdout
    assert "The first start takes the network" in done.stdout
    (kit / ".venv").mkdir()
    assert "network" not in start(kit, name, tools=tmp_path / "tools").stdout


@shell
@pytest.mark.parametrize("name", SHELLS)
def test_without_uv_what_it_made_before_is_used(kit, name):
    written(kit / ".venv" / "bin" / "coursekit", 'echo "$PWD: $@"')
    assert start(kit, name, "--no-window").stdout == f"{kit}: desk --no-window\n"


@shell
@pytest.mark.parametrize("name", SHELLS)
def test_without_anything_the_cure_is_told(kit, name):
    done = start(kit, name)
    assert done.returncode == 1
    assert "https://docs.astral.sh/uv" in done.stderr


@shell
def test_the_desk_opens_in_the_browser_and_closes_without_an_error(tmp_path):
    """The real file, the real desk; a browser that notes the address, and uv without a network."""
    work = small.evening(tmp_path, 2)
    address = tmp_path / "address"
    browser = written(tmp_path / "tools" / "browser", f'printf %s "$1" > "{address}"')
    program = Path(sys.executable).with_name("coursekit")
    written(tmp_path / "tools" / "uv", f'shift 3\nexec "{program}" "$@"')
    around = os.environ | {
        "PATH": f"{tmp_path / 'tools'}:{os.environ['PATH']}",
        "BROWSER": f"{browser} %s",
        "XDG_STATE_HOME": str(tmp_path / "state"),
    }
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = str(free.getsockname()[1])
    words = ["/bin/sh", str(KIT / "start" / "desk-linux.sh"), "--port", port]
    words += ["--class", str(work.folder.path)]
    with subprocess.Popen(words, cwd="/", env=around, stdout=subprocess.PIPE, text=True) as desk:
        late = time.monotonic() + PATIENCE
        while not address.is_file() or not address.read_text():
            assert time.monotonic() < late
            assert desk.poll() is None
            time.sleep(0.05)
        window = build_opener(HTTPCookieProcessor())
        with window.open(address.read_text(), timeout=PATIENCE) as page:
            assert page.geturl() == f"http://127.0.0.1:{port}/"
            assert "Evening" in page.read().decode()
        desk.send_signal(signal.SIGINT)
        assert desk.wait(PATIENCE) == 0


def test_windows_gets_its_own_line_ends_and_the_same_words():
    text = (KIT / "start" / "desk-windows.bat").read_bytes()
    assert text.count(b"\r\n") == text.count(b"\n") > 10
    assert b"\r\nuv run --frozen coursekit desk %*\r\n" in text
    assert b'\r\ncd /d "%~dp0.."\r\n' in text
    labels = set(re.findall(rb"^:(\w+)", text, re.M))
    assert set(re.findall(rb"goto (\w+)", text)) == labels
    echoed = re.findall(rb"echo ([A-Z].*)\r", text)
    shell_text = (KIT / "start" / "desk-linux.sh").read_bytes()
    assert len(echoed) == 2
    assert all(line in shell_text for line in echoed)


def test_macos_and_linux_get_one_file_that_may_be_run():
    linux, mac = ((KIT / "start" / name) for name in SHELLS)
    assert linux.read_bytes() == mac.read_bytes()
    if os.name == "posix":
        assert all(os.access(file, os.X_OK) for file in (linux, mac))
