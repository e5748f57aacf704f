"""The read stage: a draft's text to `Draft`. Each line is classified by how it begins, then read alone."""

from __future__ import annotations

from scribe.diagnostics import Diagnostic, Span
from scribe.source.bar import parse_bar
from scribe.source.directives import mistyped, read_directive, unknown_line
from scribe.source.fault import line_fault
from scribe.source.musicline import begins_music, read_music, sign_alone
from scribe.source.plain import plain_line
from scribe.source.tree import BarCell, Directive, Draft, Line, Music

__all__ = ["faults_left_out", "parse_bar", "read", "read_line"]

LONGEST_LINE = 50_000  # characters; a line of a hundred bars is a tenth of that
MOST_FAULTS = 100  # of lines that are said one by one

_BOM = "\ufeff"


def read(text: str) -> Draft:
    """Read a draft. Never raises, whatever the text.

    Lines with a fault that leaves nothing to use (an unknown directive, a bad value) are left out; a music line
    keeps its good bars. Time and memory grow with the length of the text.
    """
    lines: list[Line] = []
    diagnostics: list[Diagnostic] = []
    at = len(_BOM) if text.startswith(_BOM) else 0
    broken = unsaid = 0
    last = Span(0, 0)
    while at < len(text):
        end = text.find("\n", at)
        end = len(text) if end < 0 else end
        line, faults = read_line(text[at:end].rstrip("\r"))
        if line is not None:
            lines.append(_shift(line, at))
        broken += bool(faults)
        if broken <= MOST_FAULTS:
            diagnostics.extend(fault.shift(at) for fault in faults)
        elif faults:
            unsaid += 1
            last = Span(at, end)
        at = end + 1
    if unsaid:
        diagnostics.append(faults_left_out(unsaid, last))
    return Draft(text, tuple(lines), tuple(diagnostics))


def faults_left_out(lines: int, last: Span) -> Diagnostic:
    """Say how many lines beyond the first MOST_FAULTS have faults too; `last` is the last of them."""
    message = f"{lines:,} more lines that cannot be read, this is the last"
    return line_fault("too-many-faults", *last, message)


def read_line(raw: str) -> tuple[Line | None, tuple[Diagnostic, ...]]:
    """Read one line without its end. Places count from its start."""
    plain = plain_line(raw)
    body = plain.lstrip(" \t")
    if not body or body[0] == ";":
        return None, ()
    if len(raw) > LONGEST_LINE:
        message = (
            f"a line of {len(raw):,} characters is more than can be read, expected at most {LONGEST_LINE:,}"
        )
        return None, (line_fault("line-too-long", 0, len(raw), message),)
    if begins_music(body):
        return read_music(raw)
    directive = read_directive(raw, plain)
    if directive is not None:
        return directive
    if "|" in body and not mistyped(body):
        return read_music(raw)
    return None, (sign_alone(raw, plain) or unknown_line(raw, plain),)


def _shift(line: Line, by: int) -> Line:
    if isinstance(line, Directive):
        return Directive(line.name, line.text, line.span.shift(by), line.value_span.shift(by))
    section_span = line.section_span.shift(by) if line.section_span else None
    cells = tuple(BarCell(c.bar, c.start + by, c.left, c.right) for c in line.cells)
    return Music(line.section, section_span, line.time, line.continues, cells, line.span.shift(by))
