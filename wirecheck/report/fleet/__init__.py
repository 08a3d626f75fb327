"""Answers over many files: a line of JSON each, a page, SARIF, JUnit, and the terminal. Decides nothing."""
