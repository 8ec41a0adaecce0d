"""The class, in packages that we call rooms, in the order in which an answer travels through them.

From the ground up they are `bank` (an exercise and own numbers), `register` (the class folder),
`running` (notebooks run in a cage), `gradebook`, `bench` (readings), `handout`, `answer_page`,
`intake`, `marking`, `paper`, `report`, `form`, `nbgrader_plugins`, `students`, `demo`. A room
imports only rooms that stand before it in this list; the import contract in `pyproject.toml` checks
that.

Threat model of a class. The test that shows each line stands in brackets: a file of `tests/` with
its test, or an attack of `tests/hostile` by its name. The threat model of `running.cage` says what
code in a notebook may do.

Who may do what:

- The instructor may do everything, and whoever has the class folder is the instructor. It is open
  to its owner alone, and so are its secret and a packed class. [class_attacks: the class folder lay
  open to all] [class_attacks: a new class folder]
- A student may hand in any file under any name, and type anything into the form. Students get their
  own copy, sheet and page, and nothing of others or of the solutions.
  [classroom/test_nothing_leaks.py::test_a_bundle_names_no_other_student_and_holds_no_secret]
- Whoever is in the same Wi-Fi may open connections to the form while phones are let in. A phone
  gets in with a student's own code, which is printed on that student's worksheets. From then on it
  sees and types into that student's handed-out lessons, and nothing else.
  [classroom/test_bench_form.py::test_a_phone_needs_a_student_s_own_code_and_is_that_student_s]
  [classroom/test_bench_form.py::test_a_phone_gets_403_for_what_is_another_s_on_every_route_and_records_nothing]
- Whoever sits at the instructor's computer is the instructor for the form, and needs no code.
  [classroom/test_bench_form.py::test_this_computer_is_the_one_that_asks_from_here_under_its_own_name]
- Whoever has the link to a student's page on a web space may open it.

What holds them off:

- Own numbers can't be guessed, because they are drawn from a secret of 32 bytes. It is written
  whole or not at all, and every command refuses one that is damaged or another class's.
  [class_attacks: it is empty] [class_attacks: class open is killed while it writes]
  [class_attacks: class open on a full disk] [class_attacks: it is another class s]
- Hostile files trouble only the student who handed them in; the rest of the class goes on.
  [intake_attacks: a zip: deflate is damaged] [intake_attacks: the marked notebook is damaged]
- What is typed into an answer page can't become code, because it goes into the notebook as texts
  in quotes and comment lines.
  [classroom/test_answers_taken_in.py::test_nothing_that_was_typed_becomes_code]
- Answers that are marked without a cage are parsed and never evaluated: only constants, their signs
  and lists of them are read, exactly as a run would read them. Anything else needs the cage.
  [hostile/test_literals.py::test_what_needs_running_is_not_read]
  [classroom/test_read_off.py::test_a_changed_notebook_is_read_as_it_runs_or_is_run]
- Nobody's work replaces another's, because a stamp that only this class can make outranks names.
  [intake_attacks: an unstamped file named after another]
- Files whose names some disks take for the same can't overwrite one another.
  [intake_attacks: ids that differ in capitals] [class_attacks: ids that another disk mixes up]
- Control characters that a terminal would obey are not printed.
  [intake_attacks: an error that names a path]
- An answer page loads nothing, runs its own script alone, and holds no answer.
  [classroom/test_answer_page.py::test_a_page_may_load_nothing_and_run_only_its_own]
  [classroom/test_nothing_leaks.py::test_an_answer_page_holds_no_right_value]
- A page shows nothing of this machine and loads nothing; nor does an export.
  [classroom/test_feedback_pages.py::test_nothing_on_a_page_is_fetched_from_outside]
  [class_attacks: an export names where the work lay]
- The form takes posts only from its own pages, shuts out whoever guesses codes, from one address or
  from many, and limits the open connections from one address and in all. A guess does not even tell
  who is in the class.
  [classroom/test_bench_form.py::test_a_post_from_elsewhere_records_nothing]
  [classroom/test_bench_form.py::test_a_thousand_wrong_codes_open_nothing_and_the_door_shuts]
  [classroom/test_bench_gate.py::test_guessing_all_evening_from_everywhere_tries_few_codes]
  [classroom/test_bench_form.py::test_a_guess_says_nothing_about_who_is_there]
  [class_attacks: a thousand half open from one address]
- Pages for a web space lie under names of 160 bits that come from the class secret, and nothing
  there lists them. [classroom/test_site.py::test_nothing_lists_the_pages_and_no_name_says_whose]
- An erased student comes back by no undo, because erasing removes all that was kept for one.
  [classroom/test_undo.py::test_nothing_of_an_erased_student_survives_and_no_undo_brings_it_back]
- A score that a person gives lands on no work but the one that was read.
  [classroom/test_by_hand.py::test_an_answer_that_changed_since_it_was_shown_is_refused]
- A student's e-mail address stands in the roster alone, and no name can add a line to a mail draft.
  [classroom/test_privacy.py::test_an_address_stands_in_the_roster_alone_and_in_nobodys_material]
  [classroom/test_mail_drafts.py::test_a_name_can_be_anything_and_adds_no_header]
- A killed command, a full disk or one that can only be read loses nothing, and a command that can't
  go on says why in a sentence.
  [class_attacks: it is full] [class_attacks: it may only be read]
  [classroom/test_killed.py::test_killed_at_random_moments_the_next_run_ends_the_same]
- What went wrong all the same is found by `class check`, which says what to do. Every command that
  writes first looks at the secret, the rights, the room on the disk and the clock.
  [class_attacks: the gradebook is cut in half] [class_attacks: it is two days behind]

What does not:

- The form speaks plain HTTP. Whoever is in the same Wi-Fi can read along, a student's code among
  the rest, and somebody with a hundred addresses can keep others out for some seconds.
  [class_attacks: a thousand half open from a hundred]
- A student's code lasts as long as the class. Whoever has seen it, on a friend's sheet or in the
  air, can read and type for that friend wherever the form is open to phones. Nothing typed is ever
  lost by it: each value keeps its time and that it came from a phone, and so does the one before.
- Whoever forwards the form's port from this computer makes outsiders look like the instructor.
- The owner of a web space can read the pages on it, and what a search engine or a friend has copied
  stays there after the page is taken off.
- A newcomer who gets an erased student's id gets that student's numbers, code and links as well.
  Give a newcomer an id that nobody had.
- A stamp says for whom a copy was made, not who filled it in, so a friend can do it. Only written
  questions, bench readings and the instructor's eye help against that.
- Whoever can read the class folder, a backup of it or a packed class has everything in it; nothing
  is encrypted. A disk without rights (a stick, a network drive) opens it to all.
- On Windows nothing here sets access rights; they are those of the folder that the class lies in.
- A wrong clock is reported, not mended, and a clock that is ahead looks right until it is set.
  [class_attacks: it was ahead and is right again]
"""
