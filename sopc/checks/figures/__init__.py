"""Numbers that hurt when wrong: programs, solutions, readings."""
