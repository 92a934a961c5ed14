"""The grammar of one instruction, over the words of the lexicon.

The lexer has turned a row into tokens, each known by one word; a segment (what stands
between commas, stops and brackets) is a line of such words, ``N S in each next N st``.
Each construct is one named Regex over these words, put together with pyparsing.  What it
finds is a *shape*: which tokens play which part (``shapes.py``); ``build.py`` turns a
shape into steps.
"""

from __future__ import annotations

import re
from functools import cache

import pyparsing as pp

from proofhook.expressions import expression
from proofhook.reading.shapes import Part, Phrase, Shape

#: What is worked into: "st", "ch-2 sp" (ch N sp), "sc", "marked st", "corner ch-2 sp".
WHAT = (
    r"(?:(?:centre|corner|marked|free|rem|other|same|manner|noun|edge|half|\?) )*"
    r"(?:ch N sp|N ch sp|ch sp|sp N ch|ch N(?= |$)(?! (?:S|st|ch))|N ch(?= |$)|corner sp|S sp|S st|sp|ch|st|S|noun|rowend|corner|centre"
    r"|foundation|dec|inc|slst|blo|marker|tch|\?)(?= |$)"
)
#: "... of the previous row", "along the foundation chain", "of Rnd 4".
TAIL = (
    r"(?: (?:(?:in|from|along|across|around|to) )?(?:(?:same|last|first|next|\?|do|other|Nth) )*"
    r"(?:row N|row Nth|Nth row|row(?! N)|foundation|noun|edge|tch|ring(?! N))(?= |$)"
    r"| N row \? (?:next |same )?(?:S|st)(?= |$)| (?:and )?tog(?= |$)| before(?=$)| to top (?:next |first )?(?:S|noun|corner|ch N sp|sp)(?= |$))*"
)
INTO = r"(?:do )?(?:in both (?:(?:noun|edge) )?(?:\? )?|in (?:noun|edge) (?:\? )?)?(?:(?:in|around|along|to|from|across|with) )?(?:(?:in )?blo )?(?:in )?(?:(?:post|blo) )?(?:(?:in )?(?:top|centre|edge) (?:in )?(?=(?:first|next|each|last|same|Nth) ))?"
OF = r"(?: (?:in )?(?:(?:same|next|each|first|last|N|Nth|any|corner|centre) )*(?P<of>S(?: st)?|noun|corner|ch N sp|N ch sp|sp))?"
#: "Sl st in next 3 dc and ch-3 sp": one more, into the space after them.
THEN = r"(?: and (?:(?:next|first|same|corner) )*(?P<then>(?:corner )?(?:ch N sp|N ch sp|ch sp|sp))(?= |$)(?! (?:around|across)))?"

