"""Sentences of verdicts, causes and advice: one place, whoever shows them. Numbers come from `checks`; nothing is computed here."""
