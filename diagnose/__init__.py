"""From a symptom of a leisure vehicle to a cause put right, or a firm referral.

The version stands here as plain text, and the package's metadata is made from it: reading it back through
`importlib.metadata` would double the time that `diagnose --version` takes.
"""

from __future__ import annotations

__version__ = "0.1.0"
