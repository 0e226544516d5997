"""Live sound: microphones, where an utterance begins and ends, and early recognition."""
