"""`python -m wirecheck`."""

from wirecheck.cli import main

main()
