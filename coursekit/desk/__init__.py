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
"""
