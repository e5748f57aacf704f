"""A file's bytes as a line: MusicXML, compressed MusicXML, MEI. (MIDI: see `scribe.exchange.midi`.)"""

from __future__ import annotations

import warnings
from contextlib import redirect_stderr
from dataclasses import replace
from io import StringIO

from lxml import etree
from music21 import converter, harmony, stream

from scribe.exchange import extras as more_of
from scribe.exchange import meiextras, xmlextras, xmlready
from scribe.exchange.asides import Asides, with_asides
from scribe.exchange.asidesxml import take_asides
from scribe.exchange.carried import carried, same_music
from scribe.exchange.extras import Extras
from scribe.exchange.guard import Element, open_score
from scribe.exchange.known import NOTHING, Known
from scribe.exchange.m21 import Candidate, read_line
from scribe.exchange.m21.settled import slap_as_said
from scribe.exchange.meiready import prepare, silence
from scribe.exchange.merge import merged
from scribe.exchange.model import Cannot, Line
from scribe.exchange.taken import Taken
from scribe.exchange.way import best_way
from scribe.music.assemble import assemble
from scribe.source.read import read

NO_ASIDES = Asides()


def take(data: bytes, part: str | None = None, voice: int | None = None, known: Known = NOTHING) -> Taken:
    """Return one line of a file.

    `part`: a number from 1 or a name; `voice`: a number from 1; without them the lowest monophonic line.
    `known`: what a MIDI file need not say.

    Raises:
        Cannot: the file cannot be read, or holds no such part or voice, or no notes.
    """
    kind, found = open_score(data)
    if kind == "midi":
        from scribe.exchange.midi import take_midi

        assert isinstance(found, bytes)
        if (voice or 1) > 1:
            raise Cannot(f"no voice {voice} there; the channels of a MIDI file are its parts")
        return take_midi(found, part, known)
    if known != NOTHING:
        raise Cannot(f"no MIDI file, but notation, which says by itself what was told ({known.said})")
    assert not isinstance(found, bytes)
    text = carried(found)
    asides = take_asides(found)
    taken = _take(kind, found, part, voice)
    own = taken._replace(line=_settled(taken.line, asides))
    return _with_draft(taken, own, asides, text) if text else own


def _with_draft(bare: Taken, taken: Taken, asides: Asides, text: str) -> Taken:
    """Add the draft that a file carries: as it is if the file says what it does, else with the changed bars in it.

    `bare`: what was taken without its asides. A program that has thrown them away has not changed the music.
    """
    from scribe.exchange.out.mei import mei
    from scribe.exchange.out.musicxml import musicxml

    piece = assemble(read(text))
    if sum(bar.rests or 1 for bar in piece.bars) != len(taken.line.bars):
        return taken
    try:
        _, own = open_score((mei if taken.kind == "mei" else musicxml)(piece))
        assert not isinstance(own, bytes)
        its = take_asides(own)
        again = _take(bare.kind, own, None, None).line
    except Exception:  # a text that cannot be given out is not where the file came from
        return taken
    if same_music(bare.line, again):
        return taken._replace(draft=text)
    if asides == its:
        made = merged(text, _settled(again, its), taken.line, best_way(taken.line))
    else:
        made = merged(text, _settled(again), _settled(bare.line), best_way(taken.line))
    return taken if made is None else taken._replace(draft=made[0], changed=made[1])


def _settled(line: Line, asides: Asides = NO_ASIDES) -> Line:
    """A line with what its file says beside the music, and with what can be told only then."""
    line = with_asides(line, asides) if asides != NO_ASIDES else line
    return replace(line, bars=tuple(slap_as_said(line.bars)))


def _take(kind: str, found: Element, part: str | None, voice: int | None) -> Taken:
    more = more_of.NOTHING
    if kind == "musicxml":
        found = xmlready.prepare(found)
        more = xmlextras.extras(found)
    else:
        more = meiextras.extras(found, prepare(found))
    score = _score(found, kind)
    if kind == "mei":
        silence(score)
    line, chosen, all_of_them = _line(score, part, voice, more)
    return Taken(line, kind, str(chosen), len(all_of_them) - 1)


def _score(root: Element, kind: str) -> stream.Score:
    """Let music21 read what is left after the guard: a document without a type and without entities."""
    text = etree.tostring(root, encoding="unicode")
    # music21 keeps a scale for each root, built on a pitch of the score read before, which was transposed since.
    harmony.realizerScaleCache.clear()
    try:
        with warnings.catch_warnings(), redirect_stderr(StringIO()):
            warnings.simplefilter("ignore")
            score = converter.parseData(text, format=kind)
    except RecursionError:
        raise Cannot("nested too deep") from None
    except Exception as fault:  # whatever music21 trips over in a file is the file's fault here
        raise _not_understood(fault) from None
    if isinstance(score, stream.Opus):
        scores = list(score.scores)
        if not scores:
            raise Cannot("no score in it")
        score = scores[0]
    if not isinstance(score, stream.Score):
        whole = stream.Score()
        whole.insert(0, score)
        score = whole
    return score


def _line(
    score: stream.Score, part: str | None, voice: int | None, more: Extras
) -> tuple[Line, Candidate, list[Candidate]]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return read_line(score, part, voice, more)
    except Cannot:
        raise
    except Exception as fault:  # the same
        raise _not_understood(fault) from None


def _not_understood(fault: Exception) -> Cannot:
    """What a reader said of a file; where it only stumbled, its words tell a user nothing."""
    said = _short(str(fault))
    if isinstance(fault, AttributeError | TypeError | LookupError | AssertionError | ArithmeticError):
        return Cannot("not understood: something is missing in it, or stands where it does not belong")
    if isinstance(fault, ValueError):
        return Cannot(f"not understood: a value in it is none ({said})")
    return Cannot(f"not understood: {type(fault).__name__} {said}".rstrip())


def _short(text: str) -> str:
    first = " ".join(text.split("\n")[0].split())
    return first if len(first) <= 100 else first[:99] + "…"
