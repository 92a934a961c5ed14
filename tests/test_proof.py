"""The proof: findings sorted, doubles dropped, a failing rule named and survived."""

from __future__ import annotations

from collections.abc import Iterable

from making import made
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, Rule, rule
from proofhook.proofing.house import House, RuleSetting
from proofhook.proofing.proof import proof
from proofhook.text import Edit, Span

TALLY = made("ROOT\nRnd 1: 6 sc in ring. (6)\nRnd 2: sc around. (6)\n")


def at(*starts: int) -> list[Span]:
    return [Span(start, start + 1) for start in starts]


@rule("late", Grade.STYLE)
def late(context: ProofContext) -> Iterable[Finding]:
    """Point at two places, the later first."""
    return [context.finding(span, "Late.") for span in at(9, 3)]


@rule("early", Grade.ERROR, Option("place", 3, "where to point"))
def early(context: ProofContext) -> Iterable[Finding]:
    """Point twice at the place the house chose."""
    place = context.options["place"]
    assert isinstance(place, int)
    return [context.finding(span, "Early.", row=context.tally.rows[0]) for span in at(place, place)]


@rule("broken", Grade.ERROR)
def broken(context: ProofContext) -> Iterable[Finding]:
    """Find one thing and fall over the next."""
    yield context.finding(Span(0, 1), "Never seen.")
    raise LookupError("two\nlines")


def test_findings_come_sorted_by_place_then_rule_and_once() -> None:
    for rules in ((late, early), (early, late)):
        done = proof(TALLY.pattern, TALLY, House(), rules)
        assert [(f.rule, f.span.start) for f in done.findings] == [
            ("early", 3), ("late", 3), ("late", 9),
        ]  # fmt: skip


def test_a_finding_knows_its_row_and_grade() -> None:
    [finding] = proof(TALLY.pattern, TALLY, House(), [early]).findings
    assert (finding.piece, finding.row, finding.grade) == ("Root", "Rnd 1", Grade.ERROR)


def test_the_house_decides_grades_and_options() -> None:
    house = House(
        failing=Grade.QUERY,
        rules={
            "early": RuleSetting(grade=Grade.QUERY, options={"place": 7}),
            "late": RuleSetting(off=True),
        },
    )
    done = proof(TALLY.pattern, TALLY, house, (late, early))
    assert [(f.grade, f.span.start) for f in done.findings] == [(Grade.QUERY, 7)]
    assert done.failing == 1


def test_only_what_the_house_says_fails_the_run() -> None:
    assert proof(TALLY.pattern, TALLY, House(), (late, early)).failing == 1
    assert proof(TALLY.pattern, TALLY, House(failing=Grade.STYLE), (late, early)).failing == 3
    assert proof(TALLY.pattern, TALLY, House(), (late,)).failing == 0


def test_a_rule_that_fails_is_named_and_the_others_go_on() -> None:
    named = broken._replace(plugin="stalks")
    done = proof(TALLY.pattern, TALLY, House(), (named, early))
    assert [f.rule for f in done.findings] == ["early"]
    assert done.failures == (
        (
            "radish.txt: the rule broken of the plug-in stalks failed "
            "(LookupError: two lines); the other rules went on."
        ),
    )


def test_a_rule_that_gives_nonsense_is_named() -> None:
    def check(_: ProofContext) -> Iterable[Finding]:
        return ["a finding"]  # type: ignore[list-item]

    [failure] = proof(TALLY.pattern, TALLY, House(), [Rule("odd", Grade.ERROR, check)]).failures
    assert "the rule odd" in failure
    assert "it gave a finding where a finding belongs" in failure


def test_a_rule_may_not_point_outside_the_text() -> None:
    size = len(TALLY.pattern.source.text)
    for span, edit in ((Span(0, size + 1), Edit(0, 0, "")), (Span(0, 1), Edit(5, 4, ""))):

        def check(context: ProofContext, span: Span = span, edit: Edit = edit) -> Iterable[Finding]:
            return [context.finding(span, "Far.", mends=[Mend("Mend.", False, (edit,))])]

        done = proof(TALLY.pattern, TALLY, House(), [Rule("far", Grade.ERROR, check)])
        assert done.findings == ()
        assert "it pointed outside the text" in done.failures[0]
