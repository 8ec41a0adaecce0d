"""Running tests against mutants: in forks, the likeliest and quickest killer first.

`patched` collects the tests once and forks for every mutant; the fork breaks the loaded functions
(see `patching`). `whole` imports everything anew from a broken source: for mutants that cannot be
patched in, and to see whether what outlived `patched` does live.
"""

from __future__ import annotations

import contextlib
import gc
import importlib.abc
import importlib.util
import itertools
import json
import os
import resource
import select
import signal
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.mutation.breaks import Mutant
from tests.mutation.patching import normal, patch

OPTIONS = [
    *("-o", "addopts=", "-p", "no:terminal", "-p", "no:cacheprovider", "-p", "no:benchmark"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # plug-ins were imported before the forks
]


class Job(NamedTuple):
    """A module, its file and the tests that are to judge it."""

    name: str
    path: Path
    tests: list[str]


class Order:
    """Which test to run first: the cheapest for the chance that it kills, learnt on the way."""

    def __init__(self, times: dict[str, float], seconds: float = float("inf")) -> None:
        self.most = seconds
        self.seconds = _shared(times)
        self.limit = int(2 * sum(times.values())) + 3  # of the processor's time, for a mutant
        self.kills: dict[str, float] = {}

    def learn(self, killer: str | None) -> None:
        """Remember a kill; old ones fade, as mutants come in the order of the source."""
        if killer not in ("", "?", None):
            self.kills = {k: v * 0.95 for k, v in self.kills.items()}
            self.kills[killer] = self.kills.get(killer, 0.0) + 1

    def first(self, items: list[Any]) -> list[Any]:
        """The tests in order, as many as take no longer together than was allowed."""
        items = sorted(items, key=lambda i: self._key(i.nodeid))
        spent = itertools.accumulate(self.seconds.get(i.nodeid, 0.0) for i in items)
        return [i for i, s in zip(items, spent, strict=True) if s <= self.most]

    def _key(self, test: str) -> float:
        """Cost over chance."""
        return (self.seconds.get(test, 1.0) + 0.002) / (self.kills.get(test, 0.0) + 0.02)


class _Runs:
    """A pytest plugin that runs collected tests in an order until the first is red."""

    def __init__(
        self,
        order: Order,
        each: Callable[[Any], None] | None = None,
        red: Callable[[str], None] = lambda killer: None,
    ) -> None:
        self.order, self.each, self.red, self.killer = order, each, red, ""
        self.times: dict[str, float] = {}

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: Any, call: Any) -> None:
        """Say it at once: to write a failure down takes pytest longer than the test."""
        if call.excinfo and not isinstance(call.excinfo.value, pytest.skip.Exception):
            self.killer = self.killer or item.nodeid
            self.red(self.killer)

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed and not self.killer:
            self.killer = report.nodeid

    def pytest_collectreport(self, report: Any) -> None:
        if report.failed and not self.killer:
            self.killer = report.nodeid or "collection"

    def pytest_runtestloop(self, session: Any) -> bool:
        if self.each is not None:
            self.each(session)
        elif not self.killer:
            self.run(session)
        return True

    def run(self, session: Any) -> None:
        """Run the tests until one is red, or until those run so far take the order's time."""
        items = self.order.first(session.items)
        for item, after in zip(items, [*items[1:], None], strict=True):
            begun = time.process_time()  # of the processor: other work on the machine counts not
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            self.times[item.nodeid] = time.process_time() - begun
            if self.killer:
                self.red(self.killer)
                return


class _Stand(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Finds the mutated module in place of the file."""

    def __init__(self, job: Job, source: str) -> None:
        self.job, self.source = job, source

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> Any:
        if fullname != self.job.name:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=str(self.job.path))

    def exec_module(self, module: Any) -> None:
        module.__file__ = str(self.job.path)
        exec(compile(self.source, str(self.job.path), "exec"), module.__dict__)


def in_fork(work: Callable[[Callable[[Any], None]], None], limit: int) -> Any:
    """What `work` says in a fork (as JSON carries it), None if it dies or takes too long."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        _child(work, write, limit)
    os.close(write)
    said = _said(read, 6 * limit)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(read)
    return json.loads(said) if said else None


def _said(read: int, seconds: float) -> bytes:
    """All that comes through the pipe until it is shut, or nothing when the time is over."""
    end, said = time.monotonic() + seconds, b""
    while select.select([read], [], [], max(end - time.monotonic(), 0))[0]:
        more = os.read(read, 1 << 16)
        if not more:
            return said
        said += more
    return b""


def _child(work: Callable[[Callable[[Any], None]], None], write: int, limit: int) -> None:
    os.setsid()
    resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))
    resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nothing, stream)

    def say(what: Any) -> None:
        _write(write, what)
        os._exit(0)

    with contextlib.suppress(BaseException):
        work(say)
    os._exit(0)


