"""Reads one table of a frame file by a list of its keys: numbers, words and lists."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from coursekit.sheets.frame_values import FrameFileError, known, value_of, values_of


@dataclass(frozen=True)
class Keys:
    """The keys of a table: those that must be there, those that may, and what they hold.

    `words` maps a key to the words that it may have, `lists` a key to how many numbers it has (None
    for any). All others hold a number.
    """

    must: tuple[str, ...]
    may: tuple[str, ...] = ()
    words: tuple[tuple[str, tuple[str, ...]], ...] = ()
    lists: tuple[tuple[str, int | None], ...] = ()

    def read(self, where: str, table: Any) -> dict[str, Any]:
        """The values of a table.

        Raises
        ------
        FrameFileError
            With the table and the key.
        """
        known(where, table, self.must + self.may)
        for name in self.must:
            if name not in table:
                raise FrameFileError(f"{where}: it must have {name}; got none. Add the line.")
        return {name: self._value(where, name, value) for name, value in table.items()}

    def _value(self, where: str, name: str, value: Any) -> Any:
        words, lists = dict(self.words), dict(self.lists)
        if name in words:
            if value not in words[name]:
                said = ", ".join(f'"{w}"' for w in words[name])
                raise FrameFileError(
                    f"{where}: {name} must be one of {said}; got {value!r}. Name one of them."
                )
            return value
        if name in lists:
            return values_of(where, name, value, lists[name])
        return value_of(where, name, value)


def each(where: str, name: str, value: Any, keys: Keys) -> list[dict[str, Any]]:
    """The values of a list of tables, such as bends."""
    if not isinstance(value, list):
        raise FrameFileError(
            f"{where}: {name} must be a list of tables; got {value!r}. Write it like "
            f"`{name} = [{{ {keys.must[0]} = 120 }}]`."
        )
    return [keys.read(f"{where}, {name} {k}", one) for k, one in enumerate(value, start=1)]
