"""Questions at a prompt and plain text in a pipe: the only room that reads keys."""
