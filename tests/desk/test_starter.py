"""The files in `coursekit/start/` that open the desk by a double-click."""

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
PLACE = Path("coursekit/start")
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
    (kit / PLACE).mkdir(parents=True)
    for file in (KIT / PLACE).iterdir():
        (kit / PLACE / file.name).write_bytes(file.read_bytes())
        (kit / PLACE / file.name).chmod(file.stat().st_mode)
    (kit / "pyproject.toml").touch()
    return kit


def start(kit, name, *words, tools=None):
    around = {"PATH": f"{tools}:/usr/bin:/bin" if tools else "/usr/bin:/bin", "HOME": str(kit)}
    file = [str(kit / PLACE / name), *words]
    return subprocess.run(file, cwd="/", env=around, capture_output=True, text=True, timeout=600)


@shell
@pytest.mark.parametrize("name", SHELLS)
def test_the_first_start_gets_what_is_needed_and_the_next_needs_nothing(kit, tmp_path, name):
    program = kit / ".venv" / "bin" / "coursekit"
    get = f'''echo "$PWD: uv $@"
mkdir -p .venv/bin
printf '#!/bin/sh\\necho "$PWD: $@"\\n' > "{program}"
chmod +x "{program}"'''
    written(tmp_path / "tools" / "uv", get)
    done = start(kit, name, "--port", "8800", tools=tmp_path / "tools").stdout
    assert f"{kit}: uv sync\n{kit}: desk --port 8800\n" in done
    assert "The first start takes the network" in done
    assert start(kit, name, tools=tmp_path / "tools").stdout == f"{kit}: desk\n"
    later = program.stat().st_mtime + 60
    os.utime(kit / "pyproject.toml", (later, later))
    assert "uv sync" in start(kit, name, tools=tmp_path / "tools").stdout, "the kit is newer"


@shell
@pytest.mark.parametrize("name", SHELLS)
def test_without_uv_or_a_network_what_is_there_is_used(kit, tmp_path, name):
    program = written(kit / ".venv" / "bin" / "coursekit", 'echo "$PWD: $@"')
    os.utime(program, (1, 1))
    assert start(kit, name, "--no-window").stdout == f"{kit}: desk --no-window\n"
    os.utime(program, (1, 1))
    written(tmp_path / "tools" / "uv", "exit 1")
    done = start(kit, name, tools=tmp_path / "tools")
    assert done.stdout.endswith(f"{kit}: desk\n")
    assert "See whether the network is there" in done.stderr


@shell
@pytest.mark.parametrize("name", SHELLS)
def test_without_anything_the_cure_is_told(kit, name):
    done = start(kit, name)
    assert done.returncode == 1
    assert "https://docs.astral.sh/uv" in done.stderr


@shell
def test_the_desk_opens_in_the_browser_and_closes_without_an_error(tmp_path):
    """The real file, the real desk, and a browser that notes the address."""
    work = small.evening(tmp_path, 2)
    address = tmp_path / "address"
    browser = written(tmp_path / "tools" / "browser", f'printf %s "$1" > "{address}"')
    program = Path(sys.executable).with_name("coursekit")
    kit = tmp_path / "kit"
    (kit / PLACE).mkdir(parents=True)
    (kit / PLACE / "desk-linux.sh").write_bytes((KIT / PLACE / "desk-linux.sh").read_bytes())
    (kit / "pyproject.toml").touch()
    written(kit / ".venv" / "bin" / "coursekit", f'exec "{program}" "$@"')
    around = os.environ | {
        "PATH": f"{tmp_path / 'tools'}:{os.environ['PATH']}",
        "BROWSER": f"{browser} %s",
        "COURSEKIT_ROOT": str(work.root),
        "XDG_STATE_HOME": str(tmp_path / "state"),
    }
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = str(free.getsockname()[1])
    words = ["/bin/sh", str(kit / PLACE / "desk-linux.sh"), "--port", port]
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
    text = (KIT / PLACE / "desk-windows.bat").read_bytes()
    assert text.count(b"\r\n") == text.count(b"\n") > 10
    assert b'\r\n".venv\\Scripts\\coursekit.exe" desk %*\r\n' in text
    assert b'\r\ncd /d "%~dp0..\\.."\r\n' in text
    labels = set(re.findall(rb"^:(\w+)", text, re.M))
    assert set(re.findall(rb"goto (\w+)", text)) == labels
    echoed = re.findall(rb"echo ([A-Z].*)\r", text)
    shell_text = (KIT / PLACE / "desk-linux.sh").read_bytes()
    assert len(echoed) == 2
    assert all(line in shell_text for line in echoed)


def test_macos_and_linux_get_one_file_that_may_be_run():
    linux, mac = ((KIT / PLACE / name) for name in SHELLS)
    assert linux.read_bytes() == mac.read_bytes()
    if os.name == "posix":
        assert all(os.access(file, os.X_OK) for file in (linux, mac))
