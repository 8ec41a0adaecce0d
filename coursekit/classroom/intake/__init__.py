"""What comes back from students, and whose it is.

Decisions:

- Take-in asks which exercise a notebook belongs to (cell ids, stamp, file name) and whose it is
  (stamp; id or whole name in the file name, else in the nearest folder or archive; last of all
  the name in `numbers.json`, which is then said). Two answers that disagree are never weighed:
  the file is not taken. Work is always marked by the numbers of the roster's id.
- Nothing that was taken in is written over. `taken-in/<student>/<slug>/<time>-<turn>-<digest>/`
  stays for ever; `submitted/` is a copy of the newest that the strongest evidence speaks for:
  work in a folder named after a student never replaces that student's stamped work, unless
  `--student` says so.
- A failure with one file, archive or student becomes a line about that one; the rest goes on.
- Names are compared as a disk does that ignores capitals, widths and trailing dots.
- No version is dated later than the clock of now; where that clock was wrong, the turn decides.
- Archives are read, never unpacked. Paths, links, locks, nested archives, names, 40 folders deep,
  5,000 files, 400 MB and 200:1 are looked at first, and what comes out is held to 20 MB a file.
- Work came when it is taken in, unless `--came` or `--file-time` says otherwise.
"""
