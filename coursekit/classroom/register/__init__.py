"""The class folder: roster, settings, secret, lock and backup, stamps, former ids.

Decisions:

- The way from a class to its course is `COURSEKIT_ROOT`, else the folders above the class folder,
  else `.made/course`, where the last hand-out wrote it down.
- Own numbers follow `own-numbers.csv` where an id does not tell. A changed id keeps the numbers
  drawn from the old one; another frame draws from `id~2` on, the first whose numbers the student
  never had, lesson by lesson. `former-ids.csv` lets in work stamped with an old id.
- SQLite keeps its rollback journal and `synchronous=EXTRA`, because a write-ahead log would leave
  fresh marks in a second file that a copied or synced class folder loses. Before each marking the
  gradebook is copied to `.made/backups` (the last five). To go back, put one of them in place of
  `gradebook.db` and mark again. A gradebook on a PostgreSQL server is the server's to back up.
- What was proved and drawn once is kept in `.made/<slug>.known.json` under an HMAC over the
  exercise, its solutions, all of `solutions/*.py`, all code of this kit, the versions of Python and
  numpy, and the numbers. Change any of these and it is proved and drawn again.
- A copy carries a stamp: student, exercise, and an HMAC by the class secret.
- The secret is written beside its place, synced, and named in one step; it is never written over.
  One that is empty, short, odd, a link or another class's is refused by every command, and a class
  that has handed something out never gets a new one. No second file says what it should be: the
  stamps of what was handed out do.
- Every command that writes begins with `quick_check`, half a millisecond: secret, rights, room on
  the disk, clock. What would harm marks ends the command; a clock that is behind is only said,
  because a file of another computer may be what is ahead. The rest waits for `class check`.
- What a kill leaves half-written is swept by the next marking: at once where only a marking writes,
  after an hour elsewhere, and never what a student may have put there.
"""
