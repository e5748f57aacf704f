"""The read stage: text to `Draft`. Knows the shorthand's grammar, nothing of what it means in music."""
