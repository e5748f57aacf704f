"""Pitch, key, metre, chord, rhythm: what a draft means, in exact values. Imports nothing heavy."""
