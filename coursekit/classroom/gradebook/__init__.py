"""Reads and writes nbgrader's gradebook.

Decisions:

- A new gradebook is made in one step by `found`: nbgrader makes the tables first and asks a
  program on the PATH for their version, so a kill in between leaves a gradebook that can't be
  upgraded.
- An exercise's cells are noted in one commit, where nbgrader commits after each: a kill leaves all
  of them or none, and a hand-out does not wait for the disk a hundred times.
- New submissions are inserted as rows, one transaction for each submission. Work that is there
  already goes through nbgrader's own objects.
- `class.toml` rules due times; a time set in formgrader counts until the class has one. Late work
  loses what `[late] per_day, most, grace_hours` say, by this kit's plug-in; an instructor's own
  plug-in in `nbgrader_config.py` wins.
"""
