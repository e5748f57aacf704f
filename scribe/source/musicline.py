"""A line of music: section mark, time in the recording, and the bars between its barlines."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from scribe.diagnostics import Diagnostic, Span
from scribe.source.bar import parse_bar
from scribe.source.directions import DIRECTIONS, LEVELS
from scribe.source.fault import Mend, line_fault
from scribe.source.plain import BLANKS, plain_line
from scribe.source.tree import BarCell, Barline, Music

BARLINES: dict[str, Barline] = {
    "|": "single",
    "||": "double",
    "|:": "repeat start",
    ":|": "repeat end",
    ":|:": "repeat both",
}
MOST_BROKEN = 100  # bars of one line that are read although they are broken; a line with more is no music

_PIECE = re.compile(r'"[^"|]*"?|;|:?\|+:?')  # what splits a line: texts hide the other two
_BEGINS = re.compile(r"[|\[]|:\||\d[\d:.,]*[ \t]*[|\[]|\d+:\d")
_SECTION = re.compile(r"[ \t]*\[([^\]|;]*)(\]?)")
_CLOCK = re.compile(r"[ \t]*(\d[\d:.,]*)(?=[ \t]|[|\[]|;|$)")
_TIME = re.compile(r"(?:(\d{1,3}):)?(\d{1,3}):(\d\d)(\.\d+)?")
# The number of an ending as it is printed: glued to its barline, notes by letter behind it.
_ENDING = re.compile(
    r"(?:\[|[ \t]+\[)?(?P<passes>[1-9](?:[ \t]*[,-][ \t]*[1-9])*)[.:)\]]*[ \t]+"
    r"(?![^|;]*(?<![^ \t])[#bn^v]*\d)(?=[^|;]*(?<![^ \t])[~hp/\\^vq(,]*[A-Ga-g])"
)
# The name of a section without its brackets: it ends with a colon, or is a word that no notes are.
_LABEL = re.compile(
    r"[ \t]*(?:([A-Za-z][A-Za-z0-9 ]{0,30}?)[ \t]*:"
    r"|((?i:intro|verse|chorus|bridge|head|solo|outro|coda|interlude|vamp|tag|shout|refrain)[ \t]*\d?))[ \t]*"
)
_TIMES = re.compile(r"\(?(?:x[ \t]*(\d{1,2})|(\d{1,2})[ \t]*x)\)?")
_SIGNS = re.compile(r"""[ \t]*((?:'[^\s|;"{}']+|"[^"|]*")(?:[ \t]+(?:'[^\s|;"{}']+|"[^"|]*"))*)[ \t]*""")


def begins_music(body: str) -> bool:
    """Tell whether a line (without the blanks before it) begins like one of music."""
    return _BEGINS.match(body) is not None


@lru_cache(maxsize=4096)
def read_music(raw: str) -> tuple[Music | None, tuple[Diagnostic, ...]]:
    """Read a line of music without its end. Places count from its start; faults inside a bar stay with the bar."""
    plain = plain_line(raw)
    faults: list[Diagnostic] = []
    at = 0
    section: str | None = None
    section_span: Span | None = None
    time: Fraction | None = None
    clock: re.Match[str] | None = None
    if (signs := _SIGNS.match(plain)) and (mark := _SECTION.match(plain, signs.end())) and mark[2]:
        moved = f"{raw[mark.start() : mark.end()].strip(BLANKS)} | {raw[signs.start(1) : signs.end(1)]}"
        faults.append(_outside(raw, signs, Mend(f"put it behind the section's barline: `{moved} …`")))
        at = signs.end()
    for _ in range(2):  # a section mark and a time, in either order
        if section is None and (found := _SECTION.match(plain, at)):
            section, section_span, fault = _section(found, raw)
            at = found.end()
        elif clock is None and (found := _CLOCK.match(plain, at)):
            clock = found
            time, fault = _clock(found)
            at = found.end()
        else:
            break
        if fault:
            faults.append(fault)
    cells, end, more = _cells(raw, plain, at, at > 0)
    faults.extend(more)
    if clock and not cells and not faults:
        message = "expected music behind the time in the recording"
        faults.append(
            line_fault("time-without-music", *clock.span(1), message, Mend("begin the bar with `|`"))
        )
    start = len(raw) - len(raw.lstrip(BLANKS))
    if section is None and not cells:
        return None, tuple(faults)
    span = Span(start, max(end, start))
    return Music(section, section_span, time, start > 0, cells, span), tuple(faults)


def _section(found: re.Match[str], raw: str) -> tuple[str | None, Span, Diagnostic | None]:
    start, end = found.start(1) - 1, found.end()
    typed = raw[found.start(1) : found.end(1)]
    name = typed.strip(BLANKS)
    if not found[2]:
        end = start + 1 + len(typed.rstrip(BLANKS))
    if not name:
        message = "expected the name of a section, as in `[A]`"
        return None, Span(start, end), line_fault("section-mark", start, end, message)
    if not found[2]:
        message = "expected `]` behind the name of the section"
        fault = line_fault("section-mark", start, end, message, Mend("close the mark", "]", end, end))
        return name, Span(start, end), fault
    return name, Span(start, end), None


