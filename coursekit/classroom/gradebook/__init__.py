"""Reads and writes nbgrader's gradebook.

Decisions:

- `opener.found` makes a new gradebook in one step. nbgrader itself makes the tables first, asks a
  program on the PATH for their version and then notes it, so a kill in between leaves a gradebook
  that can't be upgraded.
- An exercise's cells are noted in one commit, although nbgrader commits after each cell. So a kill
  leaves all of them or none, and a hand-out does not wait for the disk a hundred times.
- New submissions are inserted as rows, one transaction for each submission. Work that is there
  already is changed through nbgrader's own objects.
- Due times come from `class.toml`; a time set in formgrader counts only for an exercise that has
  none there. Late work loses what `[late] per_day, most, grace_hours` say, by this kit's plug-in;
  if `nbgrader_config.py` names an instructor's own plug-in, that one is used instead. What late
  work loses is renewed as soon as the due time, the rule or a person's mark changes; nbgrader
  itself works it out only when it autogrades (see `late_work`).
"""
