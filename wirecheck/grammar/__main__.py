"""`python -m wirecheck.grammar` makes `parser.py` of the grammar, by lark's own generator of parsers.

Made ahead, it loads in half the time that lark takes to read the grammar and to work out its tables.
"""

from __future__ import annotations

import hashlib
from io import StringIO
from pathlib import Path
from typing import Any

from lark.tools.standalone import gen_standalone

from wirecheck.grammar import full, words

HEAD = "# Made by `python -m wirecheck.grammar` of the grammar with SHA-256 "


def head() -> str:
    """The first line of the parser that belongs to the grammar as it is."""
    return HEAD + hashlib.sha256(words.text().encode()).hexdigest()


def main() -> None:
    """Write the parser anew, whole or not at all."""
    made = StringIO()
    generator: Any = gen_standalone  # it has no types
    generator(full.parser(), out=made)
    target = Path(__file__).with_name("parser.py")
    new = target.with_suffix(".new")
    new.write_text(f"{head()}\n{made.getvalue()}", encoding="utf-8")
    new.replace(target)


if __name__ == "__main__":
    main()
