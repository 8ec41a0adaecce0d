"""Plain numbers out where plain numbers went in; what is no number is refused in words."""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import scalars


def test_one_number_comes_out_bare_and_more_stay_an_array():
    assert type(scalars.bare(np.float64(1.5))) is float and scalars.bare(np.array(2)) == 2
    assert scalars.bare([1.5]).shape == (1,) and scalars.bare(np.zeros((2, 1))).shape == (2, 1)
    assert scalars.bare(np.array("b")) == "b"


@pytest.mark.parametrize("value", [[[1.0], [1.0, 2.0]], ["1"], None, np.array([True])])
def test_what_is_no_list_of_numbers_is_refused_in_words(value):
    with pytest.raises(
        ValueError, match=r"The readings must be numbers; got .* Give plain numbers"
    ):
        scalars.finite("readings", value)


def test_where_a_number_is_missing_is_told():
    with pytest.raises(ValueError, match=r"must be finite; got inf at place 1. Leave"):
        scalars.finite("readings", (np.inf, 1.0))
    with pytest.raises(ValueError, match=r"must be finite; got nan\. Leave"):
        scalars.finite("reading", np.nan)
    assert scalars.finite("readings", (1, 2)).dtype == float
