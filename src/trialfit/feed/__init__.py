"""The water circuit: where water goes in every setting, what is trapped, what each fault does, and what is wrong.

Source: plain logic of ways that pass or do not, docs/methods/feed.md.
"""
