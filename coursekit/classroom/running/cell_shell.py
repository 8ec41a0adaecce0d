"""An IPython shell that runs one cell at a time and returns its outputs in notebook form."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from IPython.core.displayhook import DisplayHook
from IPython.core.displaypub import DisplayPublisher
from IPython.core.interactiveshell import InteractiveShell
from traitlets.config import Config

from coursekit.classroom.running import cell_clock

Output = dict[str, Any]
_FIRST_STEPS, _LAST_STEPS = 4, 4  # kept of a traceback that is too long to be shown whole
LARGEST_OUTPUT = 200_000  # characters kept of what a cell prints
_TOO_MUCH = "\n… The cell printed more; the rest has been left out."


class _Outputs(list[Output]):
    """The outputs of the cell that runs now, in the order in which they were made."""

    room = LARGEST_OUTPUT

    def stream(self, name: str, text: str) -> None:
        """Add `text` to the outputs, up to LARGEST_OUTPUT characters for the cell.

        It is joined to the last output if that is the same stream.
        """
        if self.room <= 0:
            return
        text, self.room = text[: self.room], self.room - len(text)
        if self.room <= 0:
            text += _TOO_MUCH
        last = self[-1] if self else None
        if last and last["output_type"] == "stream" and last["name"] == name:
            last["text"] += text
        else:
            self.append({"output_type": "stream", "name": name, "text": text})


class _Stream:
    """Standard output or error of a cell."""

    encoding = "utf-8"

    def __init__(self, name: str, outputs: _Outputs) -> None:
        self.name, self._outputs = name, outputs

    def write(self, text: str) -> int:
        self._outputs.stream(self.name, str(text))
        return len(text)

    def writelines(self, lines: Any) -> None:
        for line in lines:
            self.write(line)

    def flush(self) -> None:
        """Do nothing, because nothing is buffered."""

    def isatty(self) -> bool:
        return False


class _Publisher(DisplayPublisher):
    """Keeps what `display(…)` shows, including figures."""

    outputs: _Outputs

    def publish(self, data: Any, metadata: Any = None, source: Any = None, **_: Any) -> None:
        self.outputs.append(
            {"output_type": "display_data", "data": dict(data), "metadata": dict(metadata or {})}
        )


class _Hook(DisplayHook):
    """Keeps the value of a cell's last line."""

    outputs: _Outputs

    def write_output_prompt(self) -> None:
        """Print no prompt, because a notebook shows its own."""

    def write_format_data(self, format_dict: Any, md_dict: Any = None) -> None:
        self.outputs.append(
            {
                "output_type": "execute_result",
                "data": dict(format_dict),
                "metadata": dict(md_dict or {}),
                "execution_count": self.prompt_count,
            }
        )

    def finish_displayhook(self) -> None:
        """Print nothing after a value."""


class CellShell(InteractiveShell):
    """The shell that runs cells; call only `run`."""

    display_pub: Any
    displayhook: Any

    def run(self, source: str, seconds: float) -> list[Output]:
        """Return the outputs of `source`, stopped after `seconds` of processor time."""
        outputs = _Outputs()
        self.display_pub.outputs = self.displayhook.outputs = self.outputs = outputs
        keep = sys.stdout, sys.stderr
        sys.stdout, sys.stderr = _Stream("stdout", outputs), _Stream("stderr", outputs)
        cell_clock.start(seconds)
        try:
            self.run_cell(source, store_history=True)  # type: ignore[no-untyped-call]
        except BaseException as error:
            self._keep_error(type(error), error, [])
        finally:
            cell_clock.stop()
            sys.stdout, sys.stderr = keep
        return list(outputs)

    @contextmanager
    def _tee(self, channel: str) -> Iterator[None]:
        """Keep no second copy of what a cell prints; nobody reads it, and it has no limit."""
        yield

    def _get_exc_info(self, exc_tuple: Any = None) -> Any:
        kind, value, steps = super()._get_exc_info(exc_tuple)  # type: ignore[no-untyped-call]
        return kind, value, _shortened(steps)

    def _showtraceback(self, etype: Any, evalue: Any, stb: Any) -> None:
        self._keep_error(etype, evalue, self.InteractiveTB.stb2text(stb).split("\n"))

    def _keep_error(self, etype: Any, evalue: Any, traceback: list[str]) -> None:
        name = getattr(etype, "__name__", str(etype))
        self.outputs.append(
            {
                "output_type": "error",
                "ename": str(name)[:200],
                "evalue": _said(evalue),
                "traceback": [line[:2000] for line in traceback][-60:],
            }
        )


def _shortened(steps: Any) -> Any:
    """Return a traceback without its middle, because a deep recursion takes seconds to print."""
    chain = []
    step = steps
    while step is not None:
        chain.append(step)
        step = step.tb_next
    if len(chain) > _FIRST_STEPS + _LAST_STEPS:
        chain[_FIRST_STEPS - 1].tb_next = chain[-_LAST_STEPS]
    return steps


def _said(error: Any) -> str:
    try:
        return str(error)[:2000]
    except BaseException:
        return "an error that cannot be told"


def make() -> CellShell:
    """Return the shell, which keeps no history file."""
    config = Config()
    config.HistoryManager.enabled = False
    config.InteractiveShell.colors = "nocolor"
    config.InteractiveShell.display_pub_class = _Publisher
    config.InteractiveShell.displayhook_class = _Hook
    return CellShell.instance(config=config, display_pub_class=_Publisher, displayhook_class=_Hook)
