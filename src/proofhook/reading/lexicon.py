"""The words of written instructions, and the one word the grammar knows each of them by.

``WORDS`` is the table: on the left the grammar's word, on the right the ways designers
write it, singular and plural, separated by bars.  Words in ``DROPPED`` say nothing.
A word that stands in no table is prose ("?") where it cannot change a count, and an
unknown ("!") where it may.
"""

from __future__ import annotations

from functools import cache

WORDS: dict[str, str] = {
    # where
    "in": "in|into|inside|on|onto|through|thru|at|under|underneath|over|behind|w/in|upon|within",
    "to": "to|up to|towards",
    "from": "from",
    "around": (
        "around|round|all around|all round|all the way around|all the way round|the whole way round|"
        "all around the round|around the round|around the rnd|around the circle|round the circle|"
        "around the ring|for all the round|for the whole round|around the whole round|around the piece|around the entire round|"
        "all the round|all the way|the whole round|whole round|the entire round|all rnd|"
        "for the whole round|around entire round|til end of round|the entire way around|"
        "for the rest of the round|the rest of the round|for entire round|for the entire round"
    ),
    "across": (
        "across|accross|all across|all the way across|across the row|across row|the whole row|"
        "along the row|all along|the entire row|for the whole row|for the rest of the row|"
        "the rest of the row|rest of row|rest of the way|the rest of the way|straight across"
    ),
    "end": (
        "end|the end|eor|eon|eornd|end of row|end of the row|end of round|end of the round|"
        "end of rnd|end of the rnd|end of chain|end of ch|end of the chain|row end marker|"
        "end of the line|beginning of round|start of round|end of circle|start of the round"
    ),
    "along": "along|up|down",
    "forms": "to form|which forms|to complete|to finish|to make|completing|to create",
    "cable": "cable|front cable|back cable|left cable|right cable|cable front|cable back|cross cable|cable stitch|cable st",
    "each": "each|each of the|each one after|each one after that|per|each time|every time|ea|every|ev|each one|every one|every single|each and every",
    "all": "all",
    "both": "both",
    "next": "next|one after|the one after|the following one|the next one|next one|stitch after it|st after it|stitch after that|st after that|one after it|one after that|nxt|nx|following|foll|fol|next available",
    "first": "first|1st|very first",
    "last": "last|final|very last",
    "same": "same|that same|this same|this very",
    "any": "any",
    "other": "other|alternate|alt",
    "rem": "remaining|rem|rest of|unworked remaining|remainder of|remainder|rest",
    "free": "unworked|unused|free|skipped|missed|exposed|leftover|left over",
    "until": "until|till|til|'til|untill",
    "within": "to within|until within",
    "remain": "remain|remains|are left|is left|left|remaining unworked|left unworked",
    "before": "before|after",
    "between": "between|btw|btwn|bet|betw|in between",
    "one": "one place",
    # what
    "st": (
        "st|sts|stitch|stitches|st(s)|stich|stiches|stitchs|s t|st s|place|places|stitch stitches"
    ),
    "sp": (
        "sp|sps|sp(s)|space|spaces|lp|lps|loop|loops|arch|arches|arc|arcs|gap|gaps|hole|holes|"
        "mesh|meshes|chsp|chsps|lp(s)|window|windows|opening|eyelet|eyelets"
    ),
    "ch": "ch|chs|ch(s)|chain|chains|chain stitch|chain stitches|ch st|ch sts|chain st|chain sts|chn",
    "foundation": "foundation chain|starting chain of|base chain|foundation ch|foundation|base ch|original ch|original chain",
    "rowend": (
        "row end|row ends|along the row ends|along row ends|along the ends of the rows|along the ends of rows|along the row edges|"
        "end of each row|ends of rows|ends of the rows|row-end|row-ends|rows ends|"
        "side of each row|sides of rows|sides of the rows|edge of each row"
    ),
    "corner": "corner|corners|cnr|cnrs",
    "centre": "center|centre|middle|central",
    "ring": (
        "ring|circle|magic ring|magic circle|magic loop|mr|mc|ml|adjustable ring|adjustable loop|"
        "sliding loop|sliding ring|ka|the magic|center ring|centre ring|center of ring|"
        "center of the ring|centre of ring|centre of the ring|chain ring|slip ring|magic rings|"
        "double magic ring|magic adjustable ring|yarn ring|center of circle|ch ring|starting ring"
    ),
    "tch": (
        "turning chain|turning chains|turning ch|tch|t-ch|t ch|beg ch|beginning ch|beginning chain|"
        "starting chain|starting ch|start ch|start chain|initial chain|initial ch|beg chain|stch|"
        "st-ch|turning chain space|turn ch|turn chain|starter chain|"
        "chain start|t/ch|skipped chs|skipped chain|skipped chains|skipped ch|missed ch|missed chs|missed chain|missed chains|"
        "beg. ch|turning-chain|turning-ch"
    ),
    "hook": "hook|hk|needle|your hook",
    "top": "top|tip|upper",
    "base": "base|bottom|foot",
    "marked": "marked",
    "marker": "marker|markers|stitch marker|marked place|running marker",
    "noun": (
        "pcs|group|groups|grp|motif|motifs|petal|petals|leaf|leafs|leaves|point|points|block|blocks|"
        "tooth|scallops|bars|box|boxes|leg|legs|arm|arms|ear|ears|layer|layers|square|squares|"
        "piece|pieces|sleeve|sleeves|panel|panels|handle|handles|flap|flaps|thumb|heel|toe|body|wing|wings|strap|straps|tile|tiles|repeat pattern|pattern repeats|spoke|spokes|rays|ray"
    ),
    "edge": (
        "edge|edges|side|sides|side edge|side edges|short side|long side|other side edge|neck edge|"
        "neck|armhole|band|raw edge|row edges|left edge|right edge|top edge|bottom edge|"
        "left neck edge|right neck edge|left side|right side|left band|right band|left front edge|right front edge|left armhole|right armhole|back neck|front neck|"
        "outer edge|front edge|side of row|rib|ribbing|cuff|long edge|short edge|neckline|border"
    ),
    "otherside": (
        "other side of the chain|other side of chain|other side of the ch|other side of ch|"
        "opposite side of the chain|opposite side of chain|opposite side of ch|opposite side|"
        "other side of foundation chain|other side of the foundation chain|other side of foundation ch|"
        "other side of the foundation ch|opposite side of foundation ch|opposite side of the ch|"
        "opposite side of foundation chain|opposite side of the foundation chain|"
        "opposite side of the foundation ch|back side of the chain|underside of the chain|"
        "underside of chain|bottom of the chain|bottom of chain|bottom of the ch|bottom of ch|other side of starting chain|"
        "opposite side of starting chain|other side of the starting chain|back of the chain|"
        "unused loops of the foundation chain|free loops of the foundation chain|"
        "unused loops of the chain|free loops of the chain|free loops of foundation ch|"
        "free loops of foundation chain|unused loops of foundation ch|unused loops of foundation chain|"
        "bottom loops of the chain|bottom loops of the foundation chain|unworked loops of the chain|"
        "unworked loops of the foundation chain|remaining loops of foundation chain|"
        "remaining loops of the foundation chain|remaining loops of the chain|other side of base chain|"
        "opposite side of the base chain|opposite side of the starting chain|other side of your chain|"
        "opposite edge of the chain|other side of work|bottom side of the chain|"
        "remaining loops of the starting chain|free loops of the starting chain|underside of ch|"
        "back of your chain|back loops of the chain|bottom of the foundation chain|"
        "opposite side of your chain|other side of the base chain|unused loops of starting chain|"
        "along other side|along opposite side|along the opposite side|down the opposite side|down other side|"
        "down the other side|along the other side|underside|up the other side|around the chain"
    ),
    "blo": (
        "blo|flo|tbl|tfl|back handle|back handles|front handle|front handles|back loop only|back loops only|front loop only|front loops only|back loop|"
        "back loops|front loop|front loops|back lp|front lp|back lps|front lps|back lp only|"
        "front lp only|back lps only|front lps only|bl|fl|third loop|third loops|3rd loop|3rd loops|"
        "back bump|back bumps|back bar|both loops|b.l.o.|f.l.o.|back loops of|front loops of|"
        "through back loop|through back loops|unused loops|free loops|unused front loops|blp|flp|"
        "unworked loops|remaining loops|back thread|front thread|back threads|front threads|"
        "horizontal bar|horizontal bars|camel loop|free front loops|remaining front loops|"
        "unused back loops|unworked front loops|rear loop|rear loops|back halves|back half|"
        "rear wall|back wall|back wall loop|front half|unworked back loops|exposed front loops|inner loops|outer loops|the bl|the fl"
    ),
    "post": "post|posts",
    # doing
    "do": (
        "work|works|work off|make|makes|crochet|do|working|making|worked|placing|place|put|add|you work|we make|"
        "continue working|commence|commence with|commencing|commencing with|begin|beginning|starting|starting with|starting at|beginning at|start at|begin at|start|start with|begin with|beginning with|working in|"
        "continue with|go on with|proceed with|work a|finish with|create|complete"
    ),
    "made": "made|completed|formed|made here",
    "skip": (
        "skip|skips|jump|sk|skp|miss|misses|missing|skipping|pass over|passing over|jump over|leave out|"
        "ms|skip over|missing out|miss out|skipping over|sk."
    ),
    "leave": "leave|leaving|leaves",
    "free.": "unworked|unused",
    "join": (
        "join|joins|joining|jn|close|attach|re-join|rejoin|reattach|connect|join round|join the round|"
        "join rnd|join the rnd|close the round|close round|close the ring|close rnd|invisible join|"
        "invisibly join|join invisibly|join work|join together|join circle|attach yarn|join yarn|"
        "rejoin yarn|join new yarn|join the yarn|attach the yarn|join with needle|needle join|unite|"
        "joined|attached|join ring|join in"
    ),
    "form": "to a ring|to form a ring|to form ring|to form a circle|forming a ring|forming ring|to make a ring|into a ring|to form loop|to form a loop|into a circle|into ring|to make ring|to make a circle|to form circle|in a ring|to close ring|forming a circle|to form the ring|to make a loop",
    "turn": (
        "turn|turning|turned|turn work|turn the work|turn your work|trn|turn piece|turn the piece|flip|flip work"
    ),
    "noturn": (
        "do not turn|don't turn|without turning|not turn|never turn|do not turn work|dont turn|no turn|"
        "do not join or turn|do not turn or join"
    ),
    "nojoin": (
        "do not join|don't join|without joining|not join|do not close|dont join|no join|"
        "do not join round|do not join the round|do not join rnd"
    ),
    "fasten": (
        "fasten off|finish off|f.o.|fo|f/o|tie off|cut yarn|cut the yarn|break off|break yarn|"
        "cast off|bind off|end off|fasten|cut thread|break thread|cut|break|weave in ends|"
        "weave in all ends|finish|fasten securely|break off yarn|do not fasten off|don't fasten off"
    ),
    "rep": (
        "rep|reps|repeat|repeats|rpt|rpts|repeated|repeating|repeal|rep.|carry on like this|"
        "continue like this|go on like this|repeat like this|continue in this way|continue in this manner|"
        "keep alternating|alternating between|alternate between|carry on in this way|keep going like this|continue this way|continue in the same way|"
        "continue in the same manner|and so on|do this|do so|keep doing that|keep doing this|you keep doing that|you keep doing this"
    ),
    "tog": "tog|together|as one|tog as one|together as one|into one|at once",
    "inc": (
        "inc|incs|incr|increase|increases|increasing|invinc|inc st|increase st|"
        "increase stitch|inc."
    ),
    "dec": (
        "dec|decs|decr|decrease|decreases|decreasing|inv dec|invdec|inv. dec|invisible decrease|"
        "invisible decreases|invisible dec|inv decrease|inv sc dec|dec st|"
        "decrease stitch|dec.|id|inv.dec|single crochet invisible decrease"
    ),
    "slst": (
        "sl st|sl sts|slst|slsts|sl-st|sl-sts|ss|slip stitch|slip stitches|slip st|slip sts|slipstitch|"
        "slipstitches|slip-stitch|slpst|sl|slip|sl. st|sl.st|sl stitch|sl stitches|slst(s)|ssts|sl st(s)|s.s.|slk"
    ),
    "even": (
        "work even|even|evenly even|work straight|continue even|work in pattern|work plain|no increases|"
        "no shaping|without shaping|without increasing|no increase|no inc|work without increasing|"
        "no decreases|work without shaping"
    ),
    "evenly": "evenly|evenly spaced|evenly around|evenly across|evenly spaced around|evenly along",
    # how often
    "times": "times|time|xs|time(s)|times in total|times total|x's|repeats total|times in all|times altogether",
    "x": "x",
    "twice": "twice|two times|2x's",
    "once": "once",
    "more": "more|additional|another|again more|extra|further",
    "again": "again",
    "total": "all told|sts in all|stitches in all|total|in total|altogether|a total of|total of|for a total of|in total of|making a total of|totalling|all together",
    # joining words
    "and": "and|&|plus|also",
    "then": "then|this time|this time it's|this time around|and then|now|next,|after that|after this|afterwards|finally",
    "with": "with|using|w/|with yarn|with colour|with color|use",
    "counts": (
        "counts as|counting as|count as|counted as|which counts as|to count as|this counts as|acts as|acting as|"
        "stands for|standing for|that counts as|equals|equal to|(counts as|serves as|"
        "are your first|is your first|will be your first|becomes your first|that's your first|that is your first|this is your first|makes your first|"
        "replaces|replace|replacing|will count as|counts always as|here counts as|taken as|and counts as|it counts as"
    ),
    "countsno": (
        "counts as nothing|count as nothing|counts for nothing|is never counted as|is never counted|never counted|are never counted|never count|does not count as|doesn't count as|not counted as|do not count as|don't count as|not counted|"
        "does not count|doesn't count|not counting as|never counts as|never counts|not count as|"
        "do not count|don't count|does not counts as|dont count|is not counted as|is not counted|"
        "does not ever count as|not as|not counting|which does not count as|which does not count|not included in count|"
        "not a stitch|not a st|does not count towards|isn't counted|doesnt count as|doesnt count|are not counted"
    ),
    "countsyes": "counts|counted|counts throughout|counting",
    "row": "row|rows|rnd|rnds|round|rounds|rw|rd|rds|rnd(s)|row(s)|round(s)|ro",
    "asrow": (
        "as for|as in|same as|same as for|like|work as|work as for|the same as|as on|as per|ditto|"
        "work same as|in the same way as|just like|worked as|made like|the same way as|see|"
        "in same manner as|in the same manner as|equal to|equals to|same like|carry on like|continue like|go on like|like the|as at|exactly as|work like"
    ),
    "should": (
        "that leaves|still|which leaves|leaves you with|there will be|there should be|"
        "there are|this makes|this round makes|this gives|this gives you|giving|gives|makes|"
        "making a total of|this row makes|giving you|total stitches|total sts|"
        "total stitch count|total st count|stitch total|st ct|stitch ct|sts ct|stitch count|"
        "st count|count|check|final count|total count|forming|stitches in total|"
        "leaving you with|you are left with|ends with|sts on row|should have|for a total of|"
        "to make a total of|there should now be|that gives you|that makes|which gives|"
        "which makes|this leaves|resulting in|equals a total of|final stitch count|"
        "total number of stitches|number of stitches|now you have|that's|so that's|that gives us|you're down to|we're down to|"
        "you're up to|we're up to|and that leaves|leaves us with"
    ),
    "omit": "omit|omitting|leave off|leaving off|leave out last|eliminating|omit the last|omitting the last|leaving out",
    "ending": "ending|end with|ending with|ends|end last|ending last|finishing|finishing with|end each|stopping",
    "instead": "instead of|in place of|instead",
    "but": "but|except|except for|except that|unless",
    "alternately": "alternately|alternating|in turn|by turns",
    "yarn": "red|white|blue|green|black|brown|grey|gray|pink|purple|orange|cream|beige|navy|teal|colour|color|col|colours|colors|main colour|main color|contrast colour|contrast color",
    "as": "as",
    "note": (
        "stuff|stuffing|sew|fix|embroider|insert|secure|pull|thread|weave|hide|mark|move|remove|pin|block|steam|"
        "wash|fold|flatten|glue|change colour|change color|change shade|changing shade|change shades|changing shades|changing the colour|changing the color|change the colour|change the color|changing colour|changing color|change to|changing to|switch to|switch|swap|swap to|"
        "colour change|color change|carry the|carry your|carry yarn|drop|lay|begin stuffing|start stuffing|continue stuffing|add stuffing|"
        "add eyes|place eyes|attach eyes|leave a|leaving a|leave long|leaving long|leave enough|leaving enough|place marker|pm|place a marker|"
        "place stitch marker|place markers|sm|hold|holding|position|tighten|adjust|add safety eyes|place safety eyes|attach safety eyes|"
        "place the marker|put marker|put a marker|put the eyes|put in the eyes|move marker|move the marker|slip marker|"
        "remember|note|tip|continue to stuff|stuff as you go|stuff firmly|cut a|squeeze|wrap|count from|use a marker|"
        "twist|twisting|being careful|be careful|taking care|take care|careful|making sure|make sure|mark first|mark last|mark the|mark this|mark that|join colour|lock|drawing|photo|tuck|press|trim|optional|now put|"
        "increase the stuffing|finish stuffing|sew in|insert eyes|insert the eyes|attach the eyes|add the eyes|install"
    ),
    "half": "half",
    "hanger": (
        "hanging loop|hanging loops|button loop|buttonhole loop|loop for hanging|loop to hang it up|loop to hang it by"
    ),
    "apart": "apart|away|wide|long|tall|high|deep|tail",
    "pattern": "pattern|patt|pat|established|est",
}  # fmt: skip

