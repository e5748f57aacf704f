"""The cheapest fingering: exact, obedient to the draft, alike where the music is."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from random import Random

import pytest

from scribe import compile
from scribe.bass.alike import figures_of
from scribe.bass.change import change_cost
from scribe.bass.fingered import Fingered, fingered, fingering
from scribe.bass.fingering import Hand, price, solve
from scribe.bass.fretboard import Fretboard, fretboard
from scribe.bass.grips import FREE, Grip, choices, own_cost
from scribe.bass.hand import DOUBLE, ELECTRIC, Effort, System
from scribe.bass.line import DEAD, Moment, Tone, line_of
from scribe.music.inforce import Tempo
from scribe.music.piece import Bar, Piece
from scribe.music.settings import parse_tempo, seconds_a_quarter
from tests.bass_practice import PRACTICE, Practice, agreement, line_typed, places_typed
from tests.bass_practice_unseen import UNSEEN

NECK = Fretboard()


def fingers_of(text: str, system: System = "mixed") -> Fingered:
    """A draft without errors, fingered."""
    compiled = compile(text)
    assert not [d.message for d in compiled.diagnostics if d.severity == "error"]
    return fingering(compiled.piece, system=system)


def frets(found: Fingered) -> str:
    """Every note as string and fret: `E:3 A:x`, `?` without a place."""
    rows = []
    for bar in found.piece.bars:
        names = [pitch.name for pitch in reversed(bar.in_force.tuning)]
        for event in bar.events:
            for head in event.heads:
                fret = "x" if head.fret is None else head.fret
                rows.append(f"{names[head.string - 1]}:{fret}" if head.string else "?")
    return " ".join(rows)


def by_hand(
    moments: tuple[Moment, ...], neck: Fretboard, effort: Effort, system: System, entry: Hand | None
) -> float:
    """The least cost over every path there is, tried one by one."""
    rows = [choices(moment, neck, effort, system).grips for moment in moments]

    def least(i: int, before: Grip | None, held: Moment | None) -> float:
        if i == len(moments):
            return 0.0
        best = inf
        for grip in rows[i]:
            if grip.frees_the_hand:
                grip = grip._replace(hand=before.hand if before else FREE)
            cost = own_cost(grip, moments[i], neck, effort).total
            if before is not None and held is not None:
                cost += change_cost(before, held, grip, moments[i].lead, neck, effort).total
            best = min(best, cost + least(i + 1, grip, moments[i]))
        return best

    return least(0, entry.grip if entry else None, entry.moment if entry else None)


def random_line(seed: int, count: int) -> tuple[Moment, ...]:
    """A short line with everything in it: leaps, connectors, ghosts, stacks, dead notes, rests."""
    random = Random(seed)
    midi = random.randint(28, 60)
    moments = []
    for _ in range(count):
        midi = max(28, min(64, midi + random.randint(-9, 9)))
        tones = [Tone(midi, harmonic=random.random() < 0.05)]
        if random.random() < 0.1 and midi + 7 <= 64:
            tones.append(Tone(midi + 7))
        if random.random() < 0.08:
            tones = [Tone(DEAD, random.randint(1, 4))]
        moments.append(
            Moment(
                tuple(tones),
                random.choice((0.1, 0.2, 0.4)),
                random.choice((0.0, 0.0, 0.3)),
                random.choice(("", "", "", "hammer", "pull", "slide up", "slur")),
                ghost=random.random() < 0.2,
                finger=random.random() < 0.1,
            )
        )
    return tuple(moments)


@pytest.mark.parametrize("seed", range(16))
def test_the_search_finds_what_trying_every_path_finds(seed: int) -> None:
    """Dynamic programming equals brute force on short lines, and so does the bill that explains it."""
    system: System = ("mixed", "1-2-4", "finger a fret")[seed % 3]  # type: ignore[assignment]
    effort = DOUBLE if seed % 5 == 4 else ELECTRIC
    neck = fretboard("B E A D G" if seed % 4 == 3 else "E A D G")
    moments = random_line(seed, 3 if neck.tuning[0].midi < 28 else 4)
    entry = None
    if seed % 2:
        first = choices(moments[0], neck, effort, system).grips[-1]
        entry = Hand(first._replace(hand=max(first.hand, FREE)), moments[0])
        moments = moments[1:]
    path = solve(moments, neck, effort, system, entry)
    bill = price(path.grips, moments, neck, effort, entry)
    assert path.cost == pytest.approx(by_hand(moments, neck, effort, system, entry), abs=1e-9)
    assert path.cost == pytest.approx(sum(cost.total for cost in bill), abs=1e-9)


def test_every_grip_sounds_its_note_and_uses_a_string_once() -> None:
    """No place is made up: string and fret give the pitch, no string twice in a stack."""
    for seed in range(40):
        moments = random_line(seed, 12)
        for grip, moment in zip(solve(moments, NECK, ELECTRIC).grips, moments, strict=True):
            if grip is None:
                continue
            assert len({stop.string for stop in grip.stops}) == len(grip.stops)
            for stop, tone in zip(grip.stops, moment.tones, strict=True):
                if stop.fret is not None and not tone.harmonic:
                    assert NECK.midi(stop.string, stop.fret) == tone.midi


def test_common_practice_is_met() -> None:
    """String choices of the written list of common practice ([C]): at least 95 of 100 notes."""
    found = [agreement(practice) for practice in PRACTICE]
    assert sum(one.same for one in found) >= 0.95 * sum(one.count for one in found)


@pytest.mark.parametrize("entries", [PRACTICE, UNSEEN], ids=["in view", "second list"])
def test_the_ways_of_an_entry_sound_alike(entries: tuple[Practice, ...]) -> None:
    """A list of common practice compares strings, so every way of an entry has the same pitches."""
    for practice in entries:
        neck = line_typed(practice.ways[0], practice.setting).necks[0]
        rows = [places_typed(way, practice.setting) for way in practice.ways]
        assert len({tuple(neck.midi(*place) for place in row) for row in rows}) == 1, practice


def test_a_walking_line_lies_in_first_position() -> None:
    """G minor 7 to F over the low strings: first position, 1-2-4, with open strings (common practice)."""
    found = fingers_of("key F\ntempo 138\n| g b d f | ^e c b g | a ^c f e |")
    assert frets(found) == "E:3 A:1 D:0 D:3 D:2 A:3 A:1 E:3 A:0 A:3 D:3 D:2"
    assert [found.fingers[0, i, 0] for i in range(4)] == [4, 1, 0, 4]
    assert set(found.positions.values()) == {1}


def test_the_movable_major_scale_has_its_usual_fingers() -> None:
    """A flat major in one position, fourth fret: 2 4, 1 2 4, 1 3 4 or its like (common practice)."""
    found = fingers_of("key Ab\ntempo 100\n| ab cd ef ga |", system="finger a fret")
    assert frets(found) == "E:4 E:6 A:3 A:4 A:6 D:3 D:5 D:6"
    assert [found.fingers[0, i, 0] for i in range(8)] == [2, 4, 1, 2, 4, 1, 3, 4]


@pytest.mark.parametrize(("system", "used"), [("1-2-4", {1, 2, 4}), ("finger a fret", {1, 2, 3, 4})])
def test_a_left_hand_system_is_kept_throughout(system: System, used: set[int]) -> None:
    """`1-2-4` never uses the third finger; one finger a fret puts each finger over its own fret."""
    text = "key Ab\ntempo 60\n| ab cd ef ga | bc de fg ab | ag fe dc ba |"
    found = fingers_of(text, system)
    assert set(found.fingers.values()) - {0} <= used
    if system == "finger a fret":
        for key, finger in found.fingers.items():
            fret = found.piece.bars[key[0]].events[key[1]].heads[key[2]].fret
            if finger and fret:
                assert fret - found.positions[key] == finger - 1 or (finger, fret - found.positions[key]) == (
                    4,
                    4,
                )


def test_the_double_bass_keeps_the_third_finger_for_the_thumb_position() -> None:
    """Fingers 1, 2 and 4 below the twelfth stop; open strings are welcome (common practice)."""
    text = "instrument double bass\nkey Bb\ntempo 120\n| bc de fg ab | ^c^d ^e^f ga b^c |"
    found = fingers_of(text)
    assert {3, 5}.isdisjoint(
        finger for key, finger in found.fingers.items() if finger and found.positions[key] < 12
    )
    assert frets(found).startswith("A:1 A:3 D:0 D:1 D:3 G:0")


# --- what the draft asks ---------------------------------------------------------------------------------------


def test_pins_and_typed_frets_are_kept() -> None:
    """A string typed after a note, and a place typed as a fret, stay what they are."""
    assert frets(fingers_of("| a:E d:A g:D ^c:G |")) == "E:5 A:5 D:5 G:5"
    assert frets(fingers_of("| E:12 A:7:7 D:2 E:12 |")) == "E:12 A:7 A:7 D:2 E:12"


def test_a_position_holds_the_hand_until_it_is_free() -> None:
    """`position 5`: no finger leaves it; `position free` lets the hand go."""
    found = fingers_of("key C\nposition 5\n| a ^c d e |\nposition free\n| a ^c d e |")
    assert {found.positions[key] for key in found.positions if key[0] == 0} == {5}
    assert frets(found).split()[:4] == ["E:5", "E:8", "A:5", "A:7"]
    assert set(found.relaxed) == {""}


def test_a_position_that_cannot_be_held_is_given_up_for_that_note_and_named() -> None:
    """E1 does not lie at position 5 except as the open string; F1 lies nowhere there."""
    found = fingers_of("key C\nposition 5\n| a vf a E:0 |")
    assert found.relaxed == ("", "position", "", "")
    assert frets(found).split()[1] == "E:1"


@pytest.mark.parametrize("sign", ["h", "/", "\\"])
def test_hammer_ons_and_slides_stay_on_one_string(sign: str) -> None:
    """The note before and the one behind a connector share a string, even where two strings were easier."""
    pair = "a" + sign + "b" if sign != "\\" else "b" + sign + "a"
    found = fingers_of(f"key C\ntempo 90\n| {pair} d g d |")
    first, second = frets(found).split()[:2]
    assert first[0] == second[0]
    assert first != second


def test_a_pull_off_lets_a_lower_finger_or_the_open_string_sound() -> None:
    """Same string, falling; a lower finger or none."""
    found = fingers_of("key C\ntempo 90\n| ^epd cpb apg g |")
    places = frets(found).split()
    for i in (0, 2, 4):
        assert places[i][0] == places[i + 1][0]
        assert found.fingers[0, i + 1, 0] < found.fingers[0, i, 0]


def test_a_bent_note_or_one_with_vibrato_is_no_open_string() -> None:
    """An open string cannot be bent."""
    assert frets(fingers_of("key C\ntempo 60\n| a d'v g d |")).split()[1] != "D:0"


def test_dead_notes_stay_on_the_string_at_hand_and_cost_the_hand_nothing() -> None:
    """`x` takes the string of the note before it, `x:A` its own; the notes around do not change."""
    plain = frets(fingers_of("key G minor\ntempo 92\n| g. b. d f |")).split()
    with_dead = frets(fingers_of("key G minor\ntempo 92\n| gx bx d f |")).split()
    assert [place for place in with_dead if place[-1] != "x"] == plain
    assert (with_dead[1][0], with_dead[3][0]) == (with_dead[0][0], with_dead[2][0])
    assert frets(fingers_of("key G minor\n| x:A g b d |")).split()[0] == "A:x"


def test_a_stack_is_held_by_one_hand() -> None:
    """Root, fifth and tenth of C: frets in reach of each other, one string each."""
    found = fingers_of("key C\ntempo 60\n| c+g+e - - - |")
    places = [place.split(":") for place in frets(found).split()]
    assert len({string for string, _ in places}) == 3
    stopped = [int(fret) for _, fret in places if int(fret)]
    assert max(stopped) - min(stopped) <= 4


def test_what_lies_below_the_lowest_string_has_no_place() -> None:
    """D1 on E A D G: nothing is filled in, the rest of the line is fingered all the same."""
    found = fingers_of("key C\n| ve vd g c |")
    assert frets(found).split()[1] == "?"
    assert found.relaxed[1] == "fretboard"


# --- alike, and pure -------------------------------------------------------------------------------------------


def test_bars_with_the_same_notes_get_the_same_fingering() -> None:
    """A figure that comes back between other bars is fingered alike each time, by `%` and `/` too."""
    figure = "e>ga b^d ^e b"
    text = (
        f"key E minor\ntempo 100\n| {figure} | ^^e ^e ^e g | {figure} | % | c c ^c ^c | {figure} | eg / / / |"
    )
    found = fingers_of(text)
    rows = frets(found).split()
    count = 7
    assert rows[:count] == rows[count + 4 : 2 * count + 4] == rows[2 * count + 4 : 3 * count + 4]
    assert rows[3 * count + 8 : 4 * count + 8] == rows[:count]
    tail = rows[4 * count + 8 :]
    assert tail == tail[:2] * 4


def test_tied_notes_go_on_under_the_same_finger() -> None:
    """A note over the barline has one place."""
    found = fingers_of("key C\n| g a b ^c | - d e f |")
    rows = frets(found).split()
    assert rows[3] == rows[4]


def test_filling_in_changes_nothing_but_strings_and_frets() -> None:
    """`fingered` is pure: pitches, rhythm, spans and diagnostics are those of the piece."""
    piece = compile("key G minor\n| ,ga+d (b)x .d f |\ninstrument trumpet\n| g b d g |").piece
    assert not piece.diagnostics
    done: Piece = fingered(piece)
    assert done.diagnostics == piece.diagnostics
    assert done.bars[1] == piece.bars[1]
    assert done.bars[0].music.events == done.bars[0].events
    for old, new in zip(piece.bars[0].events, done.bars[0].events, strict=True):
        assert (old.onset, old.length, old.span) == (new.onset, new.length, new.span)
        assert [h.pitch for h in old.heads] == [h.pitch for h in new.heads]
        assert len(old.graces) == len(new.graces)
    assert fingered(done).bars == done.bars


def test_grace_notes_have_fingers_under_negative_keys() -> None:
    """The first grace note of an event is head -1, the second -2."""
    found = fingers_of("key C\n| g ,a,b^c d g |")
    assert {(0, 1, -1), (0, 1, -2), (0, 1, 0)} <= set(found.fingers)


def test_eight_bars_on_either_side_tell_how_a_bar_is_fingered() -> None:
    """A bar fingered with those around it lies as in the whole line, if what is played elsewhere is known. Only where
    a figure stands twice close by, and not before, may it be the other one of them that is followed.
    """
    otherwise = 0
    for seed in range(4):
        random = Random(seed)
        some = [
            " ".join(random.choice("abcdefg") + random.choice("-abcdefg") for _ in range(4))
            for _ in range(20)
        ]
        riffs = [bar[::-1] for bar in some[:6]]
        bars = [random.choice(some if random.random() < 0.3 else riffs) for _ in range(80)]
        whole = fingers_of(f"key {random.choice(('G', 'Eb', 'C minor'))}\n| {' | '.join(bars)} |")
        for at in range(0, 80, 5):
            low, high = max(0, at - 8), at + 9
            known = figures_of(whole.line, whole.grips, low, high)
            part = fingering(replace(whole.piece, bars=unplaced(whole)[low:high]), known=known)
            otherwise += hand_of(part, at - low) != hand_of(whole, at)
    assert otherwise <= 1


def unplaced(found: Fingered) -> tuple[Bar, ...]:
    """The bars of a fingered piece without pins as they came."""
    bars: list[Bar] = []
    for bar in found.piece.bars:
        events = [
            replace(event, heads=tuple(replace(head, string=None, fret=None) for head in event.heads))
            for event in bar.events
        ]
        bars.append(replace(bar, events=tuple(events)))
    return tuple(bars)


def hand_of(found: Fingered, bar: int) -> list[Grip | None]:
    """The grips of one bar."""
    both = zip(found.line.places, found.grips, strict=True)
    return [grip for place, grip in both if place.bar == bar]


def test_an_edit_in_one_section_leaves_the_fingering_before_it_alone() -> None:
    """A phrase is found from what stands in it and from where the hand comes."""
    first = "key Bb\ntempo 120\n[A]\n| b d f a |\n"
    one = fingers_of(first + "[B]\n| ^^b a g f |")
    two = fingers_of(first + "[B]\n| c e g c |")
    assert frets(one).split()[:4] == frets(two).split()[:4]


def test_bars_that_did_not_change_are_the_same_objects() -> None:
    """An edit of one bar makes that bar anew and leaves the events of the others as they were."""
    start = "key Bb\ntempo 120\n| b d f a | c e g c |\n[B]\n"
    one, two = (fingered(compile(start + end).piece) for end in ("| f a c e |", "| f a c d |"))
    assert one.bars[0].events is two.bars[0].events
    assert one.bars[0].music is two.bars[0].music
    assert one.bars[2].events is not two.bars[2].events


# --- time --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "seconds"), [("120", 0.5), ("dotted-quarter 60", 2 / 3), ("half 60", 0.5), ("Slow", None)]
)
def test_the_tempo_says_how_long_a_quarter_lasts(text: str, seconds: float | None) -> None:
    """Beats a minute of the beat named; words alone say nothing."""
    tempo: Tempo | None = parse_tempo(text)
    assert tempo is not None
    assert seconds_a_quarter(tempo) == pytest.approx(seconds)


def test_the_line_leaves_the_time_that_the_tempo_leaves() -> None:
    """Quarter 60: a quarter sounds a second, the rest behind it a second more."""
    line = line_of(compile("tempo 60\n| g . b d |").piece)
    assert [(m.sounds, m.silence) for m in line.moments] == [(1.0, 1.0), (1.0, 0.0), (1.0, 0.0)]
    assert line.starts == [0, 1]


def test_a_faster_tempo_never_makes_the_same_shift_cheaper() -> None:
    """The way of the hand is counted against the time for it."""
    costs = []
    for tempo in (60, 120, 240):
        line = line_of(compile(f"tempo {tempo}\n| E:1 G:12 E:1 G:12 |").piece)
        costs.append(solve(line.moments, NECK, ELECTRIC).cost)
    assert costs == sorted(costs)
    assert costs[0] < costs[2]
