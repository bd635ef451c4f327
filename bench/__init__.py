"""Speed, side by side with a named alternative in one run; never asserted in a test."""
