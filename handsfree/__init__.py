"""Offline, voice-driven, hands-free step companion for aircraft maintenance."""

import os

# ONNX Runtime would look up its maker's host and keep a device id on disk. Every process of ours
# imports this package before that library, so this is the one place where it is told not to.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"

__version__ = "0.1.0"
