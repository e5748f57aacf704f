"""Bars as MEI for Verovio: notes and their marks in full, words as stand-ins that only keep their room."""
