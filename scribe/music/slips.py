"""Likely slips of the pen that only the key or the neighbours give away. Hints, never errors."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.events import BarMusic, Event, Head, PlacedChord
from scribe.music.inforce import InForce
from scribe.music.metre import Metre, parse_metre
from scribe.music.pitch import ACCIDENTAL, Pitch
from scribe.music.resolve import Contour
from scribe.music.tuning import FRETS
from scribe.source.tree import Again, Beat, Directive, Group, Line, Music, ToDo, Word

if TYPE_CHECKING:
    from scribe.music.better_home import Better

_SWUNG = re.compile(r"\b(swing|swung|shuffle)\b(?:[- ]*(16ths|sixteenths))?", re.IGNORECASE)
SEVERAL = 3  # remarks about the octave of a bar, from which on a better home is looked for
FEW = 4  # bars outside the range that are told one by one


def line_slips(text: str, events: Sequence[Event], in_force: InForce) -> list[Diagnostic]:
    """Find the first note that the instrument does not have, and slides that go against their sign."""
    found: list[Diagnostic] = []
    low, high = played_range(in_force)
    last = in_force.home
    for event in events:
        for head in event.heads:
            if head.kind == "note" and not low <= head.pitch.midi <= high and not event.held and not found:
                found.append(_outside(text, head, in_force, last))
            last = head.pitch if head.kind == "note" else last
    for before, event in pairwise(events):
        sign = {"slide up": 1, "slide down": -1}.get(event.connector, 0)
        if not sign or not before.heads or not event.heads or event.graces:
            continue
        step = event.heads[0].pitch.midi - before.heads[0].pitch.midi
        if before.heads[0].kind == event.heads[0].kind == "note" and step * sign < 0:
            found.append(_against(text, event, sign, step))
    return found


_ALTERED = {-1: " flat", 0: " natural", 1: " sharp"}
_SMALL = re.compile(r"[~hp/\\^vq(]*([a-g])(?![#nwb])")


def root_slips(text: str, chords: Sequence[PlacedChord], events: Sequence[Event]) -> list[Diagnostic]:
    """Hint at small letters that the key makes another note than the root or the bass of the chord they begin.

    Only where the chord is set, on the lowest note, and where the chord has no such tone: hardly any line plays the
    semitone beside a root with the chord.
    """
    found: list[Diagnostic] = []
    struck = {event.onset: event.heads[0] for event in events if event.heads and not event.held}
    for placed in chords:
        head, chord = struck.get(placed.onset), placed.chord
        if head is None or chord is None or head.way != "letter" or head.meant:
            continue
        typed = _SMALL.match(text, head.span.start)
        names = dict(name for name in (chord.root, chord.bass) if name is not None)
        wanted = names.get(head.pitch.letter)
        if typed is None or wanted is None or wanted == head.pitch.alter or len(names) < bool(chord.bass) + 1:
            continue
        if any((Pitch(*tone.name, 4).midi - head.pitch.midi) % 12 == 0 for tone in chord.tones):
            continue  # under another name: the check of names speaks of it
        letter = head.pitch.letter
        exact = letter.lower() + ACCIDENTAL[wanted] if wanted > 0 else letter + ACCIDENTAL[wanted]
        what = "root" if chord.root == (letter, wanted) else "bass"
        here, there = (letter + _ALTERED.get(alter, "") for alter in (head.pitch.alter, wanted))
        message = f"`{typed[1]}` is {here} here, the {what} of `{placed.name}` is {there}"
        span = Span(typed.start(1), typed.end(1))
        order = f"for {there} write `{exact}`; if {here} is meant, `{typed[1]}=`"
        found.append(Diagnostic("root-letter", "hint", head.span, message, (Hint(order, exact, span),)))
    return found


def feel_unsaid(lines: Iterable[Line | None]) -> tuple[int, Diagnostic] | None:
    """Hint at the first tempo whose words swing in a draft without a `feel` line; with the number of its line."""
    found: tuple[int, Directive, re.Match[str]] | None = None
    for number, line in enumerate(lines):
        if not isinstance(line, Directive):
            continue
        if line.name == "feel":
            return None
        if line.name == "tempo" and found is None and (swung := _SWUNG.search(line.text)):
            found = number, line, swung
    if found is None:
        return None
    number, line, swung = found
    feel = "shuffle" if swung[1].lower() == "shuffle" else "swing"
    feel += " 16ths" if swung[2] else ""
    message = f"`{swung[1]}` is printed as a word; eighths stay even where no `feel` line says otherwise"
    hint = Hint(f"add a line `feel {feel}`", f"{line.text}\nfeel {feel}", line.value_span)
    return number, Diagnostic("feel-unsaid", "hint", line.value_span, message, (hint,))


def tempo_slips(lines: Iterable[Line | None]) -> list[tuple[int, Diagnostic]]:
    """Hint at tempos that do not say what they seem to, each with the number of its line; the first of each kind."""
    lines = list(lines)
    found = (feel_unsaid(lines), beat_unsaid(lines))
    return [each for each in found if each is not None]


def beat_unsaid(lines: Iterable[Line | None]) -> tuple[int, Diagnostic] | None:
    """Hint at the first number without a beat in a compound metre, whose beat is dotted; with its line's number."""
    metre, waiting = InForce().metre, None
    for number, line in enumerate(lines):
        if isinstance(line, Directive):
            if line.name == "time":
                metre = parse_metre(line.text) or metre
            elif line.name == "tempo":
                waiting = (number, line) if _BARE.fullmatch(line.text) else None
        is_bar = isinstance(line, Music) or (isinstance(line, Directive) and line.name in ("rest", "use"))
        if waiting and line is not None and is_bar:
            if metre.kind == "compound" and metre.unit == 8:
                return waiting[0], _beat_hint(waiting[1], metre)
            waiting = None
    return None