def _clock(found: re.Match[str]) -> tuple[Fraction | None, Diagnostic | None]:
    typed = found[1]
    time = _TIME.fullmatch(typed)
    if time and int(time[3]) < 60 and not (time[1] and int(time[2]) > 59):
        seconds = (int(time[1] or 0) * 60 + int(time[2])) * 60 + int(time[3])
        return seconds + Fraction("0" + (time[4] or ".0")), None
    message = f"expected a time in the recording such as `0:12.4` or `1:02:03`, found `{typed}`"
    near = _near_time(typed)
    mends = [Mend("write it as", near)] if near else []
    if typed.rstrip(":.").isdigit():
        mends.append(Mend("bars are numbered by themselves: leave a bar's number out"))
    return None, line_fault("recording-time", *found.span(1), message, *mends)


def _near_time(typed: str) -> str | None:
    """Return the time that was probably meant: `75.5` is 1:15.5, `0:7` is 0:07, `1:75` is 2:15."""
    parts = typed.replace(",", ".").strip(".:").split(":")
    if not all(re.fullmatch(r"\d{1,5}", part) for part in parts[:-1]) or len(parts) > 3:
        return None
    last = re.fullmatch(r"(\d{1,5})(\.\d{1,6})?", parts[-1])
    if not last:
        return None
    seconds = int(last[1])
    for power, part in enumerate(reversed(parts[:-1]), start=1):
        seconds += int(part) * 60**power
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    front = f"{hours}:{minutes:02}" if hours else f"{minutes}"
    return f"{front}:{seconds:02}{last[2] or ''}"


def _cells(raw: str, plain: str, at: int, headed: bool) -> tuple[tuple[BarCell, ...], int, list[Diagnostic]]:
    """Return the bars from `at` on, the end of what the line says, and the faults of barlines."""
    faults: list[Diagnostic] = []
    cells: list[BarCell] = []
    left: Barline | None = None
    broken = 0
    seen = False  # a barline
    start = at
    end = len(raw)
    for piece in _PIECE.finditer(plain, at):
        sign = piece[0]
        if sign == ";":
            end = piece.start()
            break
        if sign[0] == '"':
            continue
        barline, fault = _barline(piece)
        if fault:
            faults.append(fault)
        signs = None if seen else _SIGNS.fullmatch(plain, start, piece.start())
        if signs:
            faults.append(_sign_before_barline(raw, signs, piece))
            left = barline
        elif seen or raw[start : piece.start()].strip(BLANKS):
            if not seen and (label := _LABEL.fullmatch(plain, start, piece.start())):
                faults.append(_label(raw, label))
                left, seen, start = barline, True, piece.end()
                continue
            if not seen:
                faults.append(_no_barline(raw, start, piece.start()))
                left = "single"
            if (ending := _printed_ending(plain, start, piece.start())) is not None:
                faults.append(_ending(ending, raw))
                start = ending.end()
            cell = _cell(raw, start, piece.start(), left, barline)
            broken += cell.bar.broken
            if broken > MOST_BROKEN:
                message = f"{MOST_BROKEN} broken bars in one line: the rest of it was not read"
                faults.append(line_fault("too-many-faults", start, len(raw), message))
                return tuple(cells), len(raw), faults
            cells.append(cell)
            left = None
        else:
            left = barline
        seen = True
        start = piece.end()
        if cells:
            left = None
    rest = raw[start:end].strip(BLANKS)
    alone = None if seen else _SIGNS.fullmatch(plain, start, end)
    if alone:
        faults.append(_sign_without_bar(raw, alone))
    elif headed and not seen and _TIMES.fullmatch(plain_line(rest)):
        faults.append(_section_times(raw, start, rest))
    elif rest or (seen and not cells):
        if not seen:
            faults.append(_no_barline(raw, start, end))
            left = "single"
        if (ending := _printed_ending(plain, start, end)) is not None:
            faults.append(_ending(ending, raw))
            start = ending.end()
        cells.append(_cell(raw, start, end, left, None))
    elif not seen and not headed:
        faults.append(_no_barline(raw, start, end))
    if (
        len(cells) > 1
        and not cells[-1].bar.broken
        and (times := _TIMES.fullmatch(plain_line(cells[-1].bar.text)))
    ):
        faults.append(_times(cells, int(times[1] or times[2])))
    return tuple(cells), len(raw[:end].rstrip(BLANKS)), faults


