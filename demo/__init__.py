"""A whole task by voice: invented people, an invented door, synthesised sound."""
