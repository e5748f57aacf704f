"""What to say of a bar with a wrong number of beat words: a blank too few, a barline forgotten, beats to join."""

from __future__ import annotations

from scribe.diagnostics import Diagnostic, Hint
from scribe.music.chord import parse_chord
from scribe.music.inforce import InForce
from scribe.music.metre import usual_groups
from scribe.music.needless_groups import counted_groups, group_meant
from scribe.source.read import parse_bar
from scribe.source.tree import Again, Beat, ChordWord, Group, ToDo, Word

BAR = "\0"  # stands for "bar 7" in messages: a bar's results are memoised without its number
MOST_JOINED = 9  # slots of one beat that were typed as words of their own
MOST_SHOWN = 24  # characters of the draft in a hint

Timed = Beat | Again | ToDo | Group


def wrong_count(
    text: str, words: tuple[Word, ...], found: int, allowed: list[int], in_force: InForce
) -> Diagnostic:
    """Return the error of a bar with `found` beat words where only the numbers `allowed` (rising) make sense.

    `text` is the bar's own; its words hold at least one that takes time.
    """
    glued = _glued_chord(text, words, found, allowed)
    if glued:
        return glued
    timed = [word for word in words if isinstance(word, Beat | Again | ToDo | Group)]
    span = timed[0].span.cover(timed[-1].span)
    numbers = (
        str(allowed[0]) if len(allowed) == 1 else ", ".join(map(str, allowed[:-1])) + f" or {allowed[-1]}"
    )
    where = "this short bar" if in_force.length is not None else str(in_force.metre)
    nearest = min(allowed, key=lambda n: (abs(n - found), -n))
    off = f"{abs(found - nearest)} too {'many' if found > nearest else 'few'} for {nearest}"
    message = (
        f"{BAR} holds {found} beat word{'s' if found != 1 else ''}, expected {numbers} in {where} ({off})"
    )
    hints = _groups(found, in_force)
    if not hints and found > nearest:
        hints = _too_many(text, words, timed, found - nearest, allowed, in_force)
    elif not hints:
        hints = _too_few(text, timed, nearest - found, allowed, in_force)
    hints = [*_tuplets(text, timed, found, allowed), *hints]
    return Diagnostic("word-count", "error", span, message, tuple(hints))


def split_chord(name: str) -> tuple[str, str] | None:
    """Return a chord symbol and the beat word typed right behind it (`Cm7g`: `Cm7`, `g`), None if it is not that."""
    for at in range(len(name) - 1 if len(name) <= MOST_SHOWN else 0, 0, -1):
        if parse_chord(name[:at]) is not None:
            words = parse_bar(name[at:]).words
            return (name[:at], name[at:]) if len(words) == 1 and isinstance(words[0], Beat) else None
    return None


def _glued_chord(text: str, words: tuple[Word, ...], found: int, allowed: list[int]) -> Diagnostic | None:
    """Return the error of a chord symbol without a blank behind it, where the one word is missing in the bar."""
    if found + 1 not in allowed:
        return None
    for word in words:
        if (
            isinstance(word, ChordWord)
            and parse_chord(word.name) is None
            and (split := split_chord(word.name))
        ):
            chord, notes = split
            at = word.name_span.start + len(chord)
            typed = f"{text[word.span.start : at]} {text[at : word.span.end]}"
            mend = Hint(f"put a blank between: `{typed}`", typed, word.span)
            return Diagnostic(
                "missing-blank",
                "error",
                word.span,
                f"words are separated by blanks, found `{notes}` right behind the chord `{chord}`",
                (mend,),
            )
    return None


def _tuplets(text: str, timed: list[Timed], found: int, allowed: list[int]) -> list[Hint]:
    """The mend of groups whose number was meant to count their notes, as over a tuplet: `3{g b d}` for `gbd`."""
    counted = counted_groups(timed)
    if not counted or found - sum(group.beats - 1 for group in counted) not in allowed:
        return []
    return [group_meant(text, counted[0])]


