"""Seeded faults: takes an office that compiles, spoils it in one named way, and sees whether sopc tells."""
