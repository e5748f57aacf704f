"""The words of a bar: which may stand beside each other, and the notes that are struck in them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from scribe.source.fault import Fault, Mend
from scribe.source.tree import Again, Beat, ChordWord, Group, Repeat, Strike, ToDo, Tone, Word

Timed = Beat | Again | ToDo | Group


def tones(words: Iterable[Word]) -> Iterator[Tone]:
    """Yield every note that is struck in the words of a bar, those in groups, stacks and grace notes too, in order."""
    for word in words:
        if isinstance(word, Group):
            yield from tones(word.words)
        elif isinstance(word, Beat):
            for slot in word.slots:
                if isinstance(slot, Strike):
                    yield from (grace.tone for grace in slot.graces)
                    yield from slot.tones


def check_words(words: Sequence[Word], text: str) -> None:
    """Raise `Fault` for the first word of a bar that cannot stand where it stands. Places count in `text`."""
    _check_row(words, text, whole_bar=True)


def _check_row(words: Sequence[Word], text: str, *, whole_bar: bool) -> None:
    repeat: Repeat | None = None
    before: Timed | None = None  # the last word that takes time
    chords: list[ChordWord] = []  # those that wait for their word
    for word in words:
        if isinstance(word, ChordWord):
            chords.append(word)
            continue
        if isinstance(word, Again):
            if not isinstance(before, Beat | Again):
                if not any(isinstance(other, Beat | Group | ToDo | Repeat) for other in words) and whole_bar:
                    raise _slashes_alone(words, text)
                raise _nothing_again(word, before, text)
        elif isinstance(word, Group):
            _check_row(word.words, text, whole_bar=False)
        elif isinstance(word, Repeat):
            if repeat or not whole_bar:
                what = "a repeat sign stands for a whole bar, found it in a group"
                if whole_bar:
                    what = "a bar holds one repeat sign, found another"
                order = Mend("the last two bars again are one cell `%%`, the last one again `%`")
                raise Fault("repeat-not-alone", *word.span, what, order)
            repeat = word
            continue
        elif not isinstance(word, Beat | ToDo):
            continue  # words and directions stand anywhere
        before = word
        if chords:
            _check_chords(chords, words, text)
            chords = []
    if repeat and before:
        later = max(repeat.span, before.span)
        if (often := re.fullmatch(r"%[ \t]+[x*]?(\d{1,3})x?", text.strip())) is not None:
            from scribe.source.slips_words import repeated

            what = f"`%` repeats one bar once, found `{often[0]}`"
            start = text.index("%")
            raise Fault("repeat-not-alone", start, start + len(often[0]), what, repeated(int(often[1]), "%"))
        what = f"`{text[repeat.span.start : repeat.span.end]}` fills its bar, found beat words beside it"
        raise Fault("repeat-not-alone", *later, what, Mend("leave the repeat sign or the notes out"))
    if chords and before:
        last = chords[-1]
        what = f"expected a beat word after the chord `{last.name}`"
        raise Fault(
            "chord-at-end", *last.span, what, Mend("a chord stands before the word at which it sounds")
        )
    if not whole_bar and not before:
        raise Fault(
            "empty-group", words[0].span.start, words[-1].span.end, "expected a beat word in the group"
        )


def _slashes_alone(words: Sequence[Word], text: str) -> Fault:
    """Of a bar of strokes, as it is printed for players who make up their notes: `@Cm7 / / / /`."""
    strokes = [word.span for word in words if isinstance(word, Again)]
    others = [text[word.span.start : word.span.end] for word in words if not isinstance(word, Again)]
    first, last = words[0].span.start, words[-1].span.end
    what = "`/` repeats the beat word before it, found a bar of nothing else"
    order = "a bar whose notes are open is left empty behind its chords; notes not heard yet are `u`"
    return Fault(
        "slash-first", strokes[0].start, strokes[-1].end, what, Mend(order, " ".join(others), first, last)
    )


def _nothing_again(word: Again, before: Timed | None, text: str) -> Fault:
    if isinstance(before, Group):
        typed = text[before.span.start : before.span.end]
        what, mend = "`/` repeats a beat word, found a group before it", Mend("type the group again", typed)
    elif isinstance(before, ToDo):
        what, mend = "`/` repeats a beat word, found `?` before it", Mend("type `?` again", "?")
    else:
        what = "`/` repeats the beat word before it, found none in this bar"
        mend = Mend("to hold the note over the barline type `-`", "-")
    return Fault("slash-first", *word.span, what, mend)


def _check_chords(chords: Sequence[ChordWord], words: Sequence[Word], text: str) -> None:
    """Check the chords before one word: each has its own slot. Whether the word has it is asked later."""
    taken: dict[int, ChordWord] = {}
    for chord in chords:
        if chord.slot in taken:
            what = f"two chords at one place, `{taken[chord.slot].name}` and `{chord.name}`"
            mends = [Mend(f"to set it at the second slot of the word type `@2:{chord.name}`")]
            if (shared := _shared_out(chords, words, text)) is not None:
                mends.insert(0, shared)
            raise Fault("two-chords", *chord.span, what, *mends)
        taken[chord.slot] = chord


def _shared_out(chords: Sequence[ChordWord], words: Sequence[Word], text: str) -> Mend | None:
    """Return the mend of chords that all stand first in a bar: each goes before its share of the beat words."""
    timed = [word for word in words if isinstance(word, Timed)]
    if len(timed) % len(chords) or len(timed) + len(chords) != len(words) or any(c.slot > 1 for c in chords):
        return None
    share = len(timed) // len(chords)
    pieces = []
    for place, word in enumerate(timed):
        if place % share == 0:
            chord = chords[place // share]
            pieces.append(text[chord.span.start : chord.span.end])
        pieces.append(text[word.span.start : word.span.end])
    start, end = words[0].span.start, words[-1].span.end
    return Mend("each chord stands before its beat word", " ".join(pieces), start, end)
