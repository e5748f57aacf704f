"""MIDI files as sequencers and keyboards write them: gates, lags, strums, several channels; made up here."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest

from scribe.exchange.draft import write_draft
from scribe.exchange.midi import take_midi
from scribe.exchange.out.midi import performed, played_order
from tests.exchange_help import piece_of
from tests.test_exchange_midi import file

HEAD = [(0, b"\xff\x51\x03\x07\xa1\x20"), (0, b"\xff\x58\x04\x04\x02\x18\x08")]  # 120 a minute, 4/4
GROOVE = "| e--e .ee- e--b dbe- | a--a .ga- a--e gea- |\n" * 2
WALK = "| a c# e f# | g f# e c# | d f# a b | c b a f# |\n"
SHORTS = "| ga b. cd e. | fe d. cb a- |\n" * 2


def sequenced(
    text: str, gate: Callable[[], float], late: Callable[[], float] = lambda: 0.0, head: Sequence = HEAD
) -> bytes:
    """A draft's notes on a sequencer's grid of 480, as long as `gate` says; `late`: seconds, at 120 a minute."""
    events = list(head)
    for note in performed(played_order(piece_of(text))):
        on = round(float(note.onset) * 480 + late() * 960)
        off = on + max(round(float(note.length) * gate() * 480), 1)
        events += [(on, bytes((0x90, note.midi, 80))), (off, bytes((0x80, note.midi, 0)))]
    return file(sorted(events, key=lambda each: each[0]))


def bars(data: bytes) -> list[str]:
    """The bars of a draft made of a file, without what stands at its head."""
    lines = write_draft(take_midi(data).line).text.splitlines()
    return [bar for line in lines if line.startswith("|") for bar in line.strip("|").split("|")]


@pytest.mark.parametrize("gate", [0.7, 0.75, 0.8, 0.9, 0.95, 0.98, 1.0, 1.06])
@pytest.mark.parametrize("text", [GROOVE, WALK, SHORTS], ids=["groove", "walk", "shorts"])
def test_a_gate_is_no_rhythm(text: str, gate: float) -> None:
    """Notes shortened or tied over by a share of their length are written as long as they are meant."""
    typed = bars(sequenced(text, lambda: gate))
    assert typed == bars(sequenced(text, lambda: 1.0))
    assert not any(sign in bar for bar in typed for sign in "{}")


def test_lengths_that_a_player_varies_give_no_odd_rests() -> None:
    """On the beats, but held for 60 to 105 %: no rest appears in a walk, nor a bar after its end."""
    rng = random.Random(3)
    typed = bars(sequenced(WALK * 2, lambda: rng.uniform(0.6, 1.05)))
    assert len(typed) == 8
    assert not any("." in bar or "--" in bar for bar in typed)


def test_the_last_note_ends_at_its_place() -> None:
    """A last note on an off-beat does not reach into a bar of its own."""
    taken = take_midi(sequenced("feel swing\n" + "| ga bc de fg |\n" * 4, lambda: 0.95))
    assert len(taken.line.bars) == 4
    assert taken.line.bars[-1].events[-1].length == Fraction(1, 2)
