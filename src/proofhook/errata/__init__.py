"""Errata: what changed between two editions of a pattern, in the terms of its maker."""
