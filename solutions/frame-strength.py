"""Answers and slips of `frame-strength`. Instructor only."""

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


# How the shape resists


@key.answer("inertia")
def _(n):
    return float(tubes.Round(n.test_diameter, n.test_wall).inertia)


@key.slip("inertia")
def as_if_solid(n):
    """You left the bore out: that is a solid bar."""
    return float(tubes.Round(n.test_diameter, n.test_diameter / 2).inertia)


@key.slip("inertia")
def for_twisting(n):
    """You divided by 32. That is for twisting; for bending it is 64."""
    return 2 * float(tubes.Round(n.test_diameter, n.test_wall).inertia)


@key.slip("inertia")
def wall_taken_once(n):
    """You took the wall off once. The bore is two walls less than the outside."""
    return float(tubes.Round(n.test_diameter, n.test_wall / 2).inertia)


# How far the tip sinks


@key.answer("sag", after=("inertia",))
def _(n, earlier):
    return float(beams.sag(n.weight, n.free, earlier["inertia"], MODULUS))


@key.slip("sag")
def held_at_both_ends(n, earlier):
    """That is for a tube on two supports, pushed in its middle. Here one end is free: 3, not 48."""
    return float(beams.sag(n.weight, n.free, earlier["inertia"], MODULUS)) / 16


@key.slip("sag")
def without_the_three(n, earlier):
    """The 3 below the line is missing."""
    return 3 * float(beams.sag(n.weight, n.free, earlier["inertia"], MODULUS))


# Stress at the clamp


@key.answer("root", after=("inertia",))
def _(n, earlier):
    return n.weight * n.free * n.test_diameter / 2 / earlier["inertia"]


@key.slip("root")
def whole_diameter(n, earlier):
    """You took the whole diameter. The edge is half of it from the middle."""
    return n.weight * n.free * n.test_diameter / earlier["inertia"]


@key.slip("root")
def force_over_area(n, earlier):
    """Force over area is for a pull.

    This tube is bent: force times lever, over the section modulus.
    """
    return n.weight / float(tubes.Round(n.test_diameter, n.test_wall).area)


# What the fork hands on


@key.answer("lever")
def _(n):
    return n.front_force * n.height / MM


@key.slip("lever")
def along_the_fork(n):
    """You took the fork's length. The force is level, so its lever is the height."""
    return n.front_force * n.fork_length / MM


@key.slip("lever")
def shared_by_two(n):
    """You shared it between two tubes already. How it is shared is what the whole sum finds out."""
    return n.front_force * n.height / MM / 2


# What a pedal twists


@key.answer("twisting")
def _(n):
    return n.pedal_force * n.out / MM


@key.slip("twisting")
def with_the_crank(n):
    """You took the crank.

    Its length drives the chain; what tips the shell is the distance to the side.
    """
    return n.pedal_force * n.crank / MM


@key.slip("twisting")
def both_feet(n):
    """One foot pushes, once."""
    return 2 * n.pedal_force * n.out / MM


# A mass that falls


@key.answer("energy")
def _(n):
    return float(beams.fall(n.mass, n.drop))


@key.slip("energy")
def kilograms_for_newtons(n):
    """You took the mass for a force. A kilogram weighs 9.81 N."""
    return n.mass * n.drop / MM


@key.slip("energy")
def half_of_it(n):
    """The half belongs to speed squared. Weight times height has none."""
    return float(beams.fall(n.mass, n.drop)) / 2


# Stress at the head tube


@key.answer("at-head")
def _(n):
    return places(n)[0]


@key.slip("at-head", credit=0.5)
def bending_alone(n):
    """You left the push out. It is small beside the bending, but it is there."""
    return float(beams.edge_stress(0.0, MM * n.head_bending, butt(n)))


@key.slip("at-head")
def over_the_diameter(n):
    """Half the diameter goes into the section modulus; you have half of the bending's part."""
    return float(beams.edge_stress(n.push, MM * n.head_bending / 2, butt(n)))


@key.slip("at-head")
def thin_wall_there(n):
    """You took the thin wall. At the head tube it is thick."""
    return float(beams.edge_stress(n.push, MM * n.head_bending, belly(n)))


# Bending where it gets thin


@key.answer("bending-there")
def _(n):
    return there(n)


@key.slip("bending-there")
def both_the_same_way(n):
    """You let it fall from the one to the other.

    At the shell it is bent the other way round: the line crosses nought.
    """
    return float(beams.bending_at(n.head_bending, -n.shell_bending, n.length, n.thin_from))


@key.slip("bending-there")
def to_nothing_at_the_shell(n):
    """You let it fall to nothing at the shell. It goes on beyond nought."""
    return float(beams.bending_at(n.head_bending, 0.0, n.length, n.thin_from))


# Stress where it gets thin


@key.answer("at-thin", after=("bending-there",))
def _(n, earlier):
    return float(beams.edge_stress(n.push, MM * earlier["bending-there"], belly(n)))


@key.slip("at-thin")
def thick_wall_there(n, earlier):
    """You took the thick wall. The question begins where it ends."""
    return float(beams.edge_stress(n.push, MM * earlier["bending-there"], butt(n)))


