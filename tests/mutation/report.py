"""Results of mutation runs: kept in build/mutation, summed up in one page."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from tests.mutation import table
from tests.mutation.breaks import Mutant, mutants

PLACE = Path("build/mutation")


def mark(mutant: Mutant) -> str:
    """A mutant's own mark: it stays while the module's code does."""
    return hashlib.sha256(mutant.source.encode()).hexdigest()[:16]


def keep(name: str, killers: dict[str, str], whole: bool) -> float:
    """Write one module's killers by mark; the share that was killed."""
    PLACE.mkdir(parents=True, exist_ok=True)
    text = json.dumps({"whole": whole, "killers": killers}, indent=1)
    (PLACE / f"{name}.json").write_text(text)
    return sum(map(bool, killers.values())) / max(len(killers), 1)


def kept(name: str) -> dict[str, str]:
    """Killers of the last run by mark; nothing if there was none."""
    path = PLACE / f"{name}.json"
    return json.loads(path.read_text())["killers"] if path.exists() else {}


def write() -> None:
    """`report.md`: a table of the modules, then all that live with the reason or without one."""
    rows, alive, killed, total = [], [], 0, 0
    for name in table.TESTS:
        if not (PLACE / f"{name}.json").exists():
            rows.append(f"| {name} | not run | |")
            continue
        killers = kept(name)
        dead = sum(map(bool, killers.values()))
        living = _living(name, killers)
        killed, total = killed + dead, total + len(killers)
        rows.append(f"| {name} | {dead} of {len(killers)} | {dead / max(len(killers), 1):.1%} |")
        alive += [
            f"- {name}:{m.line} {m.what}: `{line}` {why or '**no reason**'}"
            for m, line, why in living
        ]
    rows.append(f"| all | {killed} of {total} | {killed / max(total, 1):.1%} |")
    text = "\n".join(["| module | killed | share |", "| --- | --- | --- |", *rows, "", *alive, ""])
    PLACE.mkdir(parents=True, exist_ok=True)
    (PLACE / "report.md").write_text(text)


def _living(name: str, killers: dict[str, str]) -> list[tuple[Mutant, str, str]]:
    """(mutant, its line, the reason why it may live)."""
    source = Path(f"coursekit/{name}.py").read_text()
    lines = source.splitlines()
    return [
        (m, text := lines[m.line - 1].strip(), table.reason(name, text, m.what))
        for m in mutants(source)
        if killers.get(mark(m)) == ""
    ]
