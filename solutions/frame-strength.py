"""Functions that the answers and slips in `frame-strength.md` call. Instructor only."""

from coursekit import beams, skeleton, tubes
from coursekit.classroom.bank.keys import Key
from coursekit.figures import _loaded

key = Key("frame-strength")

MODULUS = 205_000.0  # MPa, as the exercise gives it
MM = 1000.0  # N·mm in a N·m
TAPER, SHELL_BUTT = 40.0, 70.0  # mm
SIZES = (28.6, 31.8, 34.9)  # mm


@key.makes("height", "length", "head_bending", "shell_bending", "push")
def _(n, chance):
    """What `statics` finds on the student's own frame under the student's own push."""
    frame = _loaded.placed(n.fork_length, n.head_tube)
    head = frame.tubes.axes["down_tube"]
    run = float(((head.end - head.start) ** 2).sum() ** 0.5)
    butt = n.thin_from - TAPER
    parts = (SHELL_BUTT, TAPER, run - SHELL_BUTT - 2 * TAPER - butt, TAPER, butt)
    tube = tubes.Butted(n.down_diameter, (n.butt_wall, n.belly_wall, n.butt_wall), parts)
    made = _loaded.under(skeleton.front_hit(-n.front_force), tube, frame, 0.0)
    pull, bending = made.inner("down_tube", [0.0, run])
    rise = made.nodes["head_down_tube"][1] - made.nodes["front_axle"][1]
    return float(rise), run, float(bending[0]), -float(bending[1]), -float(pull[0])


@key.sound
def a_place_that_works_hardest(n):
    """Head and thin wall differ by more than a rounding, and the place counts."""
    head, thin, shell = places(n)
    return abs(head - thin) >= 6 and max(head, thin) - shell >= 6


def butt(n):
    """The down tube where its wall is thick."""
    return tubes.Round(n.down_diameter, n.butt_wall)


def belly(n):
    """The down tube where its wall is thin."""
    return tubes.Round(n.down_diameter, n.belly_wall)


def there(n):
    """Bending where the thin wall begins, N·m."""
    return float(beams.bending_at(n.head_bending, n.shell_bending, n.length, n.thin_from))


def places(n):
    """Stress at the head tube, where it gets thin, and at the shell, MPa."""
    return (
        float(beams.edge_stress(n.push, MM * n.head_bending, butt(n))),
        float(beams.edge_stress(n.push, MM * there(n), belly(n))),
        float(beams.edge_stress(n.push, MM * n.shell_bending, butt(n))),
    )


# Diameter or wall?


def times(n, size):
    """How many times as stiff as 28.6 mm, with the same wall."""
    first = tubes.Round(SIZES[0], n.butt_wall).inertia
    return float(tubes.Round(size, n.butt_wall).inertia / first)


# Practice cards


def practice_own_sag(n):
    """The card's answer, mm."""
    inertia = tubes.Round(n.test_diameter, n.test_wall).inertia
    return float(beams.sag(n.weight, n.free, inertia, MODULUS))
