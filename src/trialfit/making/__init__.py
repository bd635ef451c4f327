"""Parts to make and the order to make them in: turned parts, drills, processes. Source: each module names its own."""
