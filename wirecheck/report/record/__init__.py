"""The record of a verified change: what was checked, of which files, with which result; and its checking."""
