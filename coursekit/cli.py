"""Where the `coursekit` command starts; its groups and commands stand in `coursekit.commands`."""

from __future__ import annotations

from coursekit.commands.root import main

__all__ = ["main"]

if __name__ == "__main__":
    main()
