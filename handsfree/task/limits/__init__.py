"""The limits of a reading, one module for each kind."""