PLACES = {
    "evenly": r"evenly(?: (?:around|across|along|in|to|spaced|up|each))*(?: (?:sp|noun|\?|all(?: N)?(?= edge| noun)|N(?= edge)|edge|rowend|foundation|tch|row|same|other|first|last|and|ring|st|along))*",
    "hook": rf"{INTO}(?P<nth>Nth|first)(?P<also> and Nth)? (?:(?:ch|st|sp|blo|S) )*(?:countsyes )?from hook",
    "same": (
        rf"{INTO}(?:same(?: first)?(?: (?P<what>{WHAT}))?"
        r"(?: (?:as|in|to)(?: (?:\?|do|made|last|first|join|joined|slst|S|ch N|ch|tch N|tch|N ch|inc|dec|st|ring|row N|row|next|base|Nth|a|marker|marked|noun|row N|N))+)?"
        r"|(?:last|next|\?) (?:S|st) made|(?:in )?free (?:st|S|ch)(?! row)"
        r"|(?:(?:st|sp|S) (?:in )?)?base(?: (?:in|same|first|last|tch N|ch N|N ch|tch|ch|S|noun|sp)(?= |$))+"
        r"|(?:same )?(?:st|sp|ch sp|ch N sp|S)? ?join(?: (?:st|sp|ch sp|S|slst))?"
        r"|(?:st|sp|ch sp|ch N sp|noun|corner) (?:as join|as slst|made|\? made)(?: st| slst)?|made (?:sp|ch N sp|ch sp|st))"
    ),
    "turning": (
        rf"{INTO}(?:(?:(?:top|last|Nth|first|end|base) )*(?:ch |st |S |sp )?(?:in )?(?:(?:last|first|same|top|\?) )*tch(?: N)?(?: ch)?"
        rf"|(?:(?:top|Nth)(?: (?:ch|st))?|last (?:ch|st)) (?:in )?(?:first |last )?(?:ch N|N ch|skip N ch|N skip ch|skip ch)(?! sp)"
        rf"|(?:top|last|Nth) (?:ch|st) (?:in )?(?:ch N|N ch)(?! sp)|Nth ch (?:in )?\? N(?=$)|skip N ch|N skip ch|skip ch|free ch(?= |$))"
    ),
    "middle": (
        rf"{INTO}(?P<nth>Nth|centre|last|first)(?: (?P<n>N))? (?P<what>ch|S|st|sp|ch sp|ch N sp) (?:in )?(?P<which>next|each|first|last|same)(?: N)? "
        rf"(?P<of>ch N sp|N ch sp|ch N|N ch|ch sp|sp|S noun|N S noun|S|noun|corner sp|corner)"
        rf"|{INTO}(?P<nth3>centre) (?P<which3>each|next|first) (?P<of3>N S noun|S noun|noun|S)(?= |$)|{INTO}(?P<nth2>centre|Nth)(?: (?P<what2>ch|S|st)) (?:in )?(?P<of2>N S noun|S noun|ch N sp|N ch sp|ch N|N ch|sp|noun|S)"
    ),
    "between": (
        rf"in sp before next(?: (?:{WHAT}))?(?: N (?:S|st)| noun)*|"
        rf"in sp before (?P<edge>first|last)(?: (?:{WHAT}))?(?: N (?:S|st)| noun| S)*|"
        rf"{INTO}(?:(?:(?P<each2>each)|next|same|first|last|any|a|sp|corner|(?P<many>N)(?= sp)) )*between (?:(?:(?P<each>each)|next|first|last|two|any|(?P<n>N)) )*(?:N S (?=noun))?(?P<what>{WHAT})(?: and(?: (?:next|last|first|{WHAT}))+)?"
    ),
    "ring": rf"{INTO}(?:(?:centre|same|a|\?) )*(?:ring|sp ring)(?: (?:ch|sp))?|{INTO}(?:centre) (?:ring|noun)",
    "any": rf"{INTO}(?:any|a)(?: free)? (?P<what>{WHAT}){TAIL}",
    "corner": (
        rf"{INTO}(?:(?P<which>next|first|each|last|all|rem|other|both|N|Nth|any) )*(?P<what>(?:(?:ch N )?corner|centre(?! (?:first|next|last|each) ))(?: (?:ch N sp|N ch sp|ch sp|sp|st|S|ch))?)"
        rf"(?: (?:in )?(?:next |each |same )?(?:noun|S|row))?(?P<fill> around| across)?"
    ),
    "each": (
        rf"{INTO}(?:each|all)(?: (?P<which>next|first|last|rem|free|other|both|same))*(?: (?P<n>N))?(?: (?P<kind>other|Nth))?"
        rf"(?: (?P<what>{WHAT})(?P<more>(?: (?:and|\+)(?: (?:also|in|each|all|next|blo))*(?: {WHAT})(?! (?:in|each)(?: |$)))*){OF})?(?P<row>{TAIL})(?(n)(?: \?(?=$| and))?)"
    ),
    "edge": (
        rf"(?:evenly )?{INTO}(?:(?:along|around|across|in|to|from|top|centre|remain|S|other|first|last|next|each|both|one|\?|N|free|end|do|row|same|base) )*"
        r"(?:edge|rowend|end each (?P<n2>N) row|end each row)(?: each (?P<n>N) (?:ch|st|S))?(?: (?:in )?(?:\?|noun|edge|row|same|first|last|across|S|one))*(?: N (?:\? )?edge)?"
        r"|(?:across|along) (?:top|end|foundation)(?= |$)(?! (?:in|next|S|ch|st))"
    ),
    "next": rf"{INTO}(?:next)(?: (?P<n>N))?(?: (?P<what>{WHAT}){OF})?{THEN}(?P<row>{TAIL})",
    "first": rf"{INTO}(?:first)(?: (?P<n>N))?(?: (?P<what>{WHAT}){OF})?{THEN}(?P<row>{TAIL})",
    "last": rf"{INTO}(?:last|rem|end|free|next free)(?: (?P<n>N))?(?: (?P<what>{WHAT}){OF})?(?P<row>{TAIL})",
    "nth": rf"{INTO}(?P<nth>Nth)(?P<also> and Nth)?(?: (?P<what>{WHAT}){OF})?(?P<row>{TAIL})",
    "rest": rf"{INTO}other (?P<n>N)(?: (?P<what>{WHAT}))?(?P<row>{TAIL})",
    "noun": (
        r"(?:in|around|along|across|from|to) (?:(?:first|last|next|other|each|all|both|one|N|Nth|same|top|free) )*noun(?: (?:N|Nth|yarn|\?))?(?= |$)"
    ),
    "ofeach": r"in (?P<what>ch N sp|N ch sp|ch sp|sp) (?:in )?each (?P<of>S|noun)(?: (?:around|across)(?= |$))?",
    "some": rf"(?:do )?(?:in|around|along) (?:blo )?(?:post )?(?:a )?(?:(?P<n>N) )?(?P<what>{WHAT}){OF}{THEN}(?P<row>{TAIL})",
    "counted": r"(?:in|around) (?:blo )?(?P<n>N)(?: st| post)?",
    "one": r"in (?:one|one st|one place)",
    "both": r"in both(?: st| S)?(?=$)",
}

