"""The owner's fitting sheet: what to take off, what to put on, which way it points and how tight, in his own words."""
