"""A whole task by voice: two invented people, an invented door, synthesised sound."""
