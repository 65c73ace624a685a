"""Whole tool paths: at each point what cuts and how fast, along the path the time; in chunks, however long it is."""
