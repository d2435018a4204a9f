"""A whole project in one file, out and in."""
