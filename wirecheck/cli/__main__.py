"""`python -m wirecheck.cli`."""

from wirecheck.cli import main

main()