UNTILS = {
    "to last": (
        rf"(?:(?:around|across|along|even) )?(?:to|until|within|but|leave|across|to within)(?: within)?(?: (?:last|rem))(?: (?P<n>N))?(?: (?P<what>{WHAT}))?"
        r"(?: (?:remain|row|ring|in row|free|before end|noun|edge))*(?: and (?:S|st|tch)(?=$))?"
        r"|(?:(?:around|across|along) )?to tch(?= |$)"
    ),
    "to second": rf"(?:to|until)(?: Nth)? to last(?: (?P<what>{WHAT}))?|(?:to|until) (?P<nth>Nth) (?:to|from) last(?: {WHAT})?",
    "to remain": (
        rf"(?:(?:around|across) )?(?:until|to|leave)(?: (?:last|\?|but))*(?: (?P<n>N))(?: (?P<what>{WHAT}))?"
        r"(?: (?:remain|rem|before end|from end|before|free|in row))"
    ),
    "to place": (
        rf"(?:(?:around|across|along) )?(?:to|until)(?: (?:\?|next|first|same))*(?: (?P<what>(?:marked {WHAT}|marker|(?:(?:ch N )?corner|centre)(?: (?:ch N sp|N ch sp|ch sp|sp|st|S|ch))?|noun)))"
        rf"|(?:(?:around|across|along) )?(?:to|until)(?: \?)? next (?P<what2>{WHAT})|(?:(?:around|across|along) )?(?:to|until)(?: to)?(?: first)? (?P<what3>ch N sp|N ch sp|ch sp|sp)(?= |$)"
    ),
    "to end": (
        r"(?:around|across)(?: to end| around| across)?(?! (?:post|next|each|first|last|Nth|noun|same|N st|N post|any|S|top|edge|rowend|other|both|base))(?: (?:row|ring|tch|foundation|edge)(?! N))*(?: in both (?:edge|noun))?"
        r"|(?:in |to |until |across to |around to )?end(?: row| ring| foundation| around)?(?= |$)|in rem(?! (?:N|st|S|ch|sp)(?: |$))|in all row|rem row"
    ),
}

TIMES = {
    "times": (
        r"(?:(?:do|rep|total|in|a(?= more)) )*(?:(?:x|mark) ?(?P<x>N)|(?P<n>N) x|(?P<n2>N) (?P<more>more )?times|(?P<n3>N) times (?P<more2>more)"
        r"|(?P<n7>N) total$|(?P<twice>twice)|(?P<once>once)|(?P<more4>more|other) (?P<n5>N) times|rep (?P<n6>N))(?: times)?(?: (?P<more3>more))?(?: total)?(?: (?:around|across|rep|again|in(?=$)))?"
    ),
}

#: "4 sc together with the arm": through both, each stitch by itself.
NOT_WITH = r"(?! with (?:(?:same|first|a|other|\?) )*(?:noun|edge|\?)(?= |$))"

