"""A written bar as a line of codes, as the rhythm tables of this project write it."""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.written import Written, WrittenBar


class _Wrapper(NamedTuple):
    """A beam or a tuplet around notes first … last."""

    first: int
    last: int
    opening: str
    closing: str


def codes(bar: WrittenBar) -> str:
    """Return for example `E Q E~E Q E`, `Q rQ rH`, `[EEEE] [EEEE]`, `{3:2 [EEE]}`.

    B W H Q E S T X Y are breve, whole … 128th; `.` is a dot, `r` a rest, `~` a tie to the next note, `[ ]` one beam,
    `{n:m }` a tuplet of n in the time of m. The rest of a whole bar is `rW` in any metre.
    """
    wrappers = _wrappers(bar)
    loose = {(n.beam, n.tuplet) for n in bar.notes if n.beam is None or n.dots or n.tied}
    out: list[str] = []
    for index, note in enumerate(bar.notes):
        out += [w.opening for w in wrappers if w.first == index]
        out.append(_code(note))
        closing = [w.closing for w in reversed(wrappers) if w.last == index]
        out += closing
        if index + 1 == len(bar.notes):
            break
        run, after = (note.beam, note.tuplet), bar.notes[index + 1]
        together = run not in loose and run == (after.beam, after.tuplet)
        if closing or not (note.tied or together):
            out.append(" ")
    return "".join(out)


def values(bar: WrittenBar, event: int) -> tuple[str, ...]:
    """Return the codes of the written values of one event, tied ones in order."""
    return tuple(note.code for note in bar.notes if note.event == event)


def _code(note: Written) -> str:
    return ("r" if note.rest else "") + note.code + ("~" if note.tied else "")


def _wrappers(bar: WrittenBar) -> list[_Wrapper]:
    """Beams and tuplets, outer ones first; a tuplet goes around a beam of the same extent."""
    found: list[_Wrapper] = []
    for number, tuplet in enumerate(bar.tuplets):
        inside = [i for i, note in enumerate(bar.notes) if _is_in(bar, note.tuplet, number)]
        found.append(_Wrapper(inside[0], inside[-1], f"{{{tuplet.actual}:{tuplet.normal} ", "}"))
    for beam in dict.fromkeys(note.beam for note in bar.notes):
        if beam is not None:
            inside = [i for i, note in enumerate(bar.notes) if note.beam == beam]
            found.append(_Wrapper(inside[0], inside[-1], "[", "]"))
    return sorted(found, key=lambda w: (w.first, -w.last))


def _is_in(bar: WrittenBar, tuplet: int | None, outer: int) -> bool:
    while tuplet is not None and tuplet != outer:
        tuplet = bar.tuplets[tuplet].parent
    return tuplet is not None
