"""Which values leave a student's process, as what, and that none is asked who has code of its own."""

from __future__ import annotations

import numpy as np
import pytest
import sympy

from coursekit.classroom.running.plain_value import plain


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (np.float64(1.5), {"is": "float", "value": "1.5"}),
        (np.float32(0.5), {"is": "float", "value": "0.5"}),
        (np.longdouble(0.25), {"is": "float", "value": "0.25"}),
        (np.int8(-3), {"is": "int", "value": "-3"}),
        (np.uint64(2**63), {"is": "int", "value": str(2**63)}),
        (np.bool_(True), {"is": "bool", "value": True}),
        (np.str_("a"), {"is": "text", "value": "a"}),
        (np.complex128(1j), {"is": "complex"}),
        (np.array(2.0), {"is": "float", "value": "2.0"}),
        (np.array([1, 2]), {"is": "list", "value": [{"is": "int", "value": "1"}, {"is": "int", "value": "2"}]}),
        (np.zeros(1000), {"is": "other", "value": "list of 1000"}),
        (sympy.Rational(1, 4), {"is": "float", "value": "0.25"}),
        (sympy.Integer(7), {"is": "float", "value": "7.0"}),
        (sympy.sqrt(-1), {"is": "complex"}),
        (sympy.Symbol("x"), {"is": "other", "value": "formula with letters in it"}),
        (np.datetime64("2026-01-01"), {"is": "other", "value": "datetime64"}),
    ],
    ids=lambda v: type(v).__name__,
)  # fmt: skip
def test_library_values_are_what_they_stand_for(value, told):
    assert plain(value) == told


class AskedError(BaseException):
    """Raised where a student's own code was run."""


def refuse(*_):
    raise AskedError


def traps(base, **more):
    """Return a class on `base` of which every method that tells a value raises."""
    names = "__float__ __int__ __str__ __repr__ __eq__ __len__ __iter__ __getattr__ __index__ item tolist evalf"
    body = {n: refuse for n in names.split() if hasattr(base, n) or base is object}
    body |= {"__hash__": base.__hash__, "__new__": base.__new__} | more
    return type("Trap", (base,), body)


@pytest.mark.parametrize("base", [object, int, float, str, list, tuple, complex, np.float64])
def test_a_class_of_the_students_own_is_never_asked(base):
    trap = traps(base)
    assert plain(trap()) == {"is": "other", "value": "Trap"}


def test_a_class_that_claims_to_be_numpys_is_not_asked():
    trap = traps(np.float64, __module__="numpy", __qualname__="float64")
    assert plain(trap(1.0))["is"] == "other"


def test_a_class_that_claims_to_be_sympys_is_not_asked():
    trap = traps(sympy.Basic, __module__="sympy.core.numbers")
    assert plain(sympy.Basic.__new__(trap))["is"] == "other"


def test_a_metaclass_is_not_asked_for_the_name():
    class Meta(type):
        __name__ = property(refuse)
        __module__ = property(refuse)

    class Plain(metaclass=Meta):
        pass

    assert plain(Plain())["is"] == "other"


def test_an_array_of_traps_is_not_asked():
    array = np.empty(1, dtype=object)
    array[0] = traps(object)()
    assert plain(array) == {"is": "list", "value": [{"is": "other", "value": "Trap"}]}
