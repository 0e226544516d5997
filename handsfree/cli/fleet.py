"""Options of the commands whose work can be shared."""

from typing import Annotated

import typer

WorkersOption = Annotated[
    int,
    typer.Option("--workers", metavar="N", help="So many processes of this machine."),
]
SchedulerOption = Annotated[
    str | None,
    typer.Option(
        "--scheduler",
        metavar="ADDRESS",
        help="The workers of a Dask scheduler, such as tcp://10.0.0.5:8786. Whoever reaches it can "
        "run programs there: keep it in a network of your own.",
    ),
]