HEADS = {
    "same": r"^same$|^(?:do )?same in last row$",
    "parts": r"(?:do )?(?P<n>N) st(?: (?:in|from|first|last|other|\?|noun|Nth|edge))* and N st(?: (?:in|from|\?|noun|edge))* tog",
    # the stitches themselves
    "together": (
        rf"(?:do )?(?:(?P<s>S|slst) )?(?:in )?(?:blo )?(?P<which>next|first|last|same)?(?: ?(?P<n>N))?(?: (?:{WHAT}))? (?:(?:as )?tog{NOT_WITH}|as N (?:S|st))"
        rf"|(?:do )?(?P<n2>N) (?P<s2>S) tog{NOT_WITH}"
    ),
    "evenly": (
        r"(?P<way4>inc|dec) evenly (?P<n4>N) times|(?P<way>inc|dec)(?: (?P<n>N))?(?: (?:st|S|times))? (?:evenly|around evenly|across evenly)(?: (?:around|across|in row))?"
        r"|(?:with |do )?(?P<n2>N) (?P<way2>inc|dec)(?: st)? evenly(?: (?:around|across))?|evenly (?P<way3>inc|dec) (?P<n3>N)(?: st)?"
    ),
    "work": (
        r"(?P<s4>S) x (?P<n4>N)(?= (?:in )?(?:a )?ring)"
        r"|(?:(?:do|then|a) )*(?:(?P<n>N|a) (?:x )?)?(?P<more>more )?(?:blo )?(?P<s>S|inc|dec|slst)(?: st(?! from))?(?: tog)?(?: with S(?= |$))?(?: blo(?= (?:to|across|around|until)(?: |$)))?(?(n)(?: more(?= (?:in|around|along|across|even|to) ?))?|(?P<after> N(?! (?:S|inc|dec|slst)(?: |$)))?)(?! (?:tog|times more|more times|times)\b)(?! x(?! N))(?:(?P<twice> twice(?= in))| once(?= in))?(?P<together> all(?= in ))?(?: (?P<each>each)(?! (?:st|S|ch|sp|N|Nth|rem|next|first|last|other|same|corner|noun)\b))?(?= |$)"
        r"|(?:(?:do|then|a) )*(?:(?P<n3>N|a) )?(?:blo )?(?P<s3>S|inc|dec|slst)(?= )"
    ),
    "told": r"(?:^|(?<=and )|(?<=then )|(?<=now ))(?:do )?(?P<n>N|a)(?: more)?(?= in (?:(?:each|next|first|last|same|Nth) ?|(?:a )?ring))",
    "chain": (
        r"(?:do |a |then |slst )*(?:ch (?P<n>N)|(?P<n2>N)(?: more)? ch|(?P<one>ch))(?: st)?(?: more)?(?: more)?(?! sp)(?! (?:N )?tog)(?P<for> (?:\?|as) first (?P<s>S))?(?P<loop> (?:\? )?(?:a )?hanger)?(?= |$)"
    ),
    "ring": (
        r"(?:do |with |a )*(?:ring)(?: (?:with|in))?(?: a)?(?: (?P<n>N)(?= |$)(?! (?:S|ch|inc|x|times)))?"
    ),
    "form": r"(?:and )?(?:join )?form(?: with(?: a| N)? slst)?",
    "forms": r"forms(?: [^ ]+)*",
    "aside": r"^before row N$|last (?:N|S|st)(?: (?:\?|do))* in(?: [^ ]+)*|(?:do|with) (?:last|N last|last N|first)(?! (?:N )?row)(?: [^ ]+)*",
    "made": (
        r"(?:(?:and|=|a|first|N|one|last|tch|Nth|same|\?|half) )*(?:corner|S|noun|sp|ch N sp|N ch sp|ch sp|inc|dec|st|centre|slst)(?: (?:noun|st|sp|ch N sp|corner))? made(?: (?:\?|in|and|turn))*"
    ),
    "omit": r"(?:and )?(?:(?:in|but) )*(?:(?:last|end) rep )?omit(?: last)?",
    "rowlast": r"ending (?:with |in |a |in |after )*(?:row N|Nth row|(?:\?|edge|noun|same) row)(?: \?)*",
    "ending": r"(?:and )?(?:(?P<rep>ending rep with)|(?:in (?:last|end) rep|ending))(?: (?:last|rep|in|with|a|\?|same|each|do))*",
    # passing over
    "skip": (
        rf"(?:and |do )?(?:skip|leave)(?: (?P<which>next|first|Nth|last|rem|all|each|same|free|other))*(?: (?P<n>N|a))?(?: (?P<which2>rem|free))?(?: (?P<what>{WHAT}))?(?P<more>(?: and (?:next )?{WHAT})?)"
        rf"(?P<left>(?: (?:remain|free|rem|row)(?= |$))*){TAIL}"
    ),
    "unworked": rf"(?:leave )?(?:last|rem)(?: (?P<n>N))?(?: (?P<what>{WHAT})) (?:remain|free|skip)",
    # ends and beginnings
    "join": (
        r"(?:and )?(?:(?:with|yarn|\?|a) )*(?:join|slst to join|slst join|slst and join)(?: (?:with|a|slst|row|\?|ring|yarn|noun|end|N|in end|around|as|before|tog|measure|do|same|and|tch(?= slst)))*"
    ),
    "seam": r"slst (?:both|last|first|next) (?:row|edge|rowend|noun)(?: [^ ]+)*",
    "closing": r"(?:and )?(?:with )?(?:a )?slst(?: to(?: end)*|(?= top| in top))|with (?:a |N )?slst(?= |$)(?! (?:in|each|next))",
    "standing": r"(?:(?:with|yarn|\?) )*join (?:(?:\?|yarn|in|with) )*with (?:a )?(?P<s>S)",
    "turn": r"(?:and |then )*turn(?: (?:in|\?|noun|edge|row))*",
    "noturn": r"(?:and )?(?:noturn|nojoin)(?: (?:and|turn|join|row|\?|slst|but|around|end|to|a|ring|each|in))*",
    "fasten": r"(?:and )?(?:do |\? )*fasten(?: (?:\?|yarn|measure|and|tog|end|in|all|row|note|from|to|apart|a|fasten|both|noun|with|edge|st|sp|N|each))*",
    "cable": r"(?:do )?(?:a )?(?:N st )?cable in next (?P<n>N) (?:st|S)(?= |$)",
    "spaces": r"(?:do )?(?:N )?(?:S )?(?:in )?each (?:\? )?(?:N ch sp|ch N sp|ch sp|sp)(?: (?:\?|as|a|counts|countsyes|do|in))* st(?: |$)(?:in around|in row|\?)*$",
    "starts": r"^(?:(?:(?:do|turn|\?|note) )+in|(?:(?:do|turn|\?|note) )*from) (?P<nth>Nth) ch(?: from hook)?(?=$| N S)|^do (?P<nth2>Nth) ch(?: from hook)?$",
    "note": r"slst (?:(?:\?|end|edge|row|rowend|both|noun|foundation|and) )+tog(?: [^ ]+)*|(?:\? )?and in end each (?:row|around)|(?:and |do )?skip join (?:st|slst|S)(?= |$)|(?:and |then |do )?(?:note|marker)(?:(?! and (?:do )?(?:N )?(?:S|inc|dec) )(?: [^ ]+))*|same (?:\?|yarn) (?:as|in) row(?: N)?|(?<!last )(?:\? )?N row(?: (?:total|in))?(?= |$)(?! N times)|(?:a|N|one) in each (?:row|rowend)|same \?(?= asrow| as)",
    "loops": r"(?:do |then |now )*(?:in )?(?:(?:blo|post)(?: only| st| both| noun)*)(?: (?:in )?(?:(?P<row>row N|row Nth|Nth row|last row|row)(?: \?)*|noun))?",
    "otherside": r"(?:do |then |now |and )*(?:\? |in |along |to |from |do |around )*otherside(?: (?:in|foundation|ch|row|\?))*",
    "colour": r"(?:and |then |all (?=in yarn))?(?:with !|with|in|to|from) (?:(?:\?|!(?= |$)|yarn N(?= |$)|yarn|a|same|and|other|N yarn|first yarn|end yarn) ?)+(?= |$)|(?:and )?yarn(?: N$)?(?= |$)(?: yarn| \?)*",
    "inrows": r"(?:do |then )*(?:in|along) (?:(?:\?|join|turn|rem) )*(?:row(?! N)|\? row(?! N)|around)(?: (?:\?|nojoin))*(?= |$)",
    # what a chain counts as
    "counts": (
        r"(?:(?:(?:N|first|last|same|\?|and|do|tch|beg) )*(?:(?:free|skip) (?:N )?)?(?:ch|tch|st)(?: N)?(?: (?:in|end|\?|row|free|skip))* )?(?:and )?(?:counts|counts counts)(?: (?:a|first|N|last|next|\?|one|always|in|as|do))*(?: (?P<s>S|st|sp|inc|slst))(?: (?:st|in|here|\?|counts|do))*"
        r"(?: (?:(?:and|\+|plus|with) )?(?:a |first )?(?:ch (?P<n>N)|(?P<n2>N) ch|(?P<one>ch))(?: sp)?)?(?: (?:\?|in|row|around|here|and|all|do|st|counts|next|each|first|last|base|noun))*"
    ),
    "countsno": r"(?:and |but )*(?:countsno)(?: (?:[^ ]+))*",
    "countsyes": r"(?:and )?countsyes(?: (?:\?|in|row|all|st|do|each))*",
    # repeats without a mark of their own, and references
    "named": r"(?:and |then |do )*rep (?:do |in )*(?P<name>(?:(?:inc|dec|\?|noun|edge|S) )+)(?:row)(?! N(?! (?:more |times)))",
    "rows": (
        r"(?:do |then |now |and )*(?:(?:rep|asrow|as|do)(?: asrow| as)*)(?! (?:(?:in|for|\?|noun|first|other|last|edge|N|centre) )+(?:to|until|through) (?:end )?(?:in )?row)(?: (?:in|for|all|\?|instruction|both|pattern|st|noun|to|end))* "
        r"(?:(?P<last>last|\?|edge|noun) (?:(?P<count>N) )?row(?! N(?! (?:times|more|x)))|row (?P<a>N)(?! (?:more )?times)(?P<range>(?: (?:and|-|--|to|through|in|,|row|x|alternate|then|\?) ?(?:row )?N(?! (?:S|st|sp|slst|times)(?: |$)))*)|(?P<a2>N) row|(?P<th>Nth)(?P<ths>(?: (?:and|-|--|to|,) Nth)*) row)"
        r"(?P<piece>(?: (?:alternate|\?|in|row|pattern|noun|edge|from|first|alternately|other|both))*)"
    ),
    "piece": r"(?:do )?asrow(?: (?:for|in|do))*(?P<piece>(?: (?:first|other|last|\?|noun|edge|N|centre|corner))+)(?: (?:(?:to|until|through|in|end) )+(?:end )?(?:(?:(?:in )?row )?(?P<n>N)|(?P<nth>Nth) row))?(?: (?:in|\?))*(?= |$)|(?:do )?(?P<lead>first) (?P<n3>N) row (?:asrow|as)(?: (?:for|in))*(?P<piece2>(?: (?:\?|noun|edge))+)",
    "instead": r"instead(?: in)?(?: (?:last|the)(?= (?:S|inc|dec|slst|ch)(?: |$)))?",
    "but": r"but(?: (?:with|in|do|a))*",
    "rep": r"(?:and |then |do )*rep(?: (?:\?|pattern|this|from|mark|in|all|do|it|a|same|st|both|noun|between|row|asrow|instead|and))*(?: N st(?= around| across))?",
    "even": r"do in (?P<s2>S)(?= around| across|$)|(?:do |then )?(?:even|(?:do )?in pattern even)(?: (?:in|do|even))*(?: (?P<s>S))?|(?:do |then )?(?P<patt>pattern)(?: (?P<n>N) st)?(?= (?:to|until|across|around)|$)",
    "plain": r"(?P<n>N) st(?= around| across| end| in ring| ring| in a ring)",
    "counted": r"^(?P<n>N) st$",
    "fill": r"^(?:do )?(?:around|across)(?: around| in row| across)*$",
    "ahead": r"(?:then |and )*(?=in |around )",
    "number": r"(?P<n>N)",
    "often": rf"^(?!rep )(?:{TIMES['times']})$",
    "in": r"in(?: (?P<n>N))?",
}


