"""`python -m planpress`."""

from planpress.cli import main

main()
