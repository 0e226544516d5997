"""What people say and what it means. Pure: no sound, no files, no clock."""