@cache
def _element(name: str, words: str) -> pp.ParserElement:
    """One construct: a Regex over the lexicon's words, giving a Part."""
    element = pp.Regex(rf"(?:{words})(?= |$)", as_match=True).set_name(name)
    element.add_parse_action(lambda toks: (name, toks[0]))
    return element


@cache
def _choice(table: str) -> pp.ParserElement:
    constructs = {"place": PLACES, "until": UNTILS, "times": TIMES}[table]
    elements = [_element(name, words) for name, words in constructs.items()]
    return pp.MatchFirst(elements).set_name(table)


#: Which heads may take a place, a "how far" and a "how often".
_WITH_ALL = ("work", "told", "even")
_WITH_TIMES = ("together", "named", "rows", "rep", "fill", "chain", "skip")
_WITH_PLACE = ("plain", "join", "closing", "standing", "loops", "ahead", "together", "ring")
_ORDER = (
    "spaces", "starts", "cable", "countsno", "counts", "countsyes", "made", "same", "parts", "omit", "rowlast", "ending", "forms", "aside", "note", "fasten", "noturn", "standing", "seam", "closing", "join",
    "turn", "otherside", "evenly", "named", "rows", "piece", "instead", "but", "together", "chain", "work", "told", "skip", "unworked", "plain", "counted",
    "even", "fill", "often", "form", "ring", "loops", "rep", "inrows", "colour", "number",
)  # fmt: skip


