"""Sphinx extension of the book: the directive `{commands}` lists all commands with their help."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator

import click
from docutils import nodes
from docutils.parsers.rst import Directive
from sphinx.application import Sphinx


def all_commands(
    group: click.Group, path: str = "coursekit"
) -> Iterator[tuple[str, click.Command]]:
    """Yield each command's full name and the command, in the help's order, groups first."""
    context = click.Context(group, info_name=path)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if command is None or command.hidden:
            continue
        yield f"{path} {name}", command
        if isinstance(command, click.Group):
            yield from all_commands(command, f"{path} {name}")


def usage(name: str, command: click.Command) -> str:
    """Return how to type a command, in one line."""
    context = click.Context(command, info_name=name)
    return " ".join([name, *command.collect_usage_pieces(context)])


def options(name: str, command: click.Command) -> list[tuple[str, str]]:
    """Return each option as it is typed, and what it does."""
    context = click.Context(command, info_name=name)
    asked = [p for p in command.params if isinstance(p, click.Option)]
    return [record for p in asked if (record := p.get_help_record(context))]


def paragraphs(command: click.Command) -> list[str]:
    """Return the paragraphs of a command's help."""
    text = inspect.cleandoc(command.help or "").replace("\b", "").split("\f")[0]
    return [" ".join(part.split()) for part in re.split(r"\n\s*\n", text) if part.strip()]


class Commands(Directive):  # type: ignore[misc]
    """All commands of the kit, each with its usage, help and options."""

    def run(self) -> list[nodes.Node]:
        """Return one section for each command."""
        from coursekit.commands.root import main

        return [_section(name, command) for name, command in all_commands(main)]


def _section(name: str, command: click.Command) -> nodes.section:
    title = name.removeprefix("coursekit ")
    section = nodes.section(ids=["command-" + title.replace(" ", "-")], names=[])
    section += nodes.title("", "", nodes.Text(title))
    if not isinstance(command, click.Group):
        text = usage(name, command)
        section += nodes.literal_block(text, text, language="text")
    for words in paragraphs(command):
        section += nodes.paragraph("", "", *_marked(words))
    if (found := options(name, command)) and not isinstance(command, click.Group):
        listed = nodes.definition_list()
        for written, words in found:
            item = nodes.definition_list_item()
            item += nodes.term("", "", nodes.literal(written, written))
            item += nodes.definition("", nodes.paragraph("", "", *_marked(words)))
            listed += item
        section += listed
    return section


def _marked(words: str) -> list[nodes.Node]:
    """Return text with options, and everything between backticks, set as code.

    Elsewhere the book turns two hyphens into a dash, which nobody can type.
    """
    parts = re.split(r"`([^`]*)`|((?<!\S)--[a-z][a-z-]*)", words)
    return [nodes.literal(p, p) if i % 3 else nodes.Text(p) for i, p in enumerate(parts) if p]


def setup(app: Sphinx) -> dict[str, bool]:
    """Add the directive to the book."""
    app.add_directive("commands", Commands)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
