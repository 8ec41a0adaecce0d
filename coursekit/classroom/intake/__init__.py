"""What comes back from students, and whose it is.

Decisions:

- Taking in finds out which exercise a notebook belongs to (by cell ids, stamp, file name) and whose
  it is (by stamp; by id or whole name in the file name, else in the nearest folder or archive; last
  of all by the name in `numbers.json`, and then the command says so). If two of these disagree,
  the file is not taken. Work is always marked by the numbers of the roster's id.
- Nothing that was taken in is written over. `taken-in/<student>/<slug>/<time>-<turn>-<digest>/`
  keeps each version, and `submitted/` is a copy of the newest among those with the strongest
  evidence. So work in a folder named after a student never replaces that student's stamped work,
  unless `--student` says so.
- A failure with one file, archive or student becomes a line about that one; the rest goes on.
- Names are compared as a disk would that ignores capitals, widths and trailing dots.
- No version is dated later than the present time. If the clock was wrong before, the turn, which
  counts the versions, decides which is newer.
- Archives are read, never unpacked. One with bad paths or names, links, passwords, archives inside,
  folders more than 40 deep, more than 5,000 files or 400 MB, or a compression above 200:1 is not
  opened, and no file in it is read beyond 20 MB.
- Work counts as handed in when it is taken in, unless `--came` or `--file-time` says otherwise.
"""
