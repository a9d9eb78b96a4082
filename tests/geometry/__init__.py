"""Tests of floor 1, geometry."""