# A number that no beat is named before.
_BARE = re.compile(
    r"(?!.*\b(?:whole|half|quarter|eighth|8th|sixteenth|16th)\b)(.*?)(\d+(?:\.\d+)?)[ \t]*", re.IGNORECASE
)


def _beat_hint(line: Directive, metre: Metre) -> Diagnostic:
    found = _BARE.fullmatch(line.text)
    assert found is not None
    value = f"{found[1]}dotted-quarter {found[2]}"
    message = f"`{found[2]}` counts quarters, the beats of {metre} are dotted quarters"
    order = f"for so many beats write `tempo {value}`; if quarters are meant, `tempo {found[1]}quarter {found[2]}`"
    return Diagnostic("tempo-beat", "hint", line.value_span, message, (Hint(order, value, line.value_span),))


def played_range(in_force: InForce) -> tuple[int, int]:
    """Return the lowest and the highest MIDI number: of the strings, where the instrument has some."""
    if in_force.instrument.fretted:
        strings = [string.midi for string in in_force.tuning]
        return min(strings), max(strings) + FRETS
    return in_force.instrument.low.midi, in_force.instrument.high.midi


def _outside(text: str, head: Head, in_force: InForce, before: Pitch) -> Diagnostic:
    typed = text[head.span.start : head.span.end]
    low, high = played_range(in_force)
    below = head.pitch.midi < low
    if in_force.instrument.fretted:
        limit = f"the open {in_force.tuning[0].name} string" if below else f"fret {FRETS}"
    else:
        limit = f"the usual range of the {in_force.instrument.name}"
    twin = head.pitch.octaves(1 if below else -1)
    meant = _moved(typed, head, before, twin) if low <= twin.midi <= high else None
    order = Hint(f"move it with `{'^' if below else 'v'}`, or move `home`")
    if meant:
        order = Hint(f"for {twin} write `{meant}`; or move `home`", meant, head.span)
    message = f"`{typed}` is {head.pitch}, {'below' if below else 'above'} {limit}"
    return Diagnostic("outside-range", "hint", head.span, message, (order,))


def _moved(typed: str, head: Head, before: Pitch, wanted: Pitch) -> str | None:
    """Return a typed note with the octave marks that make it another octave's, if they count from `before`."""
    found = re.match(r"\^+|v+|", typed)
    assert found is not None
    marks = len(found[0]) * (-1 if found[0].startswith("v") else 1)
    reach = Contour(before).reach
    letter, alter = head.pitch.letter, head.pitch.alter
    if head.way not in ("letter", "degree") or reach(letter, alter, marks) != head.pitch:
        return None
    other = next((m for m in (0, 1, -1, 2, -2, 3, -3) if reach(letter, alter, m) == wanted), None)
    return None if other is None else ("^" if other > 0 else "v") * abs(other) + typed[found.end() :]


def gathered(
    found: Sequence[Diagnostic], better_home: Callable[[], Better | None] = lambda: None
) -> list[Diagnostic | None]:
    """Return the remarks on a piece, in order of place, with one for all bars in a wrong octave where they are many.

    A line for another instrument, or a `home` in the wrong octave, is one mistake; those told by it become None.
    `better_home` finds the home that leaves few of them; it is asked only where several are.
    """
    out: list[Diagnostic | None] = list(found)
    octaves = [index for index, remark in enumerate(found) if remark.code in ("far-leap", "outside-range")]
    if len(octaves) >= SEVERAL and (better := better_home()) is not None:
        mended = "most of it" if better.left else "all of it"
        return _told_once(out, octaves, f"`home {better.home}` for the whole draft mends {mended}")
    outside = [index for index in octaves if found[index].code == "outside-range"]
    if len(outside) > FEW:
        first = found[outside[0]]
        out[outside[0]] = first._replace(
            message=f"{first.message}; notes of {len(outside) - 1} more bars lie outside too",
            hints=(Hint("move `home`; if the line is not for a bass, name its `instrument`"),),
        )
        for index in outside[1:]:
            out[index] = None
    return out


