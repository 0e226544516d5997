"""The speech models: what there is, what was added, and how one is added."""
