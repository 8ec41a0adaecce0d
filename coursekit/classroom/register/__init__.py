"""The class folder: roster, settings, secret, lock and backup, stamps, former ids.

What a person types or reads in it goes through `names` (students), `dates`, and `typed` (paper,
percentages), whichever command or page it is typed in; lessons go through `bank.lesson_names`.

Decisions:

- A class finds its course by `COURSEKIT_ROOT`, else in the folders above the class folder, else by
  `.made/course`, where the last hand-out noted it.
- Own numbers are drawn from the student's id, unless `own-numbers.csv` names something else to draw
  them from. A student whose id was changed keeps the numbers drawn from the old one. A student who
  gets another frame has the numbers drawn, for each lesson, from the first of `id~2`, `id~3`, …
  whose numbers the student never had. `former-ids.csv` lets in work stamped with an old id.
- SQLite keeps its rollback journal and `synchronous=EXTRA`, because a write-ahead log would leave
  fresh marks in a second file, which is lost when the class folder is copied or synced. Before each
  marking the gradebook is copied to `.made/backups`, which keeps the last five copies. To go back,
  put one of them in place of `gradebook.db` and mark again. A gradebook on a PostgreSQL server is
  the server's to back up.
- What a class changes of a question, its tolerance or marks, stands in `questions.toml` and is laid
  over the course's exercise in one place, `class_exercise`. It is proved for every student of the
  class and two hundred invented ones: no slip, wrong sign, zero or neighbour's answer may pass that
  did not before, and rounding as asked must. Own numbers are drawn from the exercise as the course
  has it, so a change leaves them as they are. Records of marks note by which changes they were
  made, so marks by other rules are seen and made again.
- Each command that writes keeps the class as it was before in `.undo`, by hard links, so the last
  three steps can be undone (see `undo`). Erasing a student or changing an id removes what is kept,
  and a packed class leaves it out.
- What was proved and drawn once is kept in `.made/<slug>.known.json` under an HMAC over the
  exercise, its solutions, all of `solutions/*.py`, all code of this kit, the versions of Python and
  numpy, and the numbers. If any of these changes, it is proved and drawn again.
- A student's copy carries a stamp: student, exercise, and an HMAC by the class secret.
- The secret is written to a temporary file, synced, and given its name in one step; it is never
  written over. Every command refuses a secret that is empty, too short, malformed, a link or
  another class's, and a class that has handed something out never gets a new one. No second file
  says what the secret should be, because the stamps of what was handed out show it.
- Every command that writes begins with `quick_check`, which takes half a millisecond and looks at
  the secret, the rights, the room on the disk and the clock. A fault that would harm marks ends the
  command. A clock that seems behind is only reported, because the newer file may come from another
  computer whose clock is ahead. Everything else waits for `class check`.
- The next marking removes what a killed command left half-written: at once where only a marking
  writes, and after an hour elsewhere. It never removes what a student may have put there.
"""
