"""Tests of the writers."""
