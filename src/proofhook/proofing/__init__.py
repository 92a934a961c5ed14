"""Proofing: what plug-in authors need to declare rules and bring them in."""

from __future__ import annotations

from proofhook.proofing.finding import Finding, Grade, Mend
from proofhook.proofing.hookspecs import hookimpl
from proofhook.proofing.rule import Option, ProofContext, Rule, rule

__all__ = ["Finding", "Grade", "Mend", "Option", "ProofContext", "Rule", "hookimpl", "rule"]
