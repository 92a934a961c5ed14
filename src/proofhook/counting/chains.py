"""Chains: turning chains, chains that form a space, chains counted from the hook."""

from __future__ import annotations

from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import (
    CHAIN,
    MAX_PLACES,
    RING_FABRIC,
    SLIP,
    SPACE,
    Fabric,
    Run,
    in_order,
)
from proofhook.counting.worked import ChainRule, NotWorked
from proofhook.pattern import Chain, at_size
from proofhook.text import Span


def start_here(cursor: Cursor) -> None:
    """Slip stitches have moved the start of a round: what they passed comes last."""
    if cursor.below is None or cursor.below.is_ring or cursor.here is None:
        return
    if cursor.flat and any(run.group for run in cursor.below.runs):
        cursor.places = cursor.places or cursor.below.places
    if cursor.places:
        cursor.rotate(cursor.here)
    cursor.at, cursor.here, cursor.standing = 0, 0, True
    cursor.out.used = 0
    cursor.out.exact = cursor.out.exact and cursor.flat


def work_chain(cursor: Cursor, step: Chain) -> None:
    """Chains: a turning chain at the start of a row, else chains that may form a space."""
    count = at_size(step.count, cursor.size)
    if count == 0:
        return
    if count > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    first = not cursor.made_stitches() and not cursor.chain_seen
    if cursor.in_place and first and not cursor.depth:
        if not begins_cluster(cursor):
            work_turning_chain(cursor, step)
        return
    if cursor.in_place or cursor.depth or any(run.kind != SLIP for run in cursor.made):
        cursor.chain_seen += count
        return
    if cursor.made and cursor.goes_round():
        start_here(cursor)
    work_turning_chain(cursor, step)


def begins_cluster(cursor: Cursor) -> bool:
    """Whether the chain is the first leg of a cluster in one place, and no stitch."""
    return cursor.cluster_next


def work_turning_chain(cursor: Cursor, step: Chain) -> None:
    """A chain at the start of a row."""
    count = at_size(step.count, cursor.size)
    if cursor.hook_row or (cursor.below is None and step.counts is None and cursor.setting.first):
        cursor.chain_seen += count
        if not cursor.hook_row:
            cursor.first_step = step
        return
    if cursor.bridge_next and cursor.below is not None and not cursor.below.is_chain:
        cursor.chain_seen += count
        return
    rule = rule_for(cursor, step, count)
    if cursor.cluster_next and step.counts is None:
        rule = ChainRule(False)
    if not rule.counts:
        cursor.chain_seen = cursor.chain_seen or rule.space
        return
    cursor.stand()
    if cursor.below is not None and not cursor.below.is_ring and cursor.here is None:
        cursor.take_stitches(1)
    stitch = rule.stitch or cursor.next_stitch or "st"
    group, name = (cursor.group, cursor.group_name) if cursor.in_place else (0, "")
    cursor.made.append(Run(stitch, 1, 0, "", group, name, True))
    if rule.space:
        cursor.chain_seen = rule.space


def rule_for(cursor: Cursor, step: Chain, count: int) -> ChainRule:
    """What a turning chain counts as: as the words say, else by the custom."""
    if step.counts is not None and (step.counts_as or not step.counts):
        space = step.space
        return ChainRule(step.counts, step.counts_as, space)
    rule = cursor.setting.chain_rule(count, cursor.next_stitch)
    if step.counts:
        return ChainRule(True, rule.stitch or cursor.next_stitch, step.space or rule.space)
    cursor.out.rules_used[(count, cursor.next_stitch)] = rule
    return rule


def from_hook(cursor: Cursor, nth: int, span: Span) -> None:
    """The first stitch of a row into a chain: the chains before it are passed over."""
    nth = max(nth, 1)
    if cursor.chain_seen and (
        cursor.made_stitches()
        or (cursor.below is not None and not cursor.below.is_chain and cursor.here is not None)
    ):
        cursor.own = max(cursor.chain_seen - nth, 0)
        if nth > cursor.chain_seen:
            cursor.out.short += nth - cursor.chain_seen
        cursor.chain_seen = 0
        cursor.out.exact = False
        return
    chains = cursor.chain_seen
    if not chains and cursor.below is not None and cursor.below.chain and not cursor.below.is_chain:
        chains = cursor.below.chain
    cursor.chain_seen = 0
    if (
        chains
        and cursor.below is not None
        and not cursor.below.is_chain
        and not cursor.below.is_ring
    ):
        cursor.lay(
            Fabric((Run(CHAIN, chains), *in_order(cursor.below)), False, 0, cursor.below.loose)
        )
        cursor.flat = cursor.below.plain
        cursor.end = cursor.below.stitches if cursor.flat else cursor.end
    elif chains:
        cursor.lay(Fabric((Run(CHAIN, chains),)))
    elif cursor.below is None or not cursor.below.is_chain:
        if cursor.setting.first and cursor.hook_alone:
            cursor.lay(RING_FABRIC)
            cursor.out.begins = True
            return
        raise NotWorked("how long the foundation chain is is not known", span)
    cursor.at = nth - 1
    cursor.first_chain = nth - 1
    if cursor.at >= cursor.end:
        cursor.out.short += cursor.at + 1 - cursor.end
    rule = cursor.skipped_rule
    if rule is None:
        rule = cursor.setting.chain_rule(-(nth - 1), cursor.next_stitch)
        cursor.out.rules_used[(-(nth - 1), cursor.next_stitch)] = rule
    if rule.counts and nth > 1:
        cursor.made.append(Run(rule.stitch or cursor.next_stitch or "st", 1, 0, "", 0, "", True))
    if nth > 1 and rule.space:
        cursor.made.append(Run(SPACE, 1, rule.space))
    cursor.here = cursor.at
    cursor.at += 1
    cursor.out.used += 1
