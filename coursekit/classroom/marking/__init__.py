"""Reads an answer, marks it by the key, and keeps the marked work.

Decisions:

- Carry-forward comes before slips, and units before slips. A later answer that follows from an
  earlier mistake often equals a slip of its own, and the student has made one mistake. A right
  value in the wrong unit earns half: the calculation was understood, but the bench would not
  forgive it.
- Answering nothing earns nothing. An earlier answer is carried on only if it is plausible. A number
  that could stand there without a calculation, because it is zero, a given number or a copy, is
  paid by the company it keeps. Such a number may well be honest, for one slip can make all that
  follows it zero; a sheet full of them is not (see `company`). A right number on such an idle
  sheet is luck and earns nothing; anywhere else it earns its marks, and nobody asks how it was
  found. `lesson check` marks idle sheets with the numbers of twenty drawn students. None may earn
  more than 15 % of a lesson's marks on average, nor for any student who worked nothing out; who
  worked one answer out and copied it may be luckier (see `idle`).
- A wrong answer within five tolerances is told that it is near, but not near enough. It earns no
  marks.
- A value is marked, not the way to it. The craft's functions are public, so a notebook that only
  calls `coursekit` earns the full marks of its machine-marked questions, as `course/intro.md` tells
  students. It earns nothing for written questions, which a person reads, and it can't reach keys,
  slips or the secret, which are not in the cage. Own numbers keep one student's call from being
  another's answer.
- Merged cells keep what is theirs: an answer counts wherever its name is given a value before its
  check runs (`bank.notebooks.put_back_in_order`).
- Plain values are kept. `autograded/<student>/<slug>/marks.json` holds what the run brought back.
  Each `mark` marks all of it again from there, which takes milliseconds, and writes only what
  differs; so a mended key, tolerance or domain formula needs no run, and a lost or harmed
  gradebook is made again. The record is written last, after the gradebook's commit: work without
  a record that fits is done again.
"""
