"""Compiled drafts in other formats: MusicXML, MEI, MIDI, all as bytes. Importing it imports nothing heavy."""
