"""What the torch will do: time to heat, what else melts, fillers and gaps, and what each seal stands in service.

Source: module by module; `docs/methods/heat.md` gives the formulas together.
"""
