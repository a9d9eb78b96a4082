"""Floor 1: vectors, frames, solids, hidden lines, outlines."""
