"""The bench record: what students measured, how it is recorded, and what a class's readings show.

Decisions:

- The record is lines of CSV, kept twice and only ever added to, and each line has a check of four
  characters. If another program changed a line, its check no longer fits, and the line is taken
  from the second copy. To correct a value, record it again.
- Of a file with mistakes the good lines are taken in. The others are named and the command ends
  with exit code 1; mend them and take the same file in again.
- A reading is a whole number of divisions of its instrument; anything else is refused with the
  reason.
- A bench line's `role` (with `at`, `of`, `stage`) tells the fits what it is: `lever`; `pull in
  plane`, `pull across` (`at`: the tacks so far); `height drive up`, `height drive down` (`at`,
  `of`, `stage`: before or after); `offset` (`of`, `stage`); `place found`. So the code of the fits
  names no lesson.
"""
