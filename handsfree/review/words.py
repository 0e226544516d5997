"""Sentences that the sheet says the same way in text and on the page."""

OUTRANKED = "It outranks this task."
STEPS_READ_AS = (
    "The next step follows when a step is done. A wrong answer, or a reading outside its limits, "
    "leaves the task at the step, unless 'Then' says where it leads."
)
LANES_READ_AS = (
    "What each state can be once a step has been left, on any way through the task: with rework, "
    "deferral and steps that are passed over. More than one value: it depends on the way."
)
CRITICAL = "a wrong answer here can kill, so it must be heard more surely"
NOT_APPROVED = (
    "This sheet is a review aid and no approved data. It certifies nothing. Release to service is "
    "for licensed certifying staff."
)