@cache
def _phrase(name: str) -> pp.ParserElement:
    """A head with all that may belong to it."""
    head = _element(name, HEADS[name])
    place, until, times = _choice("place"), _choice("until"), _choice("times")
    if name in _WITH_ALL:
        return head + (
            until + pp.Opt(times) | place + pp.Opt(until) + pp.Opt(times) | pp.Opt(times)
        )
    if name in ("join", "closing"):
        last = _element(
            "joined", r"(?:in |to )*(?:top |centre )(?:in )?(?:first |same )?(?:S|noun)"
        )
        return head + pp.Opt(place | last) + pp.Opt(until) + pp.Opt(times)
    if name == "standing":
        return head + pp.Opt(place)
    if name in _WITH_PLACE:
        return head + pp.Opt(place) + pp.Opt(until) + pp.Opt(times)
    if name in _WITH_TIMES:
        return head + pp.Opt(until) + pp.Opt(times)
    return head


@cache
def _suffix() -> pp.ParserElement:
    """What follows a bracket: a place, how far, how often."""
    place, until, times = _choice("place"), _choice("until"), _choice("times")
    rep = pp.Regex(r"(?:and |then )*rep(?: (?:\?|this|all|do))*(?= |$)", as_match=True)
    rep.set_name("rep").add_parse_action(lambda toks: ("rep", toks[0]))
    number = _element("number", r"(?P<n>N)(?=$)")
    all_in = pp.Regex(r"(?:all|do|and)(?= in )", as_match=True).set_name("all in").suppress()
    return (
        pp.Opt(rep) + (until + pp.Opt(times) | times + pp.Opt(until) + pp.Opt(place))
        | pp.Opt(all_in) + place + pp.Opt(times) + pp.Opt(until) + pp.Opt(place)
        | rep
        | number
    )


