"""The cage that a student's notebook runs in, and how much of it this machine can offer.

Threat model. Whoever hands in a notebook may run any code in the cage, so assume somebody who wants
other marks, other people's work, the solutions, or harm. What must be kept safe is the class
folder, the solutions, the instructor's files and network, the marks, and the machine's work for
the rest of the class. The test that shows each line stands in brackets: a file of `tests/` with
its test, or an attack of `tests/hostile` by its name.

What holds a notebook off:

- It can read no file but Python's libraries and this package, because it has a root folder of its
  own, and Landlock. [attacks: walk the disk] [attacks: read the solutions]
  [attacks: read the secret]
- It can write only to its scratch folder, which is limited in size and new for each notebook.
  [attacks: write into the libraries] [attacks: disk] [attacks: read what the last one left]
- It can reach no address: its network namespace has no way out, and the filter of calls and
  Landlock refuse connections. [attacks: connect by TCP]
  [hostile/test_hostile.py::test_no_address_was_reached]
- It can neither see nor signal a process outside, because it has a PID namespace of its own or,
  without one, because the filter of calls refuses. [attacks: signal the runner]
  [attacks: read the parent's memory]
- It gets no rights: it runs as another user who owns nothing, or in a user namespace, without
  capabilities and without a way to new privileges. [attacks: become the administrator]
- Its time, memory, files and processes are limited, and everything that it started ends with it.
  [attacks: fork bomb] [attacks: memory by many] [hostile/test_hostile.py::test_no_process_is_left]
- Its memory is limited without a control group too: each process by its address space, and all of
  them together by the watcher. Socket buffers, which no limit counts, cannot be had in the cage;
  the kernel itself limits those of pipes for each user. [class_attacks: socket pairs in the cage]
  [class_attacks: socket pairs of all children without the filter of calls]
  [class_attacks: pipes as large as they get]
- It does not learn the host name, PATH, the home folder or where the kit lies: it is given another
  host name and a fresh environment, and every path of this machine is cut out of what comes back.
  [class_attacks: a cell asks where it is]
- It cannot forge a mark: keys, the secret of own numbers and marks are not in the cage, and what
  comes back is rebuilt from a few plain kinds. [hostile/test_hostile.py::test_no_mark_is_forged]
- A cage is tried before it is used, and one that lets something through is not used. Without a cage
  nothing is run, unless `--no-sandbox` is given, which is announced in red.
  [hostile/test_weaker.py::test_every_try_is_refused_by_the_weaker_cage]

What does not hold:

- The weaker cage (Landlock and the filter of calls, no namespaces) shows the real host name, keeps
  the user, and has no count of its own processes: the kernel counts only all of that user's. Its
  scratch folder is measured ten times a second instead of being limited by the disk.
  [class_attacks: a cell asks in the weaker cage]
- Without a control group memory is measured ten times a second, so a notebook may take more for a
  moment; only the limit of its address space stops it at once. [attacks: memory]
- macOS and Windows have no cage at all. macOS runs nothing without `--no-sandbox`, Windows nothing
  outside WSL; marking belongs on Linux. [classroom/test_cage_parts.py::
  test_landlock_is_off_where_there_is_no_linux] [hostile/test_weaker.py::
  test_without_a_cage_the_same_tries_get_through]
- Code can hide a path from being cut out, by spelling it letter by letter, and show it on its own
  student's page. That tells the student the instructor's user name and no more, so nothing is done
  against it.
- A hole in the kernel is a hole in the cage. Time tells something too: how long a call takes shows
  which libraries are there. Keep the system up to date, and mark on a machine that holds nothing
  else of value.

Decision: our own cage, not a sandbox tool. bubblewrap 0.8 was measured beside it
(`tests/benchmarks/README.md`). It starts as quickly as we fork, but what it starts is a program,
and a program that gets Python, numpy and IPython ready takes some 25 times as long as a fork of a
process that has them (398 against 16 ms). Wrapped once around the warm process it would replace
`view` and half of `start`, some 350 of a thousand lines. What each notebook needs of its own (PIDs,
scratch, the user, limits, Landlock, the filter of calls, the watch) would stay ours, and would be
harder to do in a namespace that somebody else made. bubblewrap has no Landlock, no limits, and no
filter except one that is handed to it; it needs user namespaces or set-uid. Like ours it runs on
Linux alone, but where user namespaces are shut off, ours still has the weaker cage. It would also
be one more thing to install. Look again when such a tool can fork from a running process.
"""
