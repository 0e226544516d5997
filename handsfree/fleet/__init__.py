"""Much work of one kind, done by one process, by several of this machine, or by many machines.

    jobs = (Job(hear_one, Given(clip, phrases, model)) for clip in clips)
    with open_runner(workers=2) as runner:
        for number, found in runner.results(jobs):
            ...

A job is pure and described by data (`job.py`): whoever computes it finds the same, and a job whose
worker died is computed again. What only some jobs need, such as a file, is in `needs.py`.
`kept.py` keeps results by what they were computed from, so that a second run, or one that was
interrupted, computes only the rest.
"""

from handsfree.fleet.job import Job, content_key
from handsfree.fleet.kept import Kept
from handsfree.fleet.needs import Needs
from handsfree.fleet.runner import InOneProcess, Runner, open_runner

__all__ = ["InOneProcess", "Job", "Kept", "Needs", "Runner", "content_key", "open_runner"]