#: Words that say nothing the grammar needs.
DROPPED = frozenset(
    "the of your very that this my our these those a. just only? simply please there it's its worked. "
    "it only so carefully loosely tightly neatly firmly as?".split()
)

#: Prose words of up to three letters, which are no stitches anybody has named.
SHORT_PROSE = frozenset(
    """i cup jug mat leg hat ten a am an and any are art as ask at be big bit but by can cut did do dry due eat end eye eyes far few fit for
    get go got had has hat he her him his hot how if is it its let lot low may me mid my new no nor not now of off
    oh ok old on or our out own pin put ran red rim run saw say see set sew she sit so tan tie tip too top try two
    up us use via was way we wet who why yes yet you cat dog toy leg arm ear tan pom bag bow box key lid jar rug
    tea day eg ie vs tv pic fun guy hey hi ii iii iv mm cm oz kg yd mc cc ca cb cd rs ws pm sm boo tad fin hem
    pot gut cap paw egg pod bib bun fur gem log nut pad peg sun tab tag van wig cow pig bee owl fox bat hen elf cub tum
    hub mug hip arc bay ash oak fig fir ivy jam pie pea pup ram ewe web wax wool zip son mom mum dad ago ice fog dew sky sea""".split()
)

#: Words that may change a count though the grammar does not know what to do with them here.
TELLING = frozenset(
    """except but instead omit unless minus without half alternate alternately alternating twice thrice double
    doubled extra fewer less both pattern established mirror reverse reversing reversed opposite
    increase decrease decreased increased shaping split divide divided pick picking picked gather
    number stitched tunisian chart diagram graph see symmetrical""".split()
)


#: "You should now have", "we end up with", and all that lies between.
YOU_HAVE = tuple(
    f"{who}{how} {has}"
    for who in ("you", "we")
    for how in (
        "", " now", " still", " should", " should now", " should still", " now should", " will",
        " will now", "'ll", "'ll now", " must", " must now", " ought to", " ought now to",
    )
    for has in (
        "have", "end up with", "end with", "finish with", "be left with", "get", "see", "count"
    )
    if how or has not in ("be left with", "see")
)  # fmt: skip


@cache
def phrases() -> tuple[dict[str, str], dict[str, int]]:
    """Every written form -> the grammar's word, and the longest form for each first word."""
    forms: dict[str, str] = {}
    longest: dict[str, int] = {}
    for canonical, written in WORDS.items():
        for form in (*written.split("|"), *(YOU_HAVE if canonical == "should" else ())):
            key = form.strip()
            if not key or key in forms:
                continue
            forms[key] = canonical.rstrip(".")
            words = key.split()
            longest[words[0]] = max(longest.get(words[0], 1), len(words))
    return forms, longest
