"""The index of many records: what is noted of each, so that it is found; never the truth."""
