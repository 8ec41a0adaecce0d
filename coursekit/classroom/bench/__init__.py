"""The bench record: what students measured, kept, taken in, and what it says together.

Decisions:

- The record is lines of CSV, kept twice and only ever added to, each line with a check of four
  characters. A line that another program changed is known by its check and taken from the second
  copy. To correct a value, record it again.
- A file with mistakes is taken in as far as it goes. The other lines are named, the command ends
  with exit code 1, and the mended file is simply taken in again.
- A reading is a whole number of divisions of its instrument; anything else is asked back.
- A bench line's `role` (with `at`, `of`, `stage`) tells the fits what it is: `lever`; `pull in
  plane`, `pull across` (`at`: the tacks so far); `height drive up`, `height drive down` (`at`,
  `of`, `stage`: before or after); `offset` (`of`, `stage`); `place found`. The fits name no
  lesson.
"""
