"""Whatever numbers a frame file holds: a frame whose paper is sound, or one message. Never a broken page."""

from __future__ import annotations

from math import isfinite
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from coursekit.sheets import (
    alignment_card,
    cut_list,
    dossier,
    fixture_card,
    flat,
    frame_file,
    fullsize,
    page,
    tack_card,
    templates,
    tiles,
)
from coursekit.sheets.build import Build
from tests.sheets import builds

wild = st.one_of(
    st.floats(-50, 3000),
    st.sampled_from(
        [0.0, -1.0, 1e-9, 1e9, float("nan"), float("inf"), "28.6", "1 1/8 in", "x", True, [], None]
    ),
)
near = st.floats(0.55, 1.6)


def places() -> list[tuple[str, ...]]:
    """Where the example has a number, as keys one below the other."""
    found: list[tuple[str, ...]] = []

    def walk(table: dict[str, Any], way: tuple[str, ...]) -> None:
        for key, value in table.items():
            if isinstance(value, dict):
                walk(value, (*way, key))
            elif isinstance(value, int | float):
                found.append((*way, key))

    walk(builds.tables(), ())
    return found


def changed(way: tuple[str, ...], change: Any) -> dict[str, Any]:
    data = builds.tables()
    table = data
    for key in way[:-1]:
        table = table[key]
    table[way[-1]] = change(table[way[-1]])
    return data


def all_finite(thing: Any) -> bool:
    if isinstance(thing, dict):
        return all(all_finite(v) for v in thing.values())
    if isinstance(thing, list | tuple):
        return all(all_finite(v) for v in thing)
    return not isinstance(thing, float) or isfinite(thing)


def paper_of(data: dict[str, Any]) -> Build | None:
    """Everything but the page setter: the frame, or nothing where it is refused in words."""
    try:
        own = frame_file.build(data)
        made: list[Any] = [
            *(p for name in templates.mitered(own) for p in templates.parts(own, name, "a1")),
            cut_list.part(own),
            fixture_card.part(own),
            tack_card.part(own),
            alignment_card.part(own),
            dossier.cover(own),
            flat.laid(fullsize.scene(own), (0.0, 0.0)),
        ]
    except ValueError as refused:
        said = str(refused)
        assert len(said) < 400, said
        assert "got " in said, said
        assert said.rstrip().endswith((".", "`")), said
        return None
    assert all_finite(made)
    for part in made:
        for strip in part.get("strips", ()) if isinstance(part, dict) else ():
            for mouth in strip["mouths"]:
                ys = [y for _, y in (*mouth["outside"], *mouth["bore"])]
                assert -1e-6 <= min(ys) <= max(ys) <= strip["height"] + 1e-6
    return own


@given(st.sampled_from(places()), wild)
@example(way=("tubes", "down_tube", "diameter"), value=1194.0)  # its axis can't reach the head tube
@example(way=("drawing", "seat_tube"), value=2e-256)
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
def test_one_wild_number(way: tuple[str, ...], value: Any) -> None:
    paper_of(changed(way, lambda _: value))


@given(st.lists(st.tuples(st.sampled_from(places()), near), min_size=1, max_size=6))
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
def test_several_numbers_out_of_shape(changes: list[tuple[tuple[str, ...], float]]) -> None:
    data = builds.tables()
    for way, factor in changes:
        table = data
        for key in way[:-1]:
            table = table[key]
        table[way[-1]] *= factor
    paper_of(data)


@given(st.sampled_from(places()), st.floats(0.93, 1.07))
@settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow])
def test_a_frame_that_is_not_refused_is_set_on_pages(way: tuple[str, ...], factor: float) -> None:
    own = paper_of(changed(way, lambda value: value * factor))
    if own is None:
        return
    try:
        for size in page.SIZES:
            assert templates.pdf(own, size).startswith(b"%PDF")
        assert tiles.pdf(own).startswith(b"%PDF")
    except ValueError as refused:
        assert str(refused).startswith("A wrap template must fit the paper")
