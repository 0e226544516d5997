"""The acoustic rehearsal of a task: what could go wrong with its sound, before anyone speaks it."""

from handsfree.rehearse.alike import Warned, confusable_phrases, warnings_about

__all__ = ["Warned", "confusable_phrases", "warnings_about"]
