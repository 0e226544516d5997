"""Opening a network for ONNX Runtime from bytes that were verified."""

from typing import TYPE_CHECKING

from handsfree.errors import HandsfreeError

if TYPE_CHECKING:
    from onnxruntime import InferenceSession


class NetworkUnusable(HandsfreeError):
    """The files are the ones that the catalogue means, but this code cannot listen with them."""

    def __init__(self, name: str, problem: str) -> None:
        super().__init__(
            f"Speech model {name}: {problem}. "
            f"Check out models/{name} and handsfree from the same commit."
        )


def network_in(content: bytes, name: str, file: str, threads: int) -> "InferenceSession":
    """The network that `content` is, on that many threads of the processor; or NetworkUnusable.

    `name` is that of the model and `file` that of its file, for the message.
    """
    import onnxruntime

    # Switched off before it was loaded, too, in handsfree/__init__.py; this is its own way.
    onnxruntime.disable_telemetry_events()
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    # Threads that spin after a run take the cores from the network that is asked next: with them a
    # phrase took 0.21 s in place of 0.16 on two cores.
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    try:
        return onnxruntime.InferenceSession(content, options, providers=["CPUExecutionProvider"])
    except Exception as error:  # ONNX Runtime's errors have no root of their own
        raise NetworkUnusable(name, f"{file} is no network ({error})") from error


def shapes_of(network: "InferenceSession") -> dict[str, list[int | str]]:
    """The shape of every input and output, by its name; a word stands for any length."""
    return {each.name: each.shape for each in (*network.get_inputs(), *network.get_outputs())}
