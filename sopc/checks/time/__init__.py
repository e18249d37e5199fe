"""When: times and limits of procedures, on every way."""
