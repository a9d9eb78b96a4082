"""Buying and cutting: layouts of boards (one dimension) and sheets (two), each with a proven bound on its cost.

Start reading at `boards/layout.py` and `sheets/layout.py`; `python -m planpress.buying FILE.json` solves one instance.
"""
