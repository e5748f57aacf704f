"""The shell: the only stage that touches disk, clock and terminal."""
