"""State and event in, state and effects out. Pure: no clock, no sound, no files."""
