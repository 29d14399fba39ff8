"""The page as one text: data, scripts and style in one file that loads nothing."""

from __future__ import annotations

ENGINE = ("namespace", "data", "numbers", "evidence", "past", "stops", "standing", "rules", "stepping",
          "cautioning", "ending", "showing", "readings", "intervals", "doubts", "engine")  # fmt: skip
"""What is needed before any screen, in the order in which it is put together."""
OTHERS = ("code", "sheet", "practise", "screens")
"""Beginnings of names, in order; the scripts of one beginning come in alphabetical order."""
LAST = "start"
"""Begins the screens, once everything else is there."""
