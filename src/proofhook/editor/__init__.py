"""The language server: proofs, figures and changes in the editor, while a pattern is written.

Every answer is a pure function of a document as it was worked out (``document.py``); only
``server.py`` knows how messages come and go.
"""
