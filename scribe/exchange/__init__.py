"""Scores of other programs come in as drafts, drafts go out: MusicXML, MEI and MIDI."""
