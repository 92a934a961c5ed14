"""``python -m proofhook``."""

from __future__ import annotations

import sys

from proofhook.cli import main

sys.exit(main())
