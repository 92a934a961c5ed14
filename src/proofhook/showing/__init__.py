"""Showing: what people and programs get to see of a proof or a tally."""
