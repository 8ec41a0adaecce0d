"""The book: practice cards, slider figures and the build.

Decisions:

- A lesson is checked by machine before a reader judges it. `lesson_rules.findings` says in words
  what is missing; rules of the page are in `page_rules`, of exercise and paper in
  `exercise_rules`.
- What a lesson stands on is said once, as `needs:` in its page's front matter. `whole` makes of
  it the line below the lesson's time, the figure and table of *Lessons and plans*, and refuses an
  order that does not hold. The index is made from the glossary and its links.
- The book on paper is its own pages put one behind the other (`printed`), set to PDF by any
  Chromium-like browser that is there; typst would need a second writer for every directive. In
  the students' book the answers to try-its are left out and room to work is left.
- The instructor's edition is built from a copy with pages added, never by a switch in the
  students' build. Every page carries a banner; a mark file and the pages' names make hand-out
  refuse it.
- Pages' cells run in forks of one warm process (`cells`), not in a kernel each, because start and
  imports took longer than the cells. myst-nb asks one function of jupyter-cache for a page's
  outputs; that one is exchanged while the book builds, on Linux alone.
- Minutes to read are words / 150, half a minute a figure and one a slider; a page may differ from
  that by 3 minutes or a fifth.
- No page loads anything from outside. MathJax comes from the package `sphinx-mathjax-offline`.
"""