def _barline(piece: re.Match[str]) -> tuple[Barline, Diagnostic | None]:
    sign = piece[0]
    if sign in BARLINES:
        return BARLINES[sign], None
    before, after = sign[0] == ":", sign[-1] == ":"
    meant = ":|:" if before and after else ":|" if before else "|:" if after else "||"
    message = f"unknown barline `{sign[:20]}`, expected `|`, `||`, `|:`, `:|` or `:|:`"
    mends = [Mend("type", meant)]
    if not before and not after:
        mends.append(Mend("an empty bar has a blank between its barlines"))
    return BARLINES[meant], line_fault("unknown-barline", *piece.span(), message, *mends)


def _cell(raw: str, start: int, end: int, left: Barline | None, right: Barline | None) -> BarCell:
    while start < end and raw[start] in BLANKS:
        start += 1
    while end > start and raw[end - 1] in BLANKS:
        end -= 1
    return BarCell(parse_bar(raw[start:end]), start, left, right)


def _printed_ending(plain: str, start: int, end: int) -> re.Match[str] | None:
    """The number of an ending at the start of a bar, in a line that repeats, or that begins with a later one."""
    found = _ENDING.match(plain, start, end)
    if found is None or ":|" in plain or (found["passes"] != "1" and not plain[:start].strip(" \t|")):
        return found
    return None


def _ending(ending: re.Match[str], raw: str) -> Diagnostic:
    from scribe.source.slips_lines import ending_at_barline

    return ending_at_barline(ending, raw)


def _times(cells: list[BarCell], times: int) -> Diagnostic:
    from scribe.source.slips_lines import times_as_bar

    last = cells[-1]
    return times_as_bar(last.bar.text, last.start, times, len(cells) - 1, cells[-2].right == "repeat end")


def _section_times(raw: str, start: int, times: str) -> Diagnostic:
    at = raw.index(times, start)
    message = f"expected music behind the section mark, found `{times}`"
    mend = Mend("bars are played again between `|:` and `:|`, a section is by a line `use` with its name")
    return line_fault("no-barline", at, at + len(times), message, mend)


def sign_alone(raw: str, plain: str) -> Diagnostic | None:
    """Return the fault of a line that holds nothing but signs of a bar (`'segno`, `"text"`), or None."""
    alone = _SIGNS.fullmatch(plain, 0, _comment(plain))
    return _sign_without_bar(raw, alone) if alone else None


def _comment(plain: str) -> int:
    """Return where the comment of a line begins; its length where there is none."""
    return next((p.start() for p in _PIECE.finditer(plain) if p[0] == ";"), len(plain))


def _sign_without_bar(raw: str, signs: re.Match[str]) -> Diagnostic:
    typed = raw[signs.start(1) : signs.end(1)]
    message = f"{_kind(signs[1])} stands inside a bar, found `{typed}` with no bar on its line"
    mend = Mend(f"write it inside the next bar: `| {typed} …`")
    return line_fault("sign-outside-bar", *signs.span(1), message, mend)


def _sign_before_barline(raw: str, signs: re.Match[str], barline: re.Match[str]) -> Diagnostic:
    moved = f"{barline[0]} {raw[signs.start(1) : signs.end(1)]}"
    glued = raw[barline.end() : barline.end() + 1].strip(BLANKS)
    typed = moved + " " if glued else moved
    return _outside(
        raw, signs, Mend(f"put it behind the barline: `{moved} …`", typed, signs.start(1), barline.end())
    )


def _outside(raw: str, signs: re.Match[str], mend: Mend) -> Diagnostic:
    typed = raw[signs.start(1) : signs.end(1)]
    message = f"{_kind(signs[1])} stands inside its bar, found `{typed}` before the first barline"
    return line_fault("sign-outside-bar", *signs.span(1), message, mend)


def _kind(signs: str) -> str:
    """Return what the first of some signs is, in words."""
    if signs[0] == '"':
        return "a text above the staff"
    info = DIRECTIONS.get(signs[1:].split()[0].lower())
    kind = info.kind if info else ""
    return "a dynamic" if kind in LEVELS else "a sign of the form" if kind == "form" else "a direction"


def _label(raw: str, label: re.Match[str]) -> Diagnostic:
    """Return the fault of a section's name without its brackets: `Verse: | g b |`."""
    start = label.start(label.lastindex or 0)
    end = label.start() + len(raw[label.start() : label.end()].rstrip(BLANKS))
    typed = raw[slice(*label.span(label.lastindex or 0))].strip(BLANKS)
    message = f"a section mark stands between brackets, found `{raw[start:end]}`"
    return line_fault("section-mark", start, end, message, Mend("write", f"[{typed}]", start, end))


def _no_barline(raw: str, start: int, end: int) -> Diagnostic:
    start += len(raw[start:end]) - len(raw[start:end].lstrip(BLANKS))
    end = max(start + len(raw[start:end].split(None, 1)[0]) if raw[start:end].split() else start, start + 1)
    found = raw[start:end]
    message = f"music begins with a barline, found `{found}`"
    return line_fault("no-barline", start, end, message, Mend("begin with `|`", "| ", start, start))
