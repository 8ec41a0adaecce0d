"""Functions that the answers and slips in `frame-strength.md` call. Instructor only."""

from coursekit import beams, tubes
from coursekit.classroom.bank.keys import Key

key = Key("frame-strength")

MODULUS = 205_000.0  # MPa, as the exercise gives it
MM = 1000.0  # N·mm in a N·m
ALIKE = 5.0  # MPa
SIZES = (28.6, 31.8, 34.9)  # mm


@key.makes("head_bending", "shell_bending", "push")
def _(n, chance):
    """What `statics` finds on the student's own frame, under the student's own push."""
    times = n.front_force / 100
    return times * n.head_each, times * n.shell_each, times * n.push_each


@key.sound
def a_place_that_works_hardest(n):
    """The shell isn't it, and the verdict does not depend on a rounding."""
    head, thin, shell = places(n)
    return abs(abs(head - thin) - ALIKE) >= 0.7 and max(head, thin) - shell >= 3


def works_hardest(n):
    """Which of head tube and thin wall has the higher stress, or that they are alike."""
    head, thin, _ = places(n)
    return "alike" if abs(head - thin) < ALIKE else higher(n)


def higher(n):
    """Which of head tube and thin wall has the higher stress, by however little."""
    head, thin, _ = places(n)
    return "head" if head > thin else "thin"


def lower(n):
    """The other one."""
    return "thin" if higher(n) == "head" else "head"


def hair_split(n):
    """The slip of one who calls too close what isn't, or the other way round."""
    return higher(n) if works_hardest(n) == "alike" else "alike"


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
