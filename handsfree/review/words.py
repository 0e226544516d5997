"""Sentences that the sheet says the same way in text and on the page."""

OUTRANKED = "It outranks this task."
LANES_READ_AS = (
    "The value of each state after each step, if every step is done once, in the order of the file."
)
NOT_APPROVED = (
    "This sheet is a review aid and no approved data. It certifies nothing. Release to service is "
    "for licensed certifying staff."
)
