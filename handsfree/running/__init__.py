"""A run: an ear, the engine, the record, a voice and a screen are brought together here."""
