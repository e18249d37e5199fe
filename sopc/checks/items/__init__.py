"""In which order: what steps do to items, and what they need for it."""