def _told_once(out: list[Diagnostic | None], octaves: Sequence[int], order: str) -> list[Diagnostic | None]:
    """Say the first of these for all; its own mend stays as the second one."""
    first = out[octaves[0]]
    assert first is not None
    more = len({out[index].span for index in octaves} - {first.span})  # type: ignore[union-attr]
    bars = "one more place" if more == 1 else f"{more} more places"
    out[octaves[0]] = first._replace(
        message=f"{first.message}; {bars} lie too far off as well", hints=(Hint(order), *first.hints)
    )
    for index in octaves[1:]:
        out[index] = None
    return out


def _against(text: str, event: Event, sign: int, step: int) -> Diagnostic:
    typed = text[event.span.start : event.span.end]
    way = "up" if sign > 0 else "down"
    if typed == "/":  # the beat word before it once more, and its slide with it
        where = "below" if sign > 0 else "above"
        again = Hint("write the word out, its slide the other way or its note in another octave")
        return Diagnostic(
            "slide-direction", "hint", event.span,
            f"`/` repeats a slide {way}, but the note lies {where} the one before", (again,),
        )  # fmt: skip
    mend = ("/" if step > 0 else "\\") + typed[1:]
    return Diagnostic(
        "slide-direction",
        "hint",
        event.span,
        f"`{typed}` slides {way}, but the note lies {'below' if sign > 0 else 'above'} the one before",
        (
            Hint(
                f"for this note write `{mend}`; for the octave {'above' if sign > 0 else 'below'} put "
                f"`{'^' if sign > 0 else 'v'}` behind the sign",
                mend,
                event.span,
            ),
        ),
    )


def forgotten_beats(shapes: Sequence[tuple[int, int]], index: int, span: Span) -> Diagnostic | None:
    """Hint at a bar with half the words of both its neighbours and as many slots a word.

    `shapes` holds (number of beat words, most slots a word) of each bar, (0, 0) for bars without any.
    """
    if not 0 < index < len(shapes) - 1:
        return None
    words, slots = shapes[index]
    neighbours = (shapes[index - 1], shapes[index + 1])
    if words < 2 or any(n != (2 * words, slots) for n in neighbours):
        return None
    return Diagnostic(
        "forgotten-beats",
        "hint",
        span,
        f"this bar has {words} beat words, the bars around it {2 * words} with as many slots: every word here "
        "lasts twice as long",
        (Hint("if beats were forgotten, add them; if not, write the holds (`g-`) to say so"),),
    )


def far_leap(last: Head, first: Head, in_force: InForce, typed: str, span: Span) -> Diagnostic | None:
    """Hint at a bar's first note that leaps more than a sixth although its octave twin would not.

    Silent where octave marks were typed, and on plain octaves, which bass lines are full of.
    """
    if first.way not in ("letter", "degree") or "^" in typed or "v" in typed:
        return None
    leap = first.pitch.staff - last.pitch.staff
    if not is_far(leap):
        return None
    wanted = first.pitch.octaves(-1 if leap > 0 else 1)
    low, high = played_range(in_force)
    if not low <= wanted.midi <= high:
        return None
    marks = _marks(in_force.home, wanted)
    return Diagnostic(
        "far-leap",
        "hint",
        span,
        f"`{typed}` is {first.pitch}, a leap of more than a sixth from {last.pitch}",
        (
            Hint(
                f"for {wanted}, which is nearer, write `{marks}{typed}`; or move `home`", marks + typed, span
            ),
        ),
    )


def is_far(leap: int) -> bool:
    """Whether so many staff places are more than a sixth, no octave, and its octave twin is a sixth at most."""
    twin = leap - 7 if leap > 0 else leap + 7
    return abs(leap) > 5 and abs(twin) <= 5 and abs(leap) != 7


def _marks(home: Pitch, wanted: Pitch) -> str:
    """The octave marks that lead from home to a pitch."""
    for count in range(1, 9):
        for sign, mark in ((1, "^"), (-1, "v")):
            if Contour(home).reach(wanted.letter, wanted.alter, sign * count) == wanted:
                return mark * count
    return ""


def shape(words: Sequence[Word], music: BarMusic) -> tuple[int, int]:
    """Number of beat words and most slots a word, (0, 0) for a bar without beat words or one that is broken.

    `/` and `?` are beat words, a group is as many as it stands for.
    """
    beats = [w for w in words if isinstance(w, Beat)]
    if music.broken or not beats:
        return (0, 0)
    others = sum(w.beats if isinstance(w, Group) else isinstance(w, Again | ToDo) for w in words)
    return len(beats) + others, max(len(b.slots) for b in beats)
