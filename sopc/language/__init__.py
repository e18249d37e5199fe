"""From text to syntax: what the officer wrote, with places, and what was wrong with it; no meaning yet."""
