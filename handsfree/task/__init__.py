"""What is to be done, and its checks. Pure: a task file comes in as text."""
