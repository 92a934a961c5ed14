"""The counter: rows worked stitch by stitch, and what they come to."""
