"""Tidying: the layout of a pattern as its house wants it, and nothing that it says changed.

Each kind of edit is a small function from the page to edits, in a file named for what it
does; ``families.py`` puts them together, ``tidy.py`` reads the outcome again and keeps it
only where it says the same.
"""
