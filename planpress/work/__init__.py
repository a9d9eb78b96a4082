"""Floor 3: operations and the order they are done in."""
