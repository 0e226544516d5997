"""Offline, voice-driven, hands-free step companion for aircraft maintenance."""

__version__ = "0.1.0"
