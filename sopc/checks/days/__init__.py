"""A whole day: visits, machines, people and sets against each other."""