@key.slip("at-thin", credit=0.5)
def no_push(n, earlier):
    """You left the push out."""
    return float(beams.edge_stress(0.0, MM * earlier["bending-there"], belly(n)))


# Which place works hardest?


@key.answer("hardest")
def _(n):
    head, thin, _ = places(n)
    return "head" if head > thin else "thin"


@key.slip("hardest")
def by_bending_or_by_wall(n):
    """Neither the most bending nor the thinnest wall decides alone.

    Put both into the stress and compare.
    """
    head, thin, _ = places(n)
    return "thin" if head > thin else "head"


@key.slip("hardest")
def the_shell(n):
    """At the shell the wall is thick and the bending less than half.

    It has the easiest life of the three.
    """
    return "shell"


# Diameter or wall?


def times(n, size):
    """How many times as stiff as 28.6 mm, with the same wall."""
    first = tubes.Round(SIZES[0], n.butt_wall).inertia
    return float(tubes.Round(size, n.butt_wall).inertia / first)


@key.answer("stiffer")
def _(n):
    return tuple(times(n, size) for size in SIZES)


@key.slip("stiffer")
def by_diameter(n):
    """You compared the diameters. That is how much heavier it gets, nearly."""
    return tuple(size / SIZES[0] for size in SIZES)


@key.slip("stiffer")
def by_fourth_power(n):
    """You compared solid bars. The bore has to come off."""
    return tuple((size / SIZES[0]) ** 4 for size in SIZES)


@key.slip("stiffer", credit=0.5)
def by_cube(n):
    """The cube is the rule of thumb for thin walls. Here the sum itself was asked."""
    return tuple((size / SIZES[0]) ** 3 for size in SIZES)


# What does it say?


@key.answer("says")
def _(n):
    return "once"


@key.slip("says")
def as_a_certificate(n):
    """It knows one push on one model.

    Heat, notches, the next load and the hundred-thousandth push are not in it.
    """
    return "holds"


@key.slip("says")
def for_ever(n):
    """Steel breaks by repeated stress far below yield, above all at a joint.

    The sum counts to one.
    """
    return "often"


# Practice cards


@key.answer("practice-inertia")
def _(n):
    return float(tubes.Round(n.test_diameter, n.test_wall).inertia)


@key.slip("practice-inertia")
def practice_solid(n):
    """Take the bore off."""
    return float(tubes.Round(n.test_diameter, n.test_diameter / 2).inertia)


@key.slip("practice-inertia")
def practice_twice(n):
    """64 below the line, not 32."""
    return 2 * float(tubes.Round(n.test_diameter, n.test_wall).inertia)


def practice_own_sag(n):
    """The card's answer, mm."""
    inertia = tubes.Round(n.test_diameter, n.test_wall).inertia
    return float(beams.sag(n.weight, n.free, inertia, MODULUS))


@key.answer("practice-sag")
def _(n):
    return practice_own_sag(n)


@key.slip("practice-sag")
def practice_both_ends(n):
    """One end is free: 3, not 48."""
    return practice_own_sag(n) / 16


@key.slip("practice-sag")
def practice_no_three(n):
    """Divide by 3 as well."""
    return 3 * practice_own_sag(n)


@key.answer("practice-lever")
def _(n):
    return n.front_force * n.height / MM


@key.slip("practice-lever")
def practice_halved(n):
    """The whole of it arrives there; who bears how much is the next question."""
    return n.front_force * n.height / MM / 2


@key.slip("practice-lever")
def practice_twofold(n):
    """Once."""
    return n.front_force * n.height / MM * 2


@key.answer("practice-between")
def _(n):
    return there(n)


@key.slip("practice-between")
def practice_same_way(n):
    """At the shell it is the other way round."""
    return float(beams.bending_at(n.head_bending, -n.shell_bending, n.length, n.thin_from))


@key.slip("practice-between")
def practice_to_nought(n):
    """The line goes on beyond nought."""
    return float(beams.bending_at(n.head_bending, 0.0, n.length, n.thin_from))


@key.answer("practice-stress")
def _(n):
    return places(n)[0]


@key.slip("practice-stress")
def practice_no_push(n):
    """And the push over the area."""
    return float(beams.edge_stress(0.0, MM * n.head_bending, butt(n)))


@key.slip("practice-stress")
def practice_half(n):
    """The modulus has half the diameter in it."""
    return float(beams.edge_stress(n.push, MM * n.head_bending / 2, butt(n)))


@key.answer("practice-energy")
def _(n):
    return float(beams.fall(n.mass, n.drop))


@key.slip("practice-energy")
def practice_no_gravity(n):
    """Kilograms aren't newtons: times 9.81."""
    return n.mass * n.drop / MM


@key.slip("practice-energy")
def practice_halved_work(n):
    """Weight times height, and no half."""
    return float(beams.fall(n.mass, n.drop)) / 2


@key.answer("practice-says")
def _(n):
    return "cooler"


@key.slip("practice-says")
def practice_safe(n):
    """Safety isn't in the sum: not the joint, not the heat, not the next load."""
    return "twice"


@key.slip("practice-says")
def practice_life(n):
    """Life under repeated stress isn't in proportion, and the sum doesn't count pushes."""
    return "longer"
