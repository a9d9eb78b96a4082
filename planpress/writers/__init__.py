"""Floor 5: display list or solids to bytes."""
