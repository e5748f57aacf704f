"""Lines divided or named in another way than ours: endings as they are printed, numbers of times, other directives."""

from __future__ import annotations

import re
from collections.abc import Callable

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.source.fault import Mend
from scribe.source.other_names import PHRASES
from scribe.source.slips_words import MOST_REPEATED

# Directives by other names.
_NAMES = {
    "tuning": "strings", "tune": "strings", "artist": "player", "bassist": "player", "musician": "player",
    "band": "player", "author": "composer", "writer": "composer", "by": "composer", "arranger": "composer",
    "song": "title", "name": "title", "piece": "title", "bpm": "tempo", "speed": "tempo", "metre": "time",
    "meter": "time", "timesig": "time", "timesignature": "time", "signature": "time", "keysig": "key",
    "tonality": "key", "groove": "feel", "rests": "rest", "upbeat": "pickup", "anacrusis": "pickup",
    "volta": "ending", "file": "recording", "audio": "recording", "bars": "layout",
}  # fmt: skip
_SECTION = re.compile(
    r"(?i:(?:section|part|rehearsal|mark)[ \t:]+)?[(\[<]?([A-Za-z0-9]{1,3}|[A-Z]\w+)[)\]>:.]?"
)
_SHOWN = ("tab", "fingers", "positions", "strings", "degrees", "names", "tones")


def ending_at_barline(ending: re.Match[str], raw: str) -> Diagnostic:
    """Return the fault of an ending's number at a barline (`|1 g b`). Places count from the start of its line."""
    passes = re.sub(r"[ \t]", "", ending["passes"]).replace("-", ",")
    message = f"an ending has a line of its own, found `{ending['passes']}` at a barline"
    order = f"write `ending {passes}` on a line, and the bars of the ending on the next one"
    before = raw[: ending.start()].strip()
    if before.strip("|:"):
        hint = Hint(order, f"\nending {passes}\n  | ", Span(*ending.span()))
    else:  # nothing but its barline before it
        hint = Hint(order, f"ending {passes}\n{before} ", Span(0, ending.end()))
    return Diagnostic("ending-at-barline", "error", Span(*ending.span("passes")), message, (hint,))


def times_as_bar(text: str, start: int, times: int, bars: int, repeated: bool) -> Diagnostic:
    """Return the hint about a line's last bar, at `start`, that says how often something is played: `x4`.

    `bars` stand before it on the line; `repeated` tells whether they end with a repeat sign.
    """
    span = Span(start, start + len(text))
    message = f"`{text}` is a bar of its own here, a dead note and a degree"
    again = " | ".join(["%"] * (times - 1))
    if repeated:
        order = f'a repeat is played twice; to say more write words into its first bar: `"{times} times"`'
        hint = Hint(order)
    elif bars == 1 and 1 < times <= MOST_REPEATED:
        hint = Hint(f"for the bar before it {times} times in all write `{again}`", again, span)
    else:
        hint = Hint("the last bar again is `%`; several bars again stand between `|:` and `:|`")
    return Diagnostic("times-as-bar", "hint", span, message, (hint,))


def other_line(body: str, start: int, fits: Callable[[str, str], bool]) -> Mend | None:
    """Return the mend of a line that says in another way what a directive, a mark or a sign says.

    `body` is the line without blanks and comment, `start` where it begins; `fits` tells whether a value is one of a
    directive.
    """
    end = start + len(body)
    first, _, value = body.partition(" ")
    value = value.strip(" \t:=")
    name = first.lower().rstrip(":=")
    section = _SECTION.fullmatch(body)
    if section and (body != section[1] or len(body) == 1):
        return Mend("a section mark is", f"[{section[1]}]", start, end)
    sign = next((typed for pattern, typed, _ in PHRASES if pattern.fullmatch("'" + body)), None)
    if sign or name in ("segno", "coda", "fine", "tocoda"):
        typed = f"'{sign or name}".replace("\\1", "")
        return Mend(f"it stands inside a bar: `| {typed} …`")
    if name in ("repeat", "repeats"):
        return Mend("bars are played again between `|:` and `:|`, a section by a line such as `use A`")
    if re.match(r"(?i)(half|double)[ -]?time\b|rit\b|rall|accel|a tempo", body):
        return Mend(f'words are printed from inside a bar: `| "{body}" …`')
    if name in _SHOWN and value.lower() in ("", "on", "yes", "true"):
        return Mend("it is shown by", f"show {name}", start, end)
    whole = next((each for each in ("feel", "time", "key") if fits(each, body)), "")
    if whole and (whole != "key" or value):
        return Mend("the line is", f"{whole} {body}", start, end)
    if re.fullmatch(r"\d{2,3}[ \t]*(?i:bpm)?|(?i:q|quarter|♩)[ \t]*=[ \t]*\d{2,3}", body):
        return Mend("the line is", "tempo " + re.sub(r"\D", "", body), start, end)
    known = _NAMES.get(name)
    if known is None or not value:
        return None
    if fits(known, value):
        return Mend("the line is", f"{known} {value}", start, end)
    return Mend(f"the line is `{known}` and its value")
