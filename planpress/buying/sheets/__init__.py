"""Layouts of sheets: rectangles sawn edge to edge from panels."""
