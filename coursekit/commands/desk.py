"""The command that opens the instructor's desk."""

from __future__ import annotations

import urllib.request
import webbrowser
from pathlib import Path
from typing import Any

import click

from coursekit.commands.common import plain_errors, say, see_to_class


@click.command()
@click.option(
    "--class",
    "class_path",
    type=click.Path(path_type=Path),
    envvar="COURSEKIT_CLASS",
    show_envvar=True,
    help="The class folder. [default: the class that was open last]",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=8764,
    show_default=True,
    help="The port of this computer that the desk answers at.",
)
@click.option("--no-window", is_flag=True, help="Open no browser; show the address instead.")
@plain_errors
def desk(class_path: Path | None, port: int, no_window: bool) -> None:
    """Open the desk, the week of a class on pages in the browser, until Ctrl-C closes it.

    Everything on it is a command too. It listens on this computer alone, and works without a
    network. If it is open already, another window of it is opened.
    """
    from coursekit import project
    from coursekit.desk import server
    from coursekit.desk.state import Kept, new_desk

    kept = Kept.of_this_user()
    known = [Path(path) for path in kept.classes if (Path(path) / "class.toml").is_file()]
    path = class_path or (known[0] if known else None)
    if _is_open(port, kept.key):
        say("The desk is open already; this is another window of it.")
        _open_window(_address(port, kept.key), no_window)
        return
    if path:
        see_to_class(path)
    made = new_desk(project.root(), port)

    def opened(one: Any) -> None:
        _open_window(_address(one.port, kept.key), no_window)
        say("The desk is open. Close it with Ctrl-C; what is being marked goes on to its end.")

    server.run(made, path, opened)


def _address(port: int, key: str) -> str:
    return f"http://127.0.0.1:{port}/?key={key}"


def _open_window(address: str, no_window: bool) -> None:
    if no_window or not webbrowser.open(address):
        say(f"Open this in a browser on this computer: {address}")


def _is_open(port: int, key: str) -> bool:
    """Return whether this user's desk answers at this port."""
    try:
        with urllib.request.urlopen(_address(port, key), timeout=2) as answer:
            return "desk_session" in str(answer.headers) or "/desk.css" in answer.read().decode()
    except (OSError, ValueError):
        return False
