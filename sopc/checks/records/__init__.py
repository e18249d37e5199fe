"""What is written down, when it is due, and what is kept in store."""
