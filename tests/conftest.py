"""What all tests share: property tests never judge by time, and try the same cases everywhere."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")
