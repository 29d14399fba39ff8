"""`python -m diagnose` is the same as `diagnose`."""

from __future__ import annotations

from diagnose.cli import main

main()
