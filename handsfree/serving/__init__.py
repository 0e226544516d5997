"""What every page that is served has in common: who may read it, and the server under it."""
