"""Plain numbers out where plain numbers went in."""

from __future__ import annotations

from typing import Any

import numpy as np


def bare(value: Any) -> Any:
    """The value as a plain number or text if it is a single one, else as an array."""
    array = np.asarray(value)
    return array.item() if array.ndim == 0 else array
