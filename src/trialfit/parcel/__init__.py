"""What came in the parcel and what goes out of it: every piece accounted for.

Source: the job's own records; plain counting.
"""
