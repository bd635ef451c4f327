"""Turned parts: from a stack of features to walls, mass, tools and steps. Source: each module names its own."""
