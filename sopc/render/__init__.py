"""Turns plain drawing and page data into SVG and PDF; knows nothing of the trade."""
