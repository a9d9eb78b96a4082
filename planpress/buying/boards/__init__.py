"""Layouts of boards: parts of one thickness and width, crosscut from boards on sale and boards at hand."""