def _too_few(
    text: str, timed: list[Timed], missing: int, allowed: list[int], in_force: InForce
) -> list[Hint]:
    more = "1 beat word" if missing == 1 else f"{missing} beat words"
    hints = [Hint(f"add {more}: a note, `-` to hold on or `.` for silence")]
    beats = [word for word in timed if isinstance(word, Beat)]
    slots = sum(len(word.slots) for word in beats)
    if len(beats) == len(timed) < slots and slots in allowed:
        apart = " ".join(text[slot.span.start : slot.span.end] for word in beats for slot in word.slots)
        if len(apart) <= MOST_SHOWN:
            hints.append(Hint(f"or, if each slot is a beat, type blanks between: `{apart}`"))
    fewer = [number for number in allowed if number < len(timed)]
    example = _example(text, timed, in_force)
    if fewer and example and fewer[-1] == len(in_force.metre.beat_lengths):
        hints.append(
            Hint(f"or, for {fewer[-1]} words, join slots of one beat without blanks, as in `{example}`")
        )
    return hints


def _too_many(
    text: str, words: tuple[Word, ...], timed: list[Timed], more: int, allowed: list[int], in_force: InForce
) -> list[Hint]:
    joined = _joined(text, words, allowed, in_force)
    if joined:
        return [joined]
    left = timed[-more:]
    what = text[left[0].span.start : left[-1].span.end]
    if len(what) > MOST_SHOWN or any(isinstance(word, Group) for word in left):
        out = f"take {more} beat word{'s' if more > 1 else ''} out"
    else:
        out = f"take `{what}` out, put a barline before {'it' if more == 1 else 'them'}"
    example = _example(text, timed, in_force)
    as_in = f", as in `{example}`" if example else ""
    return [Hint(f"{out}, or join slots of one beat without blanks{as_in}")]


def _joined(text: str, words: tuple[Word, ...], allowed: list[int], in_force: InForce) -> Hint | None:
    """Return the mend of a bar whose words are all equal parts of beats: sixteen in 4/4 are four words of four."""
    beats = len(in_force.metre.beat_lengths) if in_force.length is None else allowed[0]
    each, over = divmod(len(words), beats)
    equal = in_force.metre.kind != "asymmetric" and len(words) > allowed[-1] and not over
    typed = [text[w.span.start : w.span.end] for w in words if isinstance(w, Beat) and len(w.slots) == 1]
    if not equal or each > MOST_JOINED or len(typed) != len(words):
        return None
    rows = ["".join(typed[i : i + each]) for i in range(0, len(words), each)]
    read = parse_bar(" ".join(rows)).words
    if [len(w.slots) if isinstance(w, Beat) else 0 for w in read] != [each] * beats:
        return None  # joined they would say something else: `A b` is two notes, `Ab` one
    whole = " ".join(rows)
    return Hint(
        f"join the {each} slots of {'each' if beats > 1 else 'the'} beat without blanks: `{whole}`",
        whole,
        words[0].span.cover(words[-1].span),
    )


def _example(text: str, timed: list[Timed], in_force: InForce) -> str:
    """Return the last words of one slot that could be a beat, joined: two, three in compound metre; else nothing."""
    size = 3 if in_force.metre.kind == "compound" else 2
    for end in range(len(timed), size - 1, -1):
        row = timed[end - size : end]
        if all(isinstance(word, Beat) and len(word.slots) == 1 for word in row):
            joined = "".join(text[word.span.start : word.span.end] for word in row)
            read = parse_bar(joined).words
            if len(read) == 1 and isinstance(read[0], Beat) and len(read[0].slots) == size:
                return joined
    return ""


def _groups(found: int, in_force: InForce) -> list[Hint]:
    """Return the hint that one word a group needs the groups to be said."""
    metre = in_force.metre
    if metre.kind != "asymmetric" or metre.groups or in_force.length is not None:
        return []
    groups = usual_groups(metre.count, metre.unit)
    if found != len(groups):
        return []
    return [Hint(f"for one word a group say the groups: `time {metre} {'+'.join(map(str, groups))}`")]
