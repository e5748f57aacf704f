"""How a line lies under the hand: places on the neck, the cheapest fingering, other ways, bass arrangements."""
