"""The codes of findings, one file a family."""