def _pytest(tests: list[str], runs: _Runs) -> int:
    return int(pytest.main([*OPTIONS, *tests], plugins=[runs]))


def _shared(times: dict[str, float]) -> dict[str, float]:
    """A class pays for its fixtures where they are first used; charge every test of it."""
    dear: dict[str, float] = {}
    for test, spent in times.items():
        group = test.rpartition("::")[0]
        dear[group] = max(dear.get(group, 0.0), spent)
    classes = {g for g in dear if "::" in g}
    return {t: dear[g] if (g := t.rpartition("::")[0]) in classes else s for t, s in times.items()}


def _sound(runs: _Runs, session: Any, say: Callable[[Any], None]) -> None:
    """Say how long every test takes while nothing is broken, and which is red."""
    runs.run(session)
    say([runs.killer, runs.times])


def _broken(job: Job, plain: str, mutant: Mutant, runs: _Runs, session: Any, say: Any) -> None:
    if not patch(job.name, plain, mutant.source):
        say("?")
    runs.red = say
    runs.run(session)
    say(runs.killer)


def patched(job: Job, chosen: list[Mutant], seconds: float, tell: Callable[[Any], None]) -> None:
    """Collect the tests, tell [red test, seconds a test], then [number, killer] of each mutant.

    The killer is "" where the mutant lives and "?" where it could not be patched in.
    """
    plain = normal(job.path.read_text())

    def each(session: Any) -> None:
        gc.freeze()  # or the forks would copy every page that the collector walks over
        gc.disable()
        red, times = in_fork(lambda say: _sound(runs, session, say), 900) or ["died", {}]
        tell([runs.killer or red, times])
        order = runs.order = Order(times, seconds)
        for number, mutant in enumerate([] if red or runs.killer else chosen):
            killer = in_fork(
                lambda say, m=mutant: _broken(job, plain, m, runs, session, say), order.limit
            )
            order.learn(killer)
            tell([number, "timeout" if killer is None else killer])

    runs = _Runs(Order({}), each)
    _pytest(job.tests, runs)


def whole(job: Job, mutant: Mutant, order: Order) -> str:
    """The killer of a mutant that is imported from its source; "" where it lives."""

    def work(say: Callable[[Any], None]) -> None:
        for loaded in [m for m in sys.modules if m.split(".")[0] == job.name.split(".")[0]]:
            del sys.modules[loaded]
        sys.meta_path.insert(0, _Stand(job, mutant.source))
        for tests in (job.tests[:1], job.tests[1:]):  # collecting all takes longer than most tests
            runs = _Runs(order, red=say)
            code = _pytest(tests, runs) if tests else 0
            if code or runs.killer:
                say(runs.killer or f"pytest ends with {code}")
        say("")

    killer = in_fork(work, order.limit + 10)
    return "timeout" if killer is None else str(killer)


def verdicts(job: Job, chosen: list[Mutant], seconds: float) -> Iterator[tuple[Mutant, str] | str]:
    """(mutant, killer) of each, "" where it lives; first one text: the red test or the seconds.

    What could not be patched in is imported from its source; so is, if there is no bound on the
    `seconds` that the tests of one mutant may take, what outlived them.
    """
    told = _told_by_fork(job, chosen, seconds)
    red, times = next(told, ["the tests could not be collected", {}])
    if red:
        yield f"red before anything is broken: {red}"
        return
    yield f"{len(chosen)} mutants; the tests take {sum(times.values()):.1f} s"
    order, left = Order(times, seconds), []
    for number, killer in told:
        if killer == "?" or (seconds == float("inf") and not killer):
            left.append(chosen[number])
        else:
            order.learn(killer)
            yield chosen[number], killer
    for mutant in left:
        killer = whole(job, mutant, order)
        order.learn(killer)
        yield mutant, killer


def _told_by_fork(job: Job, chosen: list[Mutant], seconds: float) -> Iterator[Any]:
    """What `patched` tells in a fork of its own, which leaves this process without the tests."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        os.dup2(os.open(os.devnull, os.O_RDWR), 1)
        with contextlib.suppress(BaseException):
            patched(job, chosen, seconds, lambda said: _write(write, said))
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as lines:
        yield from map(json.loads, lines)
    os.waitpid(child, 0)


def _write(pipe: int, said: Any) -> None:
    text = f"{json.dumps(said)}\n".encode()
    while text:
        text = text[os.write(pipe, text) :]
