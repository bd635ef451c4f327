"""What the work will take, repair or remake, and a price that holds four times in five.

Source: `docs/methods/quote.md`.
"""
