"""What can be wrong with workers and their scheduler, each with what to do."""

from handsfree.errors import HandsfreeError


class SchedulerUnreachable(HandsfreeError):
    """Nobody answers there as a scheduler does."""

    def __init__(self, address: str, why: str) -> None:
        super().__init__(
            f"{address}: no Dask scheduler can be reached there ({why}). Look whether it runs "
            "('dask scheduler' prints its address), or leave --scheduler out to work here."
        )


class SchedulerDiffers(HandsfreeError):
    """The scheduler is another version of Dask."""

    def __init__(self, address: str, there: str, here: str) -> None:
        super().__init__(
            f"{address}: the scheduler has Dask distributed {there}, and here is {here}. "
            f"Install one version on both: pip install 'distributed=={there}'."
        )


class WorkersUnfit(HandsfreeError):
    """Workers that would not compute the same."""

    def __init__(self, unfit: dict[str, str]) -> None:
        told = "; ".join(f"{name}: {why}" for name, why in sorted(unfit.items()))
        super().__init__(
            f"Not every worker can do this work. {told}. Install the same handsfree with its "
            "models there, or stop that worker, and begin again: what was done is not lost."
        )


class NoWorkers(HandsfreeError):
    """A scheduler without anybody to do the work."""

    def __init__(self, address: str) -> None:
        super().__init__(
            f"{address}: the scheduler has no workers. Start some: dask worker {address}"
        )


class SchedulerLost(HandsfreeError):
    """The scheduler has gone while there was work to do."""

    def __init__(self) -> None:
        super().__init__(
            "The Dask scheduler has gone, and what was not done yet with it. Look why it ended, "
            "start it again, and call again; what was kept is not done again."
        )


class JobFailed(HandsfreeError):
    """A job told a worker what is wrong with it."""


class JobKillsWorkers(HandsfreeError):
    """Whoever does this job dies of it."""

    def __init__(self, number: int) -> None:
        super().__init__(
            f"Job {number} ended every worker that did it. Give the workers more memory, or leave "
            "--workers and --scheduler out to see what is wrong with it."
        )