@cache
def _ahead() -> pp.ParserElement:
    """A place named before its stitches: "in next ch-2 sp work"."""
    lead = pp.Regex(
        r"(?:(?:then|and|do|now) )*(?=in |around |blo |over |(?:from|with) Nth (?:ch|sp|st) )",
        as_match=True,
    ).suppress()
    do = pp.Regex(r"(?:(?:do|all|as|with|\?)(?: |$))*", as_match=True).suppress()
    return lead + _choice("place") + pp.Opt(_choice("until")) + do


def shape(line: str, after_group: bool, after_each: bool) -> Shape:
    """Read one segment.

    ``after_group`` tells that it follows a bracket or a closed star, ``after_each`` that
    it follows an "in each ..." which it may go on with.
    """
    starts = _word_starts(line)
    at = 0
    suffix: tuple[Part, ...] = ()
    if after_group:
        found = _try(_suffix(), line, 0)
        if found is not None:
            suffix = tuple(_part(item, starts) for item in found[0])
            at = found[1]
    ahead = None
    goes_on = after_each and line.startswith(("in each", "and in each", "each"))
    if not after_group and re.fullmatch(r"in(?: N)?", line):
        return Shape((), None, (Phrase(_part(("in", _INCREASE.match(line)), starts)),))  # type: ignore[arg-type]
    coloured = re.match(r"in (?:\?|yarn)(?: \?)*(?:$| (?=N |S|inc|dec))", line)
    if (
        at == 0
        and not goes_on
        and not coloured
        and not re.fullmatch(r"(?:do )?in S", line)
        and not _opening("loops").fullmatch(line)
        and not _opening("starts").match(line)
    ):
        placed = _try(_ahead(), line, 0)
        goes_to = line[placed[1] :].lstrip() if placed is not None else "?"
        if placed is not None and (not goes_to or _DOES.match(goes_to)):
            parts = [_part(item, starts) for item in placed[0]]
            rest = _phrases(line, placed[1], starts, False)
            return Shape(tuple(parts[1:]), parts[0], tuple(rest))
    return Shape(suffix, ahead, tuple(_phrases(line, at, starts, goes_on or bool(suffix))))


