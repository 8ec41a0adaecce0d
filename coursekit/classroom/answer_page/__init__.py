"""The answer page: a student's own questions in one HTML file, answered on any phone or computer.

Decisions:

- The page is one file without a server, and it loads nothing. Its policy (Content-Security-Policy)
  names its one style and its one script by their hashes, and forbids all else.
- It says what the worksheet says, and is made from the same parts (`handout.worksheets`). It holds
  no answer, tolerance, slip, hint or key, so it can't tell right from wrong.
- What all students of a class share is set once. For each student only their name, numbers, note,
  drawing and stamp are put in, so a class takes hardly longer than one student.
- The page's script reads what it needs from the page's own elements. There is no second copy of the
  questions in it.
- It saves the text of `bank.answer_text`, which a message carries as well as a file does.
- Where scripts don't run, as in the previews of mail programs, the page says so, shows all that
  there is to read, and can still be printed.
- A link to the lesson goes through `read-the-lesson.html`, which lies beside the page in a zip and
  on a stick alike.
"""
