"""The book: practice cards, slider figures and the build.

Decisions:

- A lesson is checked by machine before a reader judges it. `lesson_rules.findings` says in words
  what is missing; the rules for the page are in `page_rules`, those for exercise and paper in
  `exercise_rules`.
- Which lessons a lesson builds on is said once, as `needs:` in its page's front matter. From this
  `whole` makes the line below the lesson's time and the figure and table of *Lessons and plans*,
  and it refuses a book in which a lesson comes before one that it needs. The index is made from the
  glossary and its links.
- The book on paper is the book's own pages, one after another (`printed`), turned into a PDF by any
  Chromium-like browser on the machine; typst would need a second writer for every directive. The
  students' book leaves out the answers to try-its and leaves room to work instead.
- The instructor's edition is built from a copy with pages added, never by a switch in the
  students' build. Every page carries a banner, and because of a marker file and the names of its
  pages, hand-out refuses it.
- The cells of pages run in forks of one warm process (`cells`), not in a kernel for each page,
  because starting a kernel and its imports took longer than the cells. myst-nb calls one function
  of jupyter-cache for a page's outputs; on Linux it is replaced while the book is built.
- Minutes to read are words / 150, plus half a minute for each figure and one for each slider. The
  time that a page names may differ from that by 3 minutes or a fifth.
- No page loads anything from outside. MathJax comes from the package `sphinx-mathjax-offline`.
"""
