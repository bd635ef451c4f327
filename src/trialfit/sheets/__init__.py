"""Records to sheets. Nothing is worked out here."""
