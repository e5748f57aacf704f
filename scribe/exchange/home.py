"""Where each bar's first octave is best measured from: the `home` lines that save the most octave marks."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.exchange.model import Bar
from scribe.music.pitch import Pitch, at_staff

LINE = 9  # keys of a line `home A1`
LOWEST, HIGHEST = 0, 49  # staff places that may be home: C0 to C7


def first_place(bar: Bar) -> int | None:
    """The staff place of the first note whose octave is measured from home, None if there is none."""
    for event in bar.events:
        if event.heads and event.heads[0].kind == "note" and not event.held:
            return event.heads[0].pitch.staff
    return None


def marks_cost(place: int, home: int) -> int:
    """Keys of the octave marks between home and a first note: `^` takes two, `v` one."""
    leap = place - home
    if abs(leap) <= 3:
        return 0
    return 2 * -(-leap // 7) if leap > 0 else -(leap // 7)


def choose_homes(rows: Sequence[Sequence[Bar]], usual: Pitch) -> list[Pitch | None]:
    """Return for each row of bars the home to set before it, None where the one in force stays.

    The cheapest choice of all, a line of its own for each change counted.
    """
    places = [[p for bar in row if (p := first_place(bar)) is not None] for row in rows]
    homes = range(LOWEST, HIGHEST + 1)
    cost = {home: 0 if home == usual.staff else LINE for home in homes}
    came: list[dict[int, int]] = []
    for row in places:
        cheapest = min(homes, key=lambda home: (cost[home], abs(home - usual.staff)))
        step: dict[int, int] = {}
        new: dict[int, int] = {}
        for home in homes:
            stay, move = cost[home], cost[cheapest] + LINE
            step[home] = home if stay <= move else cheapest
            new[home] = min(stay, move) + sum(marks_cost(place, home) for place in row)
        came.append(step)
        cost = new
    home = min(homes, key=lambda h: (cost[h], abs(h - usual.staff)))
    chosen: list[int] = []
    for step in reversed(came):
        chosen.insert(0, home)
        home = step[home]
    out: list[Pitch | None] = []
    before = usual.staff
    for home in chosen:
        out.append(at_staff(home) if home != before else None)
        before = home
    return out
