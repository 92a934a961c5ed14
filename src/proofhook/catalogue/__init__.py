"""The back catalogue: many patterns at once, in several processes, and not twice.

Everything here gives what one process gives that keeps nothing, byte for byte.
"""
