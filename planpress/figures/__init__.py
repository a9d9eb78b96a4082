"""Floor 4: what to draw, as display lists."""
