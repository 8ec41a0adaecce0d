"""Break one formula at a time and see whether the tests go red.

    uv run python tests/mutate.py coursekit/tubes.py          every mutant of one module
    uv run python tests/mutate.py coursekit/tubes.py --again  those that lived last time
    uv run python tests/mutate.py --all --every 5             a sample of all modules

A plain script, not collected by pytest. Which tests judge which module stands in
`tests/mutation/table.py`, with the reasons why some mutants may live. Results are kept in
`build/mutation/<module>.json`, and `build/mutation/report.md` sums up all of them.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import io
import os
import sys
import time
from pathlib import Path

os.environ.update(OPENBLAS_NUM_THREADS="1", HYPOTHESIS_PROFILE="mutation")
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.mutation import report, table
from tests.mutation.breaks import Mutant, mutants
from tests.mutation.running import Job, verdicts

WARM = "numpy pytest _pytest.doctest hypothesis scipy.optimize scipy.integrate scipy.special sympy"


def main() -> int:
    """Report on mutants; 0 if at least 90 % of each module's were killed."""
    parser = argparse.ArgumentParser(description="Break a module's formulas one by one.")
    parser.add_argument("modules", nargs="*", type=Path, help="files such as coursekit/tubes.py")
    parser.add_argument("--all", action="store_true", help="every module of the table")
    parser.add_argument("--every", type=int, default=1, help="take only each n-th mutant")
    parser.add_argument("--lines", default="", help="only these lines, such as 40-90")
    parser.add_argument("--again", action="store_true", help="only those that lived last time")
    parser.add_argument("--seconds", type=float, help="of tests that one mutant may meet; "
                        "0.5, or with --again all that the table has")  # fmt: skip
    parser.add_argument("--tests", nargs="*", help="other tests than the table's")
    asked = parser.parse_args()
    for one in WARM.split():
        with contextlib.suppress(ImportError), contextlib.redirect_stderr(io.StringIO()):
            importlib.import_module(one)
    names = list(table.TESTS) if asked.all else [path.stem for path in asked.modules]
    shares = [_module(name, asked) for name in names]
    report.write()
    return 0 if min(shares) >= 0.9 else 1


def _module(name: str, asked: argparse.Namespace) -> float:
    """Run one module's mutants, keep the results, return the share that was killed."""
    path = Path("coursekit") / f"{name}.py"
    job = Job(f"coursekit.{name}", path, asked.tests or table.tests_of(name, asked.again))
    chosen, kept = _chosen(path, asked)
    begun = time.monotonic()
    for said in verdicts(job, chosen, asked.seconds or (float("inf") if asked.again else 0.5)):
        if isinstance(said, str):
            print(f"{name}: {said}", flush=True)
            continue
        mutant, killer = said
        kept[report.mark(mutant)] = killer
        if not killer:
            print(f"  lives  {path}:{mutant.line} {mutant.what}", flush=True)
    share = report.keep(name, kept, whole=asked.every == 1 and not asked.lines)
    print(f"{name}: {share:.1%} killed, {time.monotonic() - begun:.0f} s", flush=True)
    return share


def _chosen(path: Path, asked: argparse.Namespace) -> tuple[list[Mutant], dict[str, str]]:
    """The mutants to run, and earlier results that stay."""
    low, high = (int(n) for n in asked.lines.split("-")) if asked.lines else (0, 10**9)
    every = [m for m in mutants(path.read_text()) if low <= m.line <= high][:: asked.every]
    if not asked.again:
        return every, {}
    before = report.kept(path.stem)
    return (
        [m for m in every if not before.get(report.mark(m))],
        {k: v for m in every if (v := before.get(k := report.mark(m)))},
    )


if __name__ == "__main__":
    sys.exit(main())
