"""From YAML text to a checked tree: every flaw with its place, no probability, no screen."""
