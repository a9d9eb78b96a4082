"""Floor 0: exact quantities, how they are read and printed, diagnostics, the display list, reference data."""
