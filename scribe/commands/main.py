"""The `scribe` command: what comes before anything else is imported."""

from __future__ import annotations

import gc
import sys

# Name, module and the line that `scribe --help` shows: kept here so that help needs no imports either.
COMMANDS = {
    "new": ("new", "Start a draft."),
    "check": ("check", "Say what is wrong in drafts, and where."),
    "watch": ("watch", "Keep an engraved page open that follows every save."),
    "engrave": ("engrave", "Engrave a draft as SVG, PDF, PNG or MEI."),
    "notes": ("notes", "List every note of a draft: place, length, pitch, degree."),
    "fingering": ("fingering", "Find ways to finger a line: string, fret, finger, position."),
    "arrange": ("arrange", "Make a bass line of another instrument's line."),
    "spell": ("spell", "Look through the names of notes, and put them right."),
    "transpose": ("transpose", "Move a draft into another key."),
    "rewrite": ("rewrite", "Write notes by letter, degree or fret."),
    "import": ("import_", "Make drafts of scores: MusicXML, MEI, MIDI."),
    "export": ("export", "Give drafts to other programs: MusicXML, MEI, MIDI."),
    "explain": ("explain", "Explain the code of a diagnostic."),
}


def calm_collector() -> None:
    """Look for garbage seldom.

    Nearly everything that a command makes stays to its end: looking through it again and again costs a tenth of the
    start, and more the longer the draft is.
    """
    gc.set_threshold(50_000, 50, 1000)


def main() -> None:
    """Run the command line; exit status 0 clean, 1 errors in a draft, 2 misuse or unreadable file."""
    calm_collector()
    # A pipe that closes early (`scribe notes … | head`) is no fault of the draft.
    try:
        from scribe.commands.app import scribe

        scribe(prog_name="scribe")
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
