"""Plays procedures through: random answers, random machine times, greedy staff; shares nothing with the checks."""
