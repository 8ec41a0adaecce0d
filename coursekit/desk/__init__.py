"""The desk: the instructor's week on local pages, thin over the same functions as the commands.

`server` answers one browser on this computer; `pages` has a module for each page, with the facts
that it shows as plain dataclasses, made by functions that need no server. Whatever takes longer
than a moment is a job: a function in `tasks`, which `worker` runs in a process of its own, one
after the other, so that the pages stay quick and a job can be stopped by ending that process. The
functions that jobs call can be killed at any moment without a loss, so stopping loses nothing.

It stands on the bench form (`classroom.form`): the same door, tokens, and checks of where a post
comes from, and the form's pages are among its own. Phones see the form's pages alone. On this
computer a window is let in by a key, which the command hands to the browser, because other users
of the computer can reach its ports as well.

It knows no rule that the package does not: a page that needs one asks `classroom` for it, as the
command does.

Threat model of the desk, beside that of a class (`classroom`). Whoever has the key may do
everything, because it opens the desk of the user who started it.

What holds others off:

- Another user of this computer can reach the port, and gets in on no address without the key.
  [desk/test_every_route.py::test_nobody_without_the_key_sees_or_does_anything]
- The key, and what signs the cookies, lie in a file that its user alone can read, and the key stays
  in no address. [desk/test_door.py::test_what_the_desk_keeps_is_its_user_s_alone]
  [desk/test_door.py::test_the_key_lets_a_window_in_and_does_not_stay_in_the_address]
- A phone that is let in reaches the form's own pages, and no page of the desk.
  [desk/test_every_route.py::test_a_phone_reaches_no_page_but_the_form_s]
  [desk/test_at_the_bench.py::test_phones_come_in_when_the_instructor_says_so_and_see_the_form_alone]
- Another site in the same browser can post nothing, and to look changes nothing.
  [desk/test_every_route.py::test_a_post_from_elsewhere_does_nothing]
  [desk/test_every_route.py::test_to_look_changes_nothing_and_shows_names_as_text]
- A name that a student chose is text on every page, and a page runs its own scripts alone.
  [desk/test_every_route.py::test_to_look_changes_nothing_and_shows_names_as_text]
  [desk/test_door.py::test_no_page_may_load_anything_from_outside]
- The name of a dropped file is a name and leads nowhere, however it is written.
  [desk/test_drop.py::test_a_name_is_only_a_name]
- A dropped file is limited before it is read, and every other post is as small as before.
  [desk/test_drop.py::test_a_body_that_says_too_much_or_ends_too_soon]
  [desk/test_drop.py::test_other_posts_are_as_small_as_they_were]
- What a student handed in is shown only if it is a picture by its first bytes, and nothing in it
  can act. [desk/test_photos.py::test_only_pictures_open_and_nothing_in_them_can_act]
- Nothing of the class or the disk is sent but what was made to be looked at.
  [desk/test_made.py::test_nothing_else_of_the_class_or_the_disk_is_sent]
- A job that is killed, with the desk or without, loses nothing.
  [desk/test_killed_jobs.py::test_killed_at_some_moment_it_ends_the_same_when_it_is_ordered_again]
  [desk/test_drop.py::test_a_stop_in_the_middle_loses_nothing_and_doubles_nothing]

What does not:

- Whoever sits at the computer while a window is open is the instructor.
- A program that runs with the instructor's rights can read the key.
"""
