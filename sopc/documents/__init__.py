"""Turns an office into page models, one file a kind of paper, and those into HTML; knows neither PDF nor files."""
