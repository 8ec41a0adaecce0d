"""What comes back from students, and whose it is.

Decisions:

- Every file that is given is in the list that comes back, with what became of it: taken (or there
  already, or older), come with a notebook, kept to be looked at, passed over, or left and why.
  Nothing is passed over in silence, not even what systems make for themselves.
- Taking in finds out which exercise a notebook belongs to (by cell ids, stamp, file name) and whose
  it is (by stamp; by id or whole name in the file name, else in the nearest folder, archive or
  mail; last of all by the name in `numbers.json`, and then the command says so). If two of these
  disagree, the file is not taken. Work is always marked by the numbers of the roster's id. Whose
  numbers its answers fit is proposed (`marking.whose`) and never acted on.
- Answers that the answer page saved are a text (`bank.answer_text`), found by what stands in it: in
  a file of any name and alphabet, in a mail's words or attachments, in a page, pasted. The text's
  own stamp tells whose it is. It becomes the release notebook with each answer as a literal in
  quotes and each step of the way as one comment line, so that nothing typed can become code; the
  text lies beside it in the version. Its bench readings go into the record if it counts, and one
  that says what the student's answers said last adds nothing.
- Nothing that was taken in is written over. `taken-in/<student>/<slug>/<time>-<turn>-<digest>/`
  keeps each version, and `submitted/` is a copy of the one that counts (`which_counts`): the newest
  with the strongest evidence that is not worse than what was there. So work in a folder named after
  a student never replaces that student's stamped work, unless `--student` says so; and what is cut
  off, unreadable or blank never replaces what is not, unless `--use` says so. A file that can be
  read replaces one that can't, whatever the evidence.
- Of saved answers the copy with the higher number and the later time counts, in whatever order they
  come. Where number and time disagree, the student used two devices or emptied the browser, and
  the copy that comes later counts.
- A version that is chosen with `--use` counts, with the strength of the instructor's word, until
  work comes in that is newer than all that was there and would replace it; then that counts, and
  the list says that it replaced the chosen one. Choosing again undoes a choice. Readings in an
  answer text are not recorded by choosing it.
- Photos, scans, documents, sheets and recordings are kept in `to-look-at/<student>/<slug>/`, known
  by their names or by the work beside them, at most 100 files and 200 MB for a student and lesson.
  `for_the_eye` lists them, and those that came with the notebook. Nothing opens them.
- A failure with one file, archive or student becomes a line about that one; the rest goes on.
- Names are compared as a disk would that ignores capitals, widths and trailing dots.
- No version is dated later than the present time. If the clock was wrong before, the turn, which
  counts the versions, decides which is newer.
- Archives are read, never unpacked: zip, tar, tar.gz, and mails. One with bad paths or names,
  links, passwords, folders more than 40 deep, more than 5,000 files or 400 MB, or a compression
  above 200:1 is not opened, and no file in it is read beyond 20 MB. Of archives in archives one
  level is opened, and those limits count over all of them; a deeper one is named and left.
- What is dropped at the desk lies in `.made/drops/` under numbers until each piece is settled, so
  that nothing is lost with the browser or the computer; a name is only a name there (`drops`).
- Work counts as handed in when it is taken in, unless `--came` or `--file-time` says otherwise.
"""
