"""When a hearing is believed. The numbers of the policy stand here and nowhere else."""

# Below this probability a hearing is doubtful: it is asked about, never acted on. Chosen on the
# tuning half of the speakers (tests/benchmarks/fit_score.py prints what each threshold costs).
ACCEPT_AT = 0.95

# After so many doubtful hearings in a row the step waits instead of asking on and on.
MOST_DOUBTS = 3
