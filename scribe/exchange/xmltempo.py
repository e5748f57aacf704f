"""The tempo words of a MusicXML score, whichever part they stand over, and speeds as music21 can read them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from scribe.exchange.tempowords import is_change, is_tempo
from scribe.music.inforce import Tempo

PLAYED = ""  # the value of a tempo that is only played, in quarters: no note is printed with it
USUAL = 120  # quarters a minute that programs play when nothing is said: no news
_SPEED = re.compile(r"\d+(?:\.\d+)?")


class TempoWords(NamedTuple):
    """By index of the measure. `beside`: words printed with a mark; `alone`: tempos without a printed number."""

    beside: dict[int, str]
    alone: dict[int, Tempo]


def plain_speeds(root: etree._Element) -> None:
    """Leave `ca. 72` and `72-76` a number, and say the rest in words: music21 reads numbers only."""
    for each in root.iterfind("part/measure/direction/direction-type/metronome/per-minute"):
        text = _clean(each.text or "")
        number = _SPEED.search(text)
        if number is None or number[0] == text:
            continue
        each.text = number[0]
        rest = _clean(text.replace(number[0], "", 1)).strip("()")
        direction = next(each.iterancestors("direction"))
        words = list(direction.iterfind("direction-type/words"))
        said = rest if rest[:1].isalpha() else text
        if words:
            words[-1].text = f"{(words[-1].text or '').rstrip(' (')} {said}"
        else:
            made = etree.Element("direction-type")
            etree.SubElement(made, "words").text = said
            direction.insert(0, made)


def tempo_words(root: etree._Element) -> TempoWords:
    """Return the words of tempo marks, and words that are one.

    MusicXML 4.0, `direction`: `directive` "indicates that it is a tempo indication". Other words before a bar's first
    note count where the direction is played as a tempo, or where they name one above the first of several staves.
    """
    found = TempoWords({}, {})
    staves = sum(_staves(part) for part in root.iterchildren("part"))
    for place, part in enumerate(root.iterchildren("part")):
        for index, measure in enumerate(part.iterchildren("measure")):
            said = list(_said(measure, vocabulary=place == 0 and staves > 1))
            marked = [each for each in said if each.value]
            for tempo in said:
                if tempo.words and (tempo.value or (marked and not marked[0].words)):
                    found.beside.setdefault(index, tempo.words)
                elif not tempo.value:
                    found.alone.setdefault(index, tempo)
    return found


def _said(measure: etree._Element, *, vocabulary: bool) -> Iterator[Tempo]:
    """The tempos before the first note; `value` is `Q` for printed marks, PLAYED for words alone."""
    for each in measure:
        if each.tag == "note":
            return
        if each.tag != "direction":
            continue
        words = _clean(" ".join(w.text or "" for w in each.iterfind("direction-type/words")))
        sound = each.find("sound")
        played = None if sound is None else sound.get("tempo")
        top = (
            vocabulary and (each.findtext("staff") or "1").strip() == "1" and each.get("placement") != "below"
        )
        if each.find("direction-type/metronome") is not None:
            yield Tempo(words, "Q", None)
        elif words and each.get("directive") == "yes":
            yield Tempo(_unfinished(words), PLAYED, None)
        elif words and not is_change(words) and (is_tempo(words) if top else played and is_tempo(words)):
            yield Tempo(words, PLAYED, _speed(played))


def _speed(text: str | None) -> Fraction | None:
    try:
        number = Fraction(text or "").limit_denominator(1000)
    except (ValueError, ZeroDivisionError):
        return None
    return number if 0 < number <= 999 and number != USUAL else None


def _unfinished(words: str) -> str:
    """Words without the empty brackets that are left where a note was drawn by other means."""
    return _clean(re.sub(r"\(\s*=?\s*\)", "", words)) or words


def _staves(part: etree._Element) -> int:
    counts = [(each.text or "").strip() for each in part.iterfind("measure/attributes/staves")]
    return max((int(count) for count in counts if count.isdigit()), default=1)


def _clean(text: str) -> str:
    return " ".join(text.split())
