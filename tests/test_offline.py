"""Nothing that handsfree loads may call home."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_telemetry_is_off_before_any_module_of_ours_can_load_onnx_runtime() -> None:
    code = (
        "import handsfree, os, sys; "
        "print(os.environ['ORT_DISABLE_TELEMETRY'], 'onnxruntime' in sys.modules)"
    )
    surroundings = {**os.environ, "ORT_DISABLE_TELEMETRY": "0"}
    said = subprocess.check_output(
        [sys.executable, "-c", code], text=True, cwd=ROOT, env=surroundings
    )
    assert said == "1 False\n"
