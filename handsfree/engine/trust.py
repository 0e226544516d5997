"""When a hearing is believed. The numbers of the policy stand here and nowhere else."""

# Below this probability a hearing is doubtful: it is asked about, never acted on.
ACCEPT_AT = 0.9

# After so many doubtful hearings in a row the step waits instead of asking on and on.
MOST_DOUBTS = 3
