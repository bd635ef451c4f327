"""Pipes between faces that are not here: route, bends, lengths, and how sure each is."""
