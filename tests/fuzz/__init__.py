"""Texts and folders at random through the whole program: no fault of it, no hang, no hunger for memory."""
