"""The espeak-ng library that the package `espeakng-loader` carries, in place of the system's."""

import ctypes
import os
from pathlib import Path


def load_espeak_library() -> ctypes.CDLL:
    """Load the packaged library so that pyttsx3 finds it; call before `pyttsx3.init()`.

    pyttsx3 asks the dynamic linker for "libespeak-ng.so.1". That is the SONAME of the packaged
    library, and the linker answers with a library of that SONAME that is already loaded before it
    searches the system, so the packaged one is used wherever it lies and whatever is installed.

    Changes the working directory and the environment of this process, so it is for the voice
    process only. Raises ImportError without the package and OSError if the library cannot load.
    """
    import espeakng_loader

    library = ctypes.CDLL(espeakng_loader.get_library_path())
    # The library keeps at most 160 bytes of its data path and ends the whole process when it finds
    # nothing there; a virtual environment may lie deeper than that, a relative path never does.
    data = Path(espeakng_loader.get_data_path())
    os.chdir(data.parent)
    os.environ["ESPEAK_DATA_PATH"] = data.name
    return library
