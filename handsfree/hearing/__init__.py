"""Sound in: clips, the recognizers that listen to them, and how far to believe what they heard."""
