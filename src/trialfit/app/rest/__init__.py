"""Calls for other programs and for the pages, under /api."""
