"""The cage that a student's notebook runs in, and what of it this machine can offer.

Threat model. Whoever hands in a notebook may run any code in the cage: assume somebody who wants
other marks, other people's work, the solutions, or harm. What is to be kept safe is the class
folder, the solutions, the instructor's files and network, the marks, and the machine's work for
the rest of the class. In brackets stands the test that shows each line: a file of `tests/` with
its test, or an attack of `tests/hostile` by its name.

What holds a notebook off:

- It reads no file but Python's libraries and this package: a root folder of its own, and Landlock.
  [attacks: walk the disk] [attacks: read the solutions] [attacks: read the secret]
- It writes only to its scratch folder, which has a bound and is new for each notebook.
  [attacks: write into the libraries] [attacks: disk] [attacks: read what the last one left]
- It reaches no address: a network namespace without a way out, the filter of calls, Landlock.
  [attacks: connect by TCP] [hostile/test_hostile.py::test_no_address_was_reached]
- It sees and signals no process outside: a PID namespace, or the filter of calls without one.
  [attacks: signal the runner] [attacks: read the parent's memory]
- It gets no rights: another user who owns nothing, or a user namespace; no capabilities, no new
  privileges. [attacks: become the administrator]
- It takes bounded time, memory, files and processes, and ends with all that it started.
  [attacks: fork bomb] [attacks: memory by many] [hostile/test_hostile.py::test_no_process_is_left]
- Its memory is bounded without a control group too: the address space of each process and the
  memory of all that the watcher sees; the buffers of sockets, which nobody counts, are not to be
  had; those of pipes the kernel bounds itself for each user. [class_attacks: socket pairs in the
  cage] [class_attacks: socket pairs of all children without the filter of calls]
  [class_attacks: pipes as large as they get]
- It learns neither host name, PATH, home nor where the kit lies: another host name, an environment
  made anew, and every path of this machine is cut out of what comes back.
  [class_attacks: a cell asks where it is]
- It forges no mark: keys, own numbers' secret and marks are not in the cage, and what comes back is
  made anew from a few plain kinds. [hostile/test_hostile.py::test_no_mark_is_forged]
- A cage is tried before it is used, and none is used that lets something through; without one
  nothing is run, unless `--no-sandbox` says so in red.
  [hostile/test_weaker.py::test_every_try_is_refused_by_the_weaker_cage]

What does not hold:

- The weaker cage (Landlock and the filter of calls, no namespaces) shows the real host name, keeps
  the user, and counts processes only as that user's. Scratch is measured ten times a second, not
  bounded by the disk. [class_attacks: a cell asks in the weaker cage]
- No control group: memory is looked at ten times a second, so a notebook may take more for a
  moment; the address space is what stops it at once. [attacks: memory]
- macOS and Windows have no cage at all. macOS runs nothing without `--no-sandbox`, Windows nothing
  outside WSL; marking belongs on Linux. [classroom/test_cage_parts.py::
  test_landlock_is_off_where_there_is_no_linux] [hostile/test_weaker.py::
  test_without_a_cage_the_same_tries_get_through]
- Code can hide a path from the cut, letter by letter, and show it on its own student's page. It
  tells that student the instructor's user name and no more, so nothing is done against it.
- A hole in the kernel is a hole in the cage. So is time: how long a call takes tells which
  libraries are there. Keep the system up to date, and mark where nothing else of worth lies.

Decision: our own cage, not a sandbox tool. bubblewrap 0.8 was measured beside it
(`tests/benchmarks/README.md`): it starts as quickly as we fork, but what it starts is a program,
and one that gets Python, numpy and IPython ready takes some 25 times as long as a fork of a process
that has them (398 to 16 ms). Run once around the warm process it would take the place of `view` and
half of `start`, some 350 of a thousand lines; what a notebook needs of its own (PIDs, scratch, the
user, limits, Landlock, the filter of calls, the watch) would stay ours, and be harder, as it would
stand in a namespace that somebody else made. It has no Landlock, no limits and no filter but one
that is handed to it, needs user namespaces or set-uid, and runs on Linux alone, as ours does; where
user namespaces are shut off, ours still has the weaker cage. It would be one more thing to install.
Look again when such a tool can fork from a running process.
"""
