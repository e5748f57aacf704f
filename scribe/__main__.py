"""`python -m scribe` is the `scribe` command."""

from scribe.commands.main import main

if __name__ == "__main__":
    main()
