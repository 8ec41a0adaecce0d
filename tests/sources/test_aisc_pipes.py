"""Standard pipe by the AISC shapes table: S, plastic Z, J, r with the design wall (0.93 nominal).

Source: American Institute of Steel Construction, Shapes Database, HSS round and pipe rows. Inches.
Tolerance: 0.6 %, three printed figures. The areas listed do not follow from the listed design
wall (they are from the nominal one), so A is not checked here.
"""

import pytest

from coursekit.tubes import Round


@pytest.mark.parametrize(
    ("D", "t", "S", "Z", "J", "r"),
    [(1.660, 0.130, 0.222, 0.305, 0.368, 0.543), (1.900, 0.135, 0.309, 0.421, 0.586, 0.626),
     (2.375, 0.143, 0.528, 0.713, 1.25, 0.791), (2.375, 0.204, 0.696, 0.964, 1.65, 0.771)],
)  # fmt: skip
def test_pipe(D, t, S, Z, J, r):
    pipe = Round(D, t)
    assert pipe.modulus == pytest.approx(S, rel=0.006)
    assert pipe.plastic_modulus == pytest.approx(Z, rel=0.006)
    assert pipe.torsion == pytest.approx(J, rel=0.006)
    assert (pipe.inertia / pipe.area) ** 0.5 == pytest.approx(r, abs=0.001)


@pytest.mark.parametrize(
    ("D", "t", "shape"), [(2.375, 0.143, 0.713 / 0.528), (3.5, 0.201, 2.19 / 1.63)]
)
def test_shape_factor(D, t, shape):
    pipe = Round(D, t)
    assert pipe.plastic_modulus / pipe.modulus == pytest.approx(shape, rel=0.005)