def _phrases(
    line: str, at: int, starts: dict[int, int], goes_on: bool
) -> list[Phrase | tuple[int, int]]:
    found: list[Phrase | tuple[int, int]] = []
    pending: int | None = None
    while at < len(line):
        if line[at] == " ":
            at += 1
            continue
        glue = _GLUE.match(line, at)
        if glue and glue.end() > at:
            at = glue.end()
            continue
        read = _onward(line, at, found, goes_on) if pending is None else None
        read = read or _one(line, at)
        if read is None:
            if pending is None:
                pending = starts[at]
            at = _next_word(line, at)
            continue
        if pending is not None:
            found.append((pending, starts[at]))
            pending = None
        items, at = read
        found.append(_as_phrase(items, starts))
    if pending is not None:
        found.append((pending, len(starts)))
    return found


#: "In 6": some designers write "in" for an increase, where it stands alone.
_INCREASE = expression(r"in(?: (?P<n>N))?$")
_DOES = expression(r"(?:(?:N|a) (?:more )?(?:S|inc|dec|ch|slst)|S|inc|dec|ch|slst)(?: |$)")
_GLUE = expression(r"(?:(?:and|then|now)(?: |$))*")


def _one(line: str, at: int) -> tuple[list[tuple[str, re.Match[str]]], int] | None:
    """The first head that fits at this place, with all that belongs to it."""
    for name in _ORDER:
        if not _may_start(name, line, at):
            continue
        if name == "number" and (at > 0 or len(line) > 1):
            continue
        found = _try(_phrase(name), line, at)
        if found is not None and found[1] > at:
            return found
    return None


@cache
def _onward_element() -> pp.ParserElement:
    place, until, times = _choice("place"), _choice("until"), _choice("times")
    head = pp.Regex(
        r"(?P<n>N) (?=in (?:next|each|first|last|same) ?)|(?!in blo$)(?=in |each(?: |$)|next |last |to |around|across)",
        as_match=True,
    ).set_name("onward")
    head.add_parse_action(lambda toks: ("onward", toks[0]))
    return head + (until | place + pp.Opt(until)) + pp.Opt(times)


def _onward(
    line: str, at: int, found: list[Phrase | tuple[int, int]], goes_on: bool
) -> tuple[list[tuple[str, re.Match[str]]], int] | None:
    """ "Sc in 2nd ch from hook and in each ch across": the same stitch in a further place."""
    last = found[-1] if found else None
    if last is None and not goes_on and not line.startswith(("and ", "then ", "N in ")):
        return None
    if _opening("together").match(line, at):
        return None
    if last is not None and (
        not isinstance(last, Phrase) or last.head.name not in ("work", "onward")
    ):
        return None
    return _try(_onward_element(), line, at)


@cache
def _opening(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?:{HEADS[name]})(?= |$)")


def _may_start(name: str, line: str, at: int) -> bool:
    """Whether the head itself fits: one regular expression, before any composition is tried."""
    return _opening(name).match(line, at) is not None


def _try(
    element: pp.ParserElement, line: str, at: int
) -> tuple[list[tuple[str, re.Match[str]]], int] | None:
    try:
        end, tokens = element._parse(line, at)
    except pp.ParseBaseException:
        return None
    return list(tokens), end


def _next_word(line: str, at: int) -> int:
    blank = line.find(" ", at)
    return len(line) if blank < 0 else blank + 1


def _word_starts(line: str) -> dict[int, int]:
    starts: dict[int, int] = {}
    at = 0
    for index, word in enumerate(line.split(" ")):
        starts[at] = index
        at += len(word) + 1
    return starts


def _part(item: tuple[str, re.Match[str]], starts: dict[int, int]) -> Part:
    name, match = item
    first, last = _range(match.start(), match.end(), match.string, starts)
    slots: dict[str, tuple[int, int]] = {}
    for slot, value in match.groupdict().items():
        if value is not None and value.strip():
            begin, end = match.span(slot)
            slots[slot.rstrip("0123456789") if slot not in ("which2",) else slot] = _range(
                begin, end, match.string, starts
            )
    return Part(name, first, last, slots)


def _range(begin: int, end: int, line: str, starts: dict[int, int]) -> tuple[int, int]:
    while begin < end and line[begin] == " ":
        begin += 1
    first = starts[begin] if begin in starts else starts[line.rfind(" ", 0, begin) + 1]
    words = line[begin:end].split()
    return first, first + len(words)


def _as_phrase(items: list[tuple[str, re.Match[str]]], starts: dict[int, int]) -> Phrase:
    head = _part(items[0], starts)
    place = until = times = None
    for item in items[1:]:
        part = _part(item, starts)
        if part.name in UNTILS:
            until = part
        elif part.name == "times":
            times = part
        else:
            place = part
    return Phrase(head, place, until, times)
