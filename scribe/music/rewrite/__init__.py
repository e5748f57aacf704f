"""Rewriting a draft's text: other names, another key, another way of writing, with every other sign left alone."""
