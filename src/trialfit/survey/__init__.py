"""Photographs and readings to positions, and how sure each is."""
