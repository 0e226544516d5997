"""What a person reviews before work: the task as a sheet, in text and as a page."""
