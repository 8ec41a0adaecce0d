"""Reads an answer, marks it by the key, and keeps the marked work.

Decisions:

- Carry-forward comes before slips, and units before slips. A later answer that follows from an
  earlier mistake often equals a slip of its own, and the student has made one mistake. A right
  value in the wrong unit earns half: the calculation was understood, but the bench would not
  forgive it.
- Answering nothing earns nothing. An earlier answer is carried on only if it is plausible. A number
  that could stand there without a calculation, because it is zero, a given number or a copy, earns
  marks only if enough of the sheet around it was worked out (see `company`). One such number may
  well be honest, because one slip can make everything after it zero; a sheet full of them is not. A
  right number on such an idle sheet is luck and earns nothing; on any other sheet it earns its
  marks, however it was found. `lesson check` marks idle sheets with the numbers of twenty drawn
  students. No idle sheet may earn more than 15 % of a lesson's marks, on average or for any one
  student; a student who worked one answer out and copied it may earn somewhat more (see `idle`).
- A wrong answer within five tolerances earns no marks, but its feedback says that it is near.
- The value is marked, not the way to it. The craft's functions are public, so a notebook that only
  calls `coursekit` earns the full marks of its machine-marked questions, as `course/intro.md` tells
  students. It earns nothing for written questions, which a person reads, and it can't reach keys,
  slips or the secret, which are not in the cage. Because of own numbers, one student's call does
  not give another's answer.
- Untouched code to complete is no answer, and a decimal comma is read as such where it can't be
  anything else (`as_meant`). This holds whether a notebook was run or only read.
- Answers in merged cells count: it is enough that the answer's variable gets its value in any cell
  before its check runs (`bank.notebooks.put_back_in_order`).
- What a person marks is read from the marked notebooks and written into nbgrader's own rows, field
  by field as formgrader does (see `by_hand`). Whoever gives a score names what they saw, so a score
  never lands on work that changed meanwhile.
- Plain values are kept. `autograded/<student>/<slug>/marks.json` holds what the run brought back.
  Each `mark` marks all of it again from there, which takes milliseconds, and writes only what
  differs. So a mended key, tolerance or domain formula needs no new run, and a lost or damaged
  gradebook can be made again. The record is written last, after the gradebook's commit, so work
  without a record that fits is done again.
"""
