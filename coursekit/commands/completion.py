"""Completion of commands, options and lessons in the shell, when the user presses Tab."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

_SHELLS = ("bash", "fish", "zsh")


@click.command()
@click.argument("shell", type=click.Choice(_SHELLS))
@click.pass_context
def completion(ctx: click.Context, shell: str) -> None:
    """Print what makes SHELL complete commands and lessons.

    For bash, put eval "$(coursekit completion bash)" into ~/.bashrc. For zsh, put the same with zsh
    into ~/.zshrc, after compinit. For fish, write the output to
    ~/.config/fish/completions/coursekit.fish.
    """
    found = get_completion_class(shell)
    assert found is not None
    click.echo(found(ctx.find_root().command, {}, "coursekit", "_COURSEKIT_COMPLETE").source())
