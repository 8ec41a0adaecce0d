"""The `coursekit` command, thin over the package."""

import click


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="coursekit")
def main() -> None:
    """Teach and learn to build steel bicycle frames by brazing."""
