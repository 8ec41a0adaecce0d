"""Completion of commands, options and lessons in the shell, when the user presses Tab."""

from __future__ import annotations

from typing import Any

import click
from click.shell_completion import CompletionItem, get_completion_class

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


def complete_slugs(group: click.Group) -> None:
    """Make the shell complete every argument that takes a slug, from the course's folder."""
    for command in group.commands.values():
        if isinstance(command, click.Group):
            complete_slugs(command)
        for param in command.params:
            if param.name in ("slug", "slugs"):
                setattr(param, "shell_complete", _slugs)  # noqa: B010 – a method of the one instance


def _slugs(ctx: click.Context, incomplete: str) -> list[CompletionItem]:
    from coursekit import project
    from coursekit.classroom.bank import exercises

    try:
        found: Any = exercises.slugs(project.root())
    except FileNotFoundError:
        return []
    return [CompletionItem(slug) for slug in found if slug.startswith(incomplete)]
