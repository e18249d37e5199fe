"""Who, and wearing what."""
