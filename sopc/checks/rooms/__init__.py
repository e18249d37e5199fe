"""Where: places, zones, and the ways between them."""
