"""What is checked in a task file beyond its form, without walking through it."""
