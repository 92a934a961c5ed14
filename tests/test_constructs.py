"""One small pattern for each construct, worked out by hand: what every row makes.

Where nothing can be said of a row, the reason is told; where a row does not fit, how far.
"""

from __future__ import annotations

import pytest

from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import Source


def rows_of(text: str) -> tuple[RowTally, ...]:
    return tally(read(Source("small.txt", text))).rows


#: A pattern, what each of its rows makes, and the working of the last one where it is shown.
#: Every row that states a total agrees with it.
MAKES: dict[str, tuple[str, list[tuple[int, ...]], str]] = {
    "slip stitches across to a corner": (
        (
            "Ch 4, join to form a ring.\n"
            "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times. Join. "
            "(12 dc, 4 ch-2 sps)\n"
            "Rnd 2: Sl st across to corner sp. Ch 3 (counts as dc), (2 dc, ch 2, 3 dc) in same "
            "sp, ch 1, *(3 dc, ch 2, 3 dc) in next corner sp, ch 1; rep from * around, join. (24 "
            "dc, 4 ch-1 sps, 4 ch-2 sps)\n"
        ),
        [(12,), (24,)],
        (
            "12 sts below; the repeat uses 1 and makes 6, 3 times; "
            "1 (chain) + 5 + 3 × 6 = 24; 8 chain spaces"
        ),
    ),
    "between two groups": (
        (
            "Ch 4, join to form a ring.\n"
            "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times. Join. "
            "(12 dc, 4 ch-2 sps)\n"
            "Rnd 2: Sl st to corner. (Ch 3, 2 dc, ch 2, 3 dc) in corner, *(3 dc, ch 2, 3 dc) in "
            "next corner; rep from * 2 more times; join. (24 dc, 4 ch-2 sps)\n"
            "Rnd 3: Sl st to corner; (ch 3, 2 dc, ch 2, 3 dc) in corner, 3 dc between the next 2 "
            "groups, *(3 dc, ch 2, 3 dc) in next corner, 3 dc between the next 2 groups; rep "
            "from * twice more; join. (36 dc)\n"
        ),
        [(12,), (24,), (36,)],
        "24 sts below; 6 + 3 + 3 × 9 = 36; 4 chain spaces",
    ),
    "in each space between groups": (
        (
            "Ch 4, join to form a ring.\n"
            "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times. Join. "
            "(12 dc, 4 ch-2 sps)\n"
            "Rnd 2: Ch 3, 2 dc in same sp, 3 dc in each space between groups around, join.\n"
        ),
        [(12,), (12,)],
        "12 sts below; 1 (chain) + 2 + 9 = 12",
    ),
    "stitches together in a space": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: Ch 5 (counts as dc and ch 2), *dc in next st, ch 2; rep from * around, join. "
            "(6 dc, 6 ch-2 sps)\n"
            "Rnd 3: Sl st in ch-2 sp, ch 2, dc2tog in same sp, ch 3, *dc3tog in next ch-2 sp, ch "
            "3; rep from * around; join. (6 ch-3 sps)\n"
        ),
        [(6,), (6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 5 times; 1 + 5 × 1 = 6; 6 chain spaces",
    ),
    "in each row end": (
        (
            "PANEL\n"
            "Ch 9.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (8)\n"
            "Rows 2-12: Ch 1, sc in each st across. Turn. (8)\n"
            "\n"
            "Rnd 1: Ch 1, sc in each row end. Join. (12)\n"
        ),
        [(8,), (8,), (12,)],
        "8 sts below; 12",
    ),
    "a chain of its own and back along it": (
        (
            "Rnd 1: 5 sc in magic ring. (5)\n"
            "Rnd 2: *Sl st in next st, ch 4, sc in 2nd ch from hook, hdc in next ch, dc in next "
            "ch; rep from * around.\n"
        ),
        [(5,), (15,)],
        "5 sts below; the repeat uses 1 and makes 3, 5 times; 5 × 3 = 15",
    ),
    "a chain of its own in the middle of a round": (
        (
            "Rnd 1: 8 sc in magic ring. (8)\n"
            "Rnd 2: 3 sc, ch 4, sc in 2nd ch from hook, hdc in next 2 ch, 5 sc. (11)\n"
        ),
        [(8,), (11,)],
        "8 sts below; 3 + 1 + 2 + 5 = 11",
    ),
    "the middle of a shell": (
        (
            "Special Stitches\n"
            "Shell: 5 dc in next st\n"
            "\n"
            "COSY\n"
            "Ch 14.\n"
            "Row 1: Sc in 2nd ch from hook, *skip 2 ch, shell in next ch, skip 2 ch, sc in next "
            "ch; rep from * across. Turn. (2 shells, 3 sc)\n"
            "Row 2: Ch 1, sc in first sc, *ch 3, sc in center dc of next shell, ch 3, sc in next "
            "sc; rep from * across. (5 sc, 4 ch-3 sps)\n"
        ),
        [(2,), (5,)],
        "13 sts below; the repeat uses 2 and makes 2, 2 times; 1 + 2 × 2 = 5; 4 chain spaces",
    ),
    "chains passed over in a space": (
        (
            "Ch 14.\n"
            "Row 1: Dc in 8th ch from hook, (ch 2, skip 2 ch, dc in next ch) 2 times. Turn. (3 "
            "sps)\n"
            "Row 2: Ch 5 (counts as dc and ch 2), dc in next dc, ch 2, dc in next dc, ch 2, skip "
            "2 ch, dc in next ch, turn. (3 sps)\n"
        ),
        [(3,), (3,)],
        "4 sts below; 1 (chain) + 1 + 1 + 1 = 4; 3 chain spaces",
    ),
    "in each stitch and in each corner": (
        (
            "Ch 4, join to form a ring.\n"
            "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times. Join. "
            "(12 dc, 4 ch-2 sps)\n"
            "Rnd 2: Ch 1, sc in each dc and 3 sc in each corner, sl st to first sc. (24 sc)\n"
        ),
        [(12,), (24,)],
        "12 sts below; 24",
    ),
    "chains that the total calls picots": (
        (
            "Rnd 1: 8 sc in magic ring. (8)\n"
            "Rnd 2: Ch 1, *sc in next 3 sts, (sc, ch 3, sc) in next st; rep from * around, join. "
            "(10 sc, 2 picots)\n"
        ),
        [(8,), (10,)],
        "8 sts below; the repeat uses 4 and makes 5, 2 times; 2 × 5 = 10; 2 chain spaces",
    ),
    "rows that repeat rows that repeat": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in each st around. (12)\n"
            "Rnd 4: Rep Rnd 3. (12)\n"
            "Rnds 5-8: Rep Rnds 3-4. (12)\n"
            "Rnd 9: Rep Rnd 8. (12)\n"
        ),
        [(6,), (12,), (12,), (12,), (12,), (12,)],
        "12 sts below; 12",
    ),
    "the last two rows, one of which repeats": (
        (
            "Ch 9.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (8)\n"
            "Row 2: Ch 1, 2 sc in first st, sc in each st to end. Turn. (9)\n"
            "Next row: Rep last row. (10)\n"
            "Rep last 2 rows 2 more times. (14)\n"
        ),
        [(8,), (9,), (10,), (14,)],
        "13 sts below; 2 + 12 = 14",
    ),
    "both sides of the chain in one round": (
        (
            "Ch 6.\n"
            "Rnd 1: 2 sc in 2nd ch from hook, sc in next 3 ch, 3 sc in last ch. On the other "
            "side of the ch: sc in next 3 ch, 1 sc in the same ch as the first 2 sc. Join. (12)\n"
        ),
        [(12,)],
        "4 sts below; 2 + 3 + 3 + 3 + 1 = 12",
    ),
    "in no stitch in one of the sizes": (
        (
            "Sizes: S (M, L)\n"
            "\n"
            "JUG\n"
            "Rnd 1: 6 (8, 10) sc in magic ring. – 6 (8, 10) sts\n"
            "Rnd 2: 2 sc in each of next 0 (1, 2) sts, sc in each st to end. – 6 (9, 12) sts\n"
        ),
        [(6, 8, 10), (6, 9, 12)],
        "6 sts below; 6",
    ),
    "only the last of two is repeated": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc, inc x 4. (10)\n",
        [(6,), (10,)],
        "6 sts below; 10",
    ),
    "a number of times for each of two": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: inc x 1, sc x 5. Total: 7\n",
        [(6,), (7,)],
        "6 sts below; 7",
    ),
    "an edge of so many stitches": (
        (
            "LEG\n"
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "\n"
            "FLAP\n"
            "Ch 4.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (3)\n"
            "Row 2: Ch 1, sc in each st across. Turn. (3)\n"
            "Edge: Sc in 2 sts along the side.\n"
        ),
        [(6,), (3,), (3,), (2,)],
        "3 sts below; 2",
    ),
    "a round joined in any stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. Fasten off. (12)\n"
            "Rnd 3: Join B with sl st in any sc, ch 1, sc in same st, sc in each st around, "
            "join. (12)\n"
        ),
        [(6,), (12,), (12,)],
        "12 sts below; 1 + 11 = 12",
    ),
    "in the space of each group": (
        (
            "Ch 11.\n"
            "Row 1: Dc in 4th ch from hook and in each ch across. Turn. (9 dc)\n"
            "Row 2: Ch 3 (counts as dc), skip 1 st, *(dc, ch 1, dc) in next st, skip 1 st; rep "
            "from * to last st, dc in last st. Turn. (8 dc, 3 ch-1 sps)\n"
            "Row 3: Ch 3, (dc, ch 1, dc) in ch-1 sp of each V-st across, dc in top of ch 3. (8 "
            "dc, 3 ch-1 sps)\n"
        ),
        [(9,), (8,), (8,)],
        "8 sts below; 1 (chain) + 3 × 2 + 1 = 8; 3 chain spaces",
    ),
    "in every third stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Inc in every 3rd st around. (16)\n"
        ),
        [(6,), (12,), (16,)],
        "12 sts below; 16",
    ),
    "every other stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Dec in every other st. (6)\n"
        ),
        [(6,), (12,), (6,)],
        "12 sts below; 6",
    ),
    "passed over up to a space": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: Ch 4 (counts as dc and ch 1), (dc in next st, ch 1) 5 times, join. (6 dc, 6 "
            "ch-1 sps)\n"
            "Rnd 3: Sl st in next ch-1 sp, ch 1, sc in same sp, ch 3, *skip to next ch-1 sp, sc "
            "in sp, ch 3; rep from * around. (6 sc, 6 ch-3 sps)\n"
        ),
        [(6,), (6,), (6,)],
        "6 sts below; the repeat uses 2 and makes 1, 5 times; 1 + 5 × 1 = 6; 6 chain spaces",
    ),
    "in the back loops": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Ch 1, sc in back loops, join. (6 sc)\n",
        [(6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 6 times; 6 × 1 = 6",
    ),
    "a ring on a line of its own": (
        "Make a magic ring.\nRnd 1: Ch 3 (counts as dc), 11 dc in ring. Join. (12)\n",
        [(12,)],
        "1 st below; 1 (chain) + 11 = 12",
    ),
    "a ring of chains": (
        "Rnd 1: Ch 4, sl st in first ch to form a ring, ch 1, 8 sc in ring. Join. (8)\n",
        [(8,)],
        "8",
    ),
    "the loops that a round has left": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Working in front loops of Rnd 2, sc in each st around. (12)\n"
            "Rnd 4: Working in unworked back loops of Rnd 2, 2 sc in each st around. (24)\n"
        ),
        [(6,), (12,), (12,), (24,)],
        "12 sts below; 12 × 2 = 24",
    ),
    "the other side in a row of its own": (
        (
            "Ch 13.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. (12)\n"
            "Row 2: Working along the other side of the foundation chain, sc in each ch across. "
            "(12)\n"
        ),
        [(12,), (12,)],
        "12 sts below; 12",
    ),
    "a chain that says that it counts": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 3 (counts as first dc), dc in next 5 sts. Turn. (6)\n"
        ),
        [(6,), (6,)],
        "6 sts below; 1 (chain) + 5 = 6",
    ),
    "a chain of which a sentence says that it counts": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Chain 3, which counts as the first double crochet. Skip the first stitch, dc "
            "in next 5 sts. Turn. (6 dc)\n"
        ),
        [(6,), (6,)],
        "6 sts below; 1 (chain) + 5 = 6",
    ),
    "a round that begins in any space": (
        (
            "Ch 4, join to form a ring.\n"
            "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times. Join. "
            "(12 dc, 4 ch-2 sps)\n"
            "Rnd 2: Join B in any ch-2 sp, ch 3 (counts as dc), (2 dc, ch 2, 3 dc) in same sp, "
            "*(3 dc, ch 2, 3 dc) in next ch-2 sp; rep from * around, join. (24 dc, 4 ch-2 sps)\n"
        ),
        [(12,), (24,)],
        (
            "12 sts below; the repeat uses 1 and makes 6, 3 times; "
            "1 (chain) + 5 + 3 × 6 = 24; 4 chain spaces"
        ),
    ),
    "joined with a stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Join with sc in any st, sc in each of next 11 sts, join. (12)\n"
        ),
        [(6,), (12,), (12,)],
        "12 sts below; 1 + 11 = 12",
    ),
    "from the first stitch to the last": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, sc in first st, ch 4, sc in last st. Turn. (2 sc, 1 ch-4 sp)\n"
        ),
        [(6,), (2,)],
        "6 sts below; 1 + 1 = 2; 1 chain space; 4 left unworked",
    ),
    "stitches left unworked": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, sc in next 4 sts, leave remaining sts unworked. Turn. (4)\n"
            "Row 3: Ch 1, sc in each st. (4)\n"
        ),
        [(6,), (4,), (4,)],
        "4 sts below; 4",
    ),
    "the last stitch passed over": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, skip first st, sc in next 4 sts, skip last st. Turn. (4)\n"
        ),
        [(6,), (4,)],
        "6 sts below; 4",
    ),
    "the middle of a group": (
        (
            "Ch 8.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (7)\n"
            "Row 2: Ch 1, sc in next 3 sts, 3 sc in next st, sc in next 3 sts. Turn. (9)\n"
            "Row 3: Ch 1, sc in next 4 sts, 3 sc in middle st of 3-sc group, sc in next 4 sts. "
            "(11)\n"
        ),
        [(7,), (9,), (11,)],
        "",
    ),
    "slip stitches into a space and the middle of the next": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Ch 1, *sc in next st, ch 5, skip next 2 sts; rep from * around, join. (4 sc, "
            "4 ch-5 sps)\n"
            "Rnd 4: Sl st in next 2 ch, sc in same sp, ch 5, *sc in 3rd ch of next ch-5, ch 5; "
            "rep from * around, join. (4 sc, 4 ch-5 sps)\n"
        ),
        [(6,), (12,), (4,), (4,)],
        "4 sts below; the repeat uses 1 and makes 1, 3 times; 1 + 3 × 1 = 4; 4 chain spaces",
    ),
    "so many in each space": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Ch 1, *sc in next st, ch 5, skip next 2 sts; rep from * around, join. (4 sc, "
            "4 ch-5 sps)\n"
            "Rnd 4: Ch 1, *7 sc in next ch-5 sp; rep from * around, join. (28)\n"
        ),
        [(6,), (12,), (4,), (28,)],
        "4 sts below; the repeat uses 1 and makes 7, 4 times; 4 × 7 = 28",
    ),
    "in each stitch and in each space": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Ch 1, *sc in next st, ch 5, skip next 2 sts; rep from * around, join. (4 sc, "
            "4 ch-5 sps)\n"
            "Rnd 4: Ch 1, sc in each sc and 5 sc in each ch-5 sp around, join. (24)\n"
        ),
        [(6,), (12,), (4,), (24,)],
        "4 sts below; 8 × 3 = 24",
    ),
    "in each chain of a space": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Ch 1, *sc in next st, ch 5, skip next 2 sts; rep from * around, join. (4 sc, "
            "4 ch-5 sps)\n"
            "Rnd 4: Ch 1, *sc in next sc, sc in next 5 ch; rep from * around, join. (24)\n"
        ),
        [(6,), (12,), (4,), (24,)],
        "4 sts below; the repeat uses 2 and makes 6, 4 times; 4 × 6 = 24",
    ),
    "together all around": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc2tog around. (6)\n"
            "Rnd 4: Sc2tog 3 times. (3)\n"
        ),
        [(6,), (12,), (6,), (3,)],
        "6 sts below; 3",
    ),
    "together in one stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Dc2tog in next st, ch 1; rep from * around. (6 dc2tog, 6 ch-1 sps)\n"
        ),
        [(6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 6 times; 6 × 1 = 6; 6 chain spaces",
    ),
    "until so many remain in all": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *Sc2tog; rep from * until 6 sts remain. (6)\n"
        ),
        [(6,), (12,), (6,)],
        "12 sts below; 6",
    ),
    "a round until so many remain": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc2tog, sc in each st around. (11)\n"
            "Rep last rnd until 8 sts remain. (8)\n"
        ),
        [(6,), (12,), (11,), (8,)],
        "9 sts below; 1 + 7 = 8",
    ),
    "a repeat in a repeat": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: [(Sc, inc) twice, sc in next 2 sts] twice. (16)\n"
        ),
        [(6,), (12,), (16,)],
        "12 sts below; 2 × 8 = 16",
    ),
    "from the first to the last stitch": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, 2 sc in first st, sc in each st across to last st, 2 sc in last st. "
            "Turn. (8)\n"
        ),
        [(6,), (8,)],
        "6 sts below; 2 + 4 + 2 = 8",
    ),
    "together over so many stitches": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 2 (does not count), hdc2tog over first 2 sts, hdc in next 2 sts, hdc2tog "
            "over last 2 sts. Turn. (4)\n"
        ),
        [(6,), (4,)],
        "6 sts below; 1 + 2 + 1 = 4",
    ),
    "around posts": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *FPdc around next st, BPdc around next st; rep from * around, join. (12)\n"
        ),
        [(6,), (12,), (12,)],
        "12 sts below; the repeat uses 2 and makes 2, 6 times; 6 × 2 = 12",
    ),
    "crossed stitches": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *Skip next st, dc in next st, dc in skipped st; rep from * around. (12)\n"
        ),
        [(6,), (12,), (12,)],
        "12 sts below; the repeat uses 2 and makes 2, 6 times; 6 × 2 = 12",
    ),
    "a picot back in the same stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Sc in next st, ch 3, sl st in same st; rep from * around. (6)\n"
        ),
        [(6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 6 times; 6 × 1 = 6",
    ),
    "a picot back in its first chain": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Sc in next st, ch 3, sl st in first ch; rep from * around. (6)\n"
        ),
        [(6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 6 times; 6 × 1 = 6",
    ),
    "a picot in brackets": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: (Sc, ch 3, sl st in same st) around. (6)\n",
        [(6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 6 times; 6 × 1 = 6",
    ),
    "a picot on every second stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Sc in next 2 sts, ch 3, sl st in same st; rep from * around. (6)\n"
        ),
        [(6,), (6,)],
        "6 sts below; the repeat uses 2 and makes 2, 3 times; 3 × 2 = 6",
    ),
    "picots that are counted": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in next 3 sts, picot, sc in next 3 sts, picot, sc in next 6 sts. (12 sc, "
            "2 picots)\n"
        ),
        [(6,), (12,), (12,)],
        "12 sts below; 3 + 3 + 6 = 12",
    ),
    "more in the first and in the last stitch": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Inc in first st, sc in each st to last st, inc in last st. (14)\n"
        ),
        [(6,), (12,), (14,)],
        "12 sts below; 2 + 10 + 2 = 14",
    ),
    "a round for one of the sizes": (
        (
            "Sizes: S (M, L)\n"
            "\n"
            "JUG\n"
            "Rnd 1: 6 (8, 10) sc in magic ring. – 6 (8, 10) sts\n"
            "Size L only:\n"
            "Rnd 2: 2 sc in each st around. – 20 sts\n"
            "All sizes:\n"
            "Rnd 3: Sc in each st around. – 6 (8, 20) sts\n"
        ),
        [(6, 8, 10), (6, 8, 20), (6, 8, 20)],
        "6 sts below; 6",
    ),
    "a row to the last two, again and again": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, sc in each st across to last 2 sts, sc2tog. Turn. (5)\n"
            "Rows 3-6: Rep Row 2. (1)\n"
        ),
        [(6,), (5,), (1,)],
        "2 sts below; 1",
    ),
    "rows named one by one": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, sc in each st across. Turn. (6)\n"
            "Rows 3, 5, 7: Rep Row 2. (6)\n"
        ),
        [(6,), (6,), (6,)],
        "6 sts below; 6",
    ),
    "two in one place, twice": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: (Sc, hdc) in next st, (hdc, sc) in next st, sc in next 10 sts. (14)\n"
        ),
        [(6,), (12,), (14,)],
        "12 sts below; 2 + 2 + 10 = 14",
    ),
    "a chain that counts and one more beside it": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Ch 3 (counts as dc), dc in same st, 2 dc in each st around, join. (24 dc)\n"
        ),
        [(6,), (12,), (24,)],
        "12 sts below; 1 (chain) + 1 + 11 × 2 = 24",
    ),
    "a chain that does not count": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Ch 2 (does not count as st), 2 hdc in each st around, join with sl st to "
            "first hdc. (24 hdc)\n"
        ),
        [(6,), (12,), (24,)],
        "12 sts below; 12 × 2 = 24",
    ),
    "the base of the chain": (
        (
            "CIRCLE\n"
            "Ch 4, sl st to form ring.\n"
            "Rnd 1: Ch 3, 11 dc in ring, sl st in top of ch 3. (12 dc)\n"
            "Rnd 2: Ch 3, dc in base of ch 3, 2 dc in each dc around, sl st in top of ch 3. (24 "
            "dc)\n"
        ),
        [(12,), (24,)],
        "12 sts below; 1 (chain) + 1 + 11 × 2 = 24",
    ),
    "a repeat to the last two": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *2 sc in next st, sc in next st; rep from * around to last 2 sts, sc in last "
            "2 sts. (17)\n"
        ),
        [(6,), (12,), (17,)],
        "12 sts below; the repeat uses 2 and makes 3, 5 times; 5 × 3 + 2 = 17",
    ),
    "a slip knot": (
        "Make a slip knot and chain 7.\nRow 1: Sc in 2nd ch from hook and in each ch across. (6)\n",
        [(6,)],
        "7 sts below; 1 + 5 = 6",
    ),
    "over a ring of another kind": (
        (
            "Rnd 1: Join yarn to the hair tie with a sl st. Ch 1 and work 40 sc over the tie. Sl "
            "st to 1st sc. (40 sc total)\n"
        ),
        [(40,)],
        "40; 1 chain space",
    ),
    "every other stitch of an odd round": (
        (
            "Rnd 1: 12 sc in magic ring. (12)\n"
            "Rnd 2: *Sc in next st, 2 sc in next st* around. (18)\n"
            "Rnd 3: Sc in every other st around. (9)\n"
        ),
        [(12,), (18,), (9,)],
        "18 sts below; 9",
    ),
    "together at both ends": (
        (
            "Ch 11.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (10)\n"
            "Row 2: Ch 1, sc2tog over first 2 sts, sc in each of next 6 sts, sc2tog over last 2 "
            "sts. Turn. (8)\n"
        ),
        [(10,), (8,)],
        "10 sts below; 1 + 6 + 1 = 8",
    ),
    "other stitches at the end": (
        (
            "Ch 11.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (10)\n"
            "Row 2: Ch 1, sc in each st to last 3 sts, dc in each of last 3 sts. Turn. (10)\n"
        ),
        [(10,), (10,)],
        "10 sts below; 7 + 3 = 10",
    ),
    "a corner in the middle of a row": (
        (
            "Ch 11.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (10)\n"
            "Row 2: Ch 1, sc in next 4 sts, (sc, ch 2, sc) in next st, sc in next 5 sts. Turn. "
            "(11 sc, 1 ch-2 sp)\n"
            "Row 3: Ch 1, sc in each st to ch-2 sp, (sc, ch 2, sc) in ch-2 sp, sc in each st to "
            "end. Turn. (13 sc, 1 ch-2 sp)\n"
        ),
        [(10,), (11,), (13,)],
        "11 sts below; 6 + 2 + 5 = 13; 1 chain space",
    ),
    "in each stitch and a space": (
        (
            "Ch 11.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (10)\n"
            "Row 2: Ch 1, sc in next 4 sts, ch 2, sk 2 sts, sc in next 4 sts. Turn. (8 sc, 1 "
            "ch-2 sp)\n"
            "Row 3: Ch 1, sc in each sc and 2 sc in ch-2 sp. Turn. (10)\n"
        ),
        [(10,), (8,), (10,)],
        "",
    ),
    "in the chains of a gap": (
        (
            "Ch 11.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (10)\n"
            "Row 2: Ch 1, sc in next 4 sts, ch 2, sk 2 sts, sc in next 4 sts. Turn. (8 sc, 1 "
            "ch-2 sp)\n"
            "Row 3: Ch 1, sc in next 4 sts, sc in next 2 ch, sc in next 4 sts. Turn. (10)\n"
        ),
        [(10,), (8,), (10,)],
        "8 sts below; 4 + 2 + 4 = 10",
    ),
    "a group that counts as one": (
        (
            "Special Stitches\n"
            "Popcorn (pc): 5 dc in next st, drop loop, insert hook in first dc, pull loop "
            "through\n"
            "\n"
            "RUG\n"
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Pc in next st, ch 2; rep from * around. (6 pc, 6 ch-2 sps)\n"
        ),
        [(6,), (6,)],
        "6 sts below; the repeat uses 1 and makes 1, 6 times; 6 × 1 = 6; 6 chain spaces",
    ),
    "groups in spaces": (
        (
            "Special Stitches\n"
            "Cluster: dc3tog in one st\n"
            "\n"
            "RUG\n"
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: Ch 2, *cluster in next st, ch 3; rep from * around. (6 clusters, 6 ch-3 "
            "sps)\n"
            "Rnd 3: Sl st in ch-3 sp, ch 2, (cluster, ch 3, cluster) in same sp, *(cluster, ch "
            "3, cluster) in next ch-3 sp; rep from * around. (12 clusters, 6 ch-3 sps)\n"
        ),
        [(6,), (6,), (12,)],
        "6 sts below; the repeat uses 1 and makes 2, 5 times; 2 + 5 × 2 = 12; 6 chain spaces",
    ),
    "in the space of each group around": (
        (
            "Special Stitches\n"
            "V-st: (dc, ch 1, dc) in next st\n"
            "\n"
            "RUG\n"
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: V-st in each st around. (6 V-sts)\n"
            "Rnd 3: 3 sc in ch-1 sp of each V-st around. (18)\n"
        ),
        [(6,), (6,), (18,)],
        "12 sts below; 6 × 3 = 18",
    ),
    "back loops, then front loops": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: In BLO, sc in each st around. (12)\n"
            "Rnd 4: In FLO, 2 sc in each st around. (24)\n"
        ),
        [(6,), (12,), (12,), (24,)],
        "12 sts below; 12 × 2 = 24",
    ),
    "turned after the chain": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, turn, sc in each st across. (6)\n"
            "Row 3: Ch 3 (counts as dc), turn, dc in next 5 sts. (6)\n"
            "Row 4: Ch 1, turn, sc in each st across, sc in top of turning ch. (6)\n"
        ),
        [(6,), (6,), (6,), (6,)],
        "6 sts below; 5 + 1 = 6",
    ),
    "the top of the turning chain": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 3 (counts as dc), skip first st, dc in each st across. Turn. (6)\n"
            "Row 3: Ch 3 (counts as dc), skip first st, dc in next 4 sts, dc in top of turning "
            "ch. Turn. (6)\n"
        ),
        [(6,), (6,), (6,)],
        "6 sts below; 1 (chain) + 4 + 1 = 6",
    ),
    "a chain that is a stitch and a space": (
        (
            "Ch 11.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (10)\n"
            "Row 2: Ch 4 (counts as dc and ch 1), skip next st, *dc in next st, ch 1, skip next "
            "st; rep from * to last 2 sts, dc in next st, dc in last st. Turn. (6 dc, 4 ch-1 "
            "sps)\n"
        ),
        [(10,), (6,)],
        (
            "10 sts below; the repeat uses 2 and makes 1, 3 times; "
            "1 (chain) + 3 × 1 + 1 + 1 = 6; 4 chain spaces"
        ),
    ),
    "a mesh and back": (
        (
            "Ch 12.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (11)\n"
            "Row 2: Ch 4 (counts as dc and ch 1), skip next st, *dc in next st, ch 1, skip next "
            "st; rep from * to last st, dc in last st. Turn. (6 dc, 5 ch-1 sps)\n"
            "Row 3: Ch 1, sc in first dc, *sc in next ch-1 sp, sc in next dc; rep from * across. "
            "Turn. (11)\n"
        ),
        [(11,), (6,), (11,)],
        "6 sts below; the repeat uses 2 and makes 2, 5 times; 1 + 5 × 2 = 11",
    ),
    "a piece that begins like another": (
        (
            "ARM (make 2)\n"
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "\n"
            "LEG\n"
            "Work as Arm to Rnd 2. (12)\n"
            "Rnd 3: Sc in each st around. (12)\n"
        ),
        [(6,), (12,), (12,), (12,)],
        "12 sts below; 12",
    ),
    "a row with another chain": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, sc in next 2 sts, ch 2, skip 2 sts, sc in next 2 sts. Turn. (4 sc, 1 "
            "ch-2 sp)\n"
            "Row 3: Ch 1, sc in next 2 sts, 2 sc in ch-2 sp, sc in next 2 sts. Turn. (6)\n"
            "Row 4: Rep Row 2 but ch 4 instead of ch 2. (4 sc, 1 ch-4 sp)\n"
        ),
        [(6,), (4,), (6,), (4,)],
        "6 sts below; 2 + 2 = 4; 1 chain space",
    ),
    "two rows again and again": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Row 2: Ch 1, 2 sc in first st, sc in each st across. Turn. (7)\n"
            "Row 3: Ch 1, sc in each st across. Turn. (7)\n"
            "Rows 4-9: Rep Rows 2-3. (10)\n"
        ),
        [(6,), (7,), (7,), (10,)],
        "10 sts below; 10",
    ),
    "evenly more and fewer": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Increase 6 sts evenly around. (18)\n"
            "Rnd 4: Decrease 3 sts evenly around. (15)\n"
        ),
        [(6,), (12,), (18,), (15,)],
        "18 sts below; 15",
    ),
    "so many evenly": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Work 24 sc evenly around. (24)\n"
        ),
        [(6,), (12,), (24,)],
        "12 sts below; 24",
    ),
    "around both ends of a chain": (
        (
            "Ch 6.\n"
            "Rnd 1: Sc in 2nd ch from hook, sc in next 3 ch, 3 sc in last ch, rotate, sc in next "
            "3 ch, 2 sc in last ch. Join. (12)\n"
        ),
        [(12,)],
        "6 sts below; 1 + 3 + 3 + 3 + 2 = 12",
    ),
    "a gap and over it": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in next 3 sts, ch 6, skip 6 sts, sc in next 3 sts. (6 sc, 1 ch-6 sp)\n"
            "Rnd 4: Sc in next 3 sts, sc in next 6 ch, sc in next 3 sts. (12)\n"
        ),
        [(6,), (12,), (6,), (12,)],
        "6 sts below; 3 + 6 + 3 = 12",
    ),
    "the first chain of three": (
        "Rnd 1: Ch 3, 8 hdc in 3rd ch from hook, join. (8)\n",
        [(8,)],
        "3 sts below; 8",
    ),
}


@pytest.mark.parametrize("name", MAKES)
def test_each_row_makes_what_was_worked_out_by_hand(name: str) -> None:
    text, makes, working = MAKES[name]
    rows = rows_of(text)
    assert [row.worked for row in rows] == makes
    for row in rows:
        assert row.verdict is (Verdict.UNSTATED if row.stated is None else Verdict.AGREES), row
    assert rows[-1].working == working or not working


#: A pattern whose last row cannot be worked out, the words to blame and the reason.
UNREAD: dict[str, tuple[str, list[str], str]] = {
    "a bracket too many times": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: [Sc in next 2 sts] 99999 times. (12)\n"
        ),
        ["[Sc in next 2 sts] 99999 times"],
        "the figure is too large to be worked",
    ),
    "two in each of too many": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each of next 99999 sts. (12)\n",
        ["2 sc in each of next 99999 sts"],
        "the figure is too large to be worked",
    ),
    "too many slip stitches": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sl st in next 99999 sts. (12)\n"
        ),
        ["Sl st in next 99999 sts"],
        "the figure is too large to be worked",
    ),
    "row ends of no rows": (
        "Row 1: Ch 1, sc in each row end. (8)\n",
        ["sc in each row end"],
        "how many row ends there are is not known",
    ),
    "a row that is not there": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Rep Rnd 9. (6)\n",
        ["Rep Rnd 9"],
        "Row 9 is not there to be worked again",
    ),
    "too many in one stitch": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 999999 sc in next st, sc in next 5 sts. (6)\n",
        ["999999 sc in next st"],
        "the figure is too large to be worked",
    ),
    "too many passed over": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Skip 99999 sts, sc in next st. (6)\n",
        ["Skip 99999 sts"],
        "the figure is too large to be worked",
    ),
    "too many times": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: (Sc, inc) 99999 times. (6)\n",
        ["(Sc, inc) 99999 times"],
        "the figure is too large to be worked",
    ),
    "too many chains": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Ch 99999, sc in each st around. (6)\n",
        ["Ch 99999"],
        "the figure is too large to be worked",
    ),
    "in too many stitches": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc in each of next 99999 sts. (6)\n",
        ["Sc in each of next 99999 sts"],
        "the figure is too large to be worked",
    ),
    "a group too many times": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: (Sc, hdc) in next st 99999 times. (6)\n",
        ["(Sc, hdc) in next st 99999 times"],
        "the figure is too large to be worked",
    ),
    "a group that is not explained": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Shell in each st around. (6 shells)\n",
        ["Shell in each st around"],
        "the pattern does not say how a shell is made",
    ),
    "more decreased than there are": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc around, increasing 4 sts evenly. (16)\n"
            "Rnd 4: Sc around, decreasing 20 sts evenly. (1)\n"
        ),
        ["decreasing 20 sts evenly"],
        "there are not so many stitches to decrease",
    ),
    "more decreased than there are, in a row of its own": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Decrease 20 sts evenly around. (1)\n",
        ["Decrease 20 sts evenly around"],
        "there are not so many stitches to decrease",
    ),
    "no such space": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in next ch-3 sp. (1)\n"
        ),
        ["Sc in next ch-3 sp"],
        "the row below has no such space",
    ),
    "no groups": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in centre dc of each shell around. (6)\n"
        ),
        ["Sc in centre dc of each shell around"],
        "where the groups are is not known",
    ),
    "a middle that is not known": (
        (
            "Ch 8.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (7)\n"
            "Row 2: Ch 1, sc in each st to centre st, 3 sc in centre st, sc in each st to end. "
            "Turn. (9)\n"
        ),
        ["sc in each st to centre st"],
        "where the repeat stops is not known",
    ),
    "another row with a change": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Rep Rnd 2, sc in next st. (24)\n"
        ),
        [],
        "it repeats other rows with a change",
    ),
    "rows that repeat each other": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Rep Rnd 3. (6)\nRnd 3: Rep Rnd 2. (6)\n",
        ["Rep Rnd 2"],
        "the rows referred to refer to others",
    ),
    "numbers that run backwards": (
        "Rnd 1: 6 sc in magic ring. (6)\nRnds 3-2: Rep Rnd 1. (6)\n",
        [],
        "it stands for no row at all",
    ),
    "loops of a row that is not there": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: Sc in next 2 sts, working in front loops of Rnd 9, sc in next 4 sts. (6)\n"
        ),
        ["working in front loops of Rnd 9"],
        "the row it is worked into is not known",
    ),
    "twice as many as can be worked": (
        (
            "Ch 15001.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. (15000)\n"
            "Row 2: Ch 1, turn, 2 sc in each st across. (30000)\n"
        ),
        [],
        "the figure is too large to be worked",
    ),
    "gaps of one stitch of two": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Sc in next st, hdc in next st; rep from * around. (6)\n"
            "Rnd 3: Sc in each space between hdc around. (6)\n"
        ),
        ["Sc in each space between hdc around"],
        "which gaps are meant is not known",
    ),
    "gaps between groups of which there are none": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *Sc in next st, ch 2; rep from * around. (6 sc, 6 ch-2 sps)\n"
            "Rnd 3: 3 dc in each sp between groups around. (18)\n"
        ),
        ["3 dc in each sp between groups around"],
        "which gaps are meant is not known",
    ),
    "too many loops": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc in next 99999 loops. (6)\n"),
        ["Sc in next 99999 loops"],
        "the figure is too large to be worked",
    ),
    "a stitch too many times": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc 99999 times. (6)\n"),
        ["Sc 99999 times"],
        "the figure is too large to be worked",
    ),
    "in one stitch too many times": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc in next st 99999 times. (6)\n"),
        ["Sc in next st 99999 times"],
        "the figure is too large to be worked",
    ),
    "until it is liked": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Rep last rnd until you like the size.\n"),
        ["until you"],
        "it repeats other rows with a change",
    ),
    "into each of what is not there": (
        (
            "Rnd 1: 12 sc in magic ring. (12)\n"
            "Rnd 2: Sc in next 2 sts, ch 4, skip 2 sts, "
            "sc in next 4 sts, ch 4, skip 2 sts, sc in next 2 sts. (8 sc, 2 ch-4 sps)\n"
            "Rnd 3: Sc around, working 4 sc into each handle. (16)\n"
        ),
        ["working 4 sc into each handle"],
        "where the groups are is not known",
    ),
    "a method that is not told": (
        (
            "Special stitches\n"
            "Wobble stitch: see the video.\n"
            "\n"
            "BIB\n"
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: Wobble stitch in each st around. (6)\n"
        ),
        ["Wobble stitch in each st around"],
        "words that were not understood",
    ),
    "along an edge": (
        (
            "Ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. Turn. (6)\n"
            "Rnd 2: Ch 1, sc evenly around the edge, join. (20)\n"
        ),
        ["sc evenly around the edge"],
        "how many stitches are worked along an edge is not said",
    ),
    "each stitch of a ring": (
        ("Rnd 1: Magic ring, (sc, ch 1, sc) in each st around. (6)\n"),
        ["(sc, ch 1, sc) in each st around"],
        "a ring has no stitches to be worked into one by one",
    ),
    "each space of which there are none": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each ch-2 sp around. (12)\n"),
        ["2 sc in each ch-2 sp around"],
        "the row below has no such space",
    ),
    "the middle of no group": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: *(Sc, ch 1, sc) in center dc of next shell; rep from * around. (12)\n"
        ),
        ["(Sc, ch 1, sc) in center dc of next shell"],
        "where the group is is not known",
    ),
    "each of the corners that are not there": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 3 sc in each corner. (12)\n"),
        ["3 sc in each corner"],
        "how many corners there are is not known",
    ),
    "the same row again of none": (
        ("Rnd 1: Rep last rnd. (6)\n"),
        ["Rep last rnd"],
        "which rows are meant is not known",
    ),
    "until a row that is not known": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Rep Rnd 2 to marker. (24)\n"
        ),
        ["Rep Rnd 2 to marker"],
        "where it stops is not known",
    ),
    "a repeat in a ring": (
        ("Rnd 1: Magic ring, *sc, ch 1; rep from * around. (6)\n"),
        ["sc, ch 1; rep from *"],
        "a repeat in a ring needs a number",
    ),
    "a repeat that uses nothing": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: *Ch 3; rep from * around. (6)\n"),
        ["Ch 3; rep from *"],
        "the repeat uses no stitches",
    ),
    "the middle of a row that is not known": (
        ("Row 1: Sc in center dc of next shell. (1)\n"),
        ["Sc in center dc of next shell"],
        "the row below is not known",
    ),
    "words": (
        ("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc in wherever you like. (6)\n"),
        ["like"],
        "words that were not understood",
    ),
    "a row below that is not known": (
        ("Rnd 5: Sc in each st around. (6)\n"),
        ["Sc in each st around"],
        "the row below is not known",
    ),
    "no chain": (
        ("Row 1: Sc in 2nd ch from hook, sc in next 5 ch. (6)\n"),
        ["Sc in 2nd ch from hook"],
        "how long the foundation chain is is not known",
    ),
}


@pytest.mark.parametrize("name", UNREAD)
def test_a_row_that_cannot_be_worked_out_has_a_reason(name: str) -> None:
    text, words, reason = UNREAD[name]
    row = rows_of(text)[-1]
    assert (row.verdict, row.worked) == (Verdict.UNREAD, None)
    assert [text[span.start : span.end] for span in row.unread] == words
    assert row.reason == reason


#: A pattern, which of its rows does not come out, and what is said of it: the kind, the sizes
#: and the words.
MISFITS: dict[str, tuple[str, int, list[tuple[str, tuple[int, ...], str]]]] = {
    "more chains passed over than there are": (
        "Ch 3.\nRow 1: Sc in 6th ch from hook and in each ch across. (1)\n",
        0,
        [("short", (0,), "needs 6 sts, but the row below has 3")],
    ),
    "an odd number together": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in next st, sc in next 5 sts. (7)\n"
            "Rnd 3: Sc2tog around. (3)\n"
        ),
        2,
        [("repeat", (0,), "7 stitches do not divide by 2")],
    ),
    "three left over": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in next 9 sts. (9)\n"
        ),
        2,
        [("left", (0,), "uses 9 of the 12 sts below and leaves 3")],
    ),
    "one left over": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in next 11 sts. (11)\n"
        ),
        2,
        [("left", (0,), "uses 11 of the 12 sts below and leaves 1")],
    ),
    "one more than there are": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: Sc in next 13 sts. (13)\n"
        ),
        2,
        [("short", (0,), "needs 13 sts, but the row below has 12")],
    ),
    "a repeat that leaves two": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *Sc in next 4 sts, 2 sc in next st; rep from * around. (14)\n"
        ),
        2,
        [
            ("total", (0,), "the row makes 12 sts, but the total says 14"),
            ("left", (0,), "uses 10 of the 12 sts below and leaves 2"),
        ],
    ),
    "a repeat that goes once": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *Sc in next 10 sts, inc; rep from * around. (13)\n"
        ),
        2,
        [
            ("total", (0,), "the row makes 12 sts, but the total says 13"),
            ("left", (0,), "uses 11 of the 12 sts below and leaves 1"),
        ],
    ),
    "a wrong total in one size": (
        (
            "Sizes: S (M, L)\n"
            "\n"
            "JUG\n"
            "Rnd 1: 6 (8, 10) sc in magic ring. – 6 (8, 10) sts\n"
            "Rnd 2: 2 sc in each st around. – 12 (16, 21) sts\n"
        ),
        1,
        [("total", (2,), "the row makes 20 sts, but the total says 21")],
    ),
    "a wrong total in two sizes": (
        (
            "Sizes: S (M, L)\n"
            "\n"
            "JUG\n"
            "Rnd 1: 6 (8, 10) sc in magic ring. – 6 (8, 10) sts\n"
            "Rnd 2: 2 sc in each st around. – 12 (17, 21) sts\n"
        ),
        1,
        [("total", (1, 2), "the row makes 16 (20) sts, but the total says 17 (21)")],
    ),
    "the second figure of a total": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (12)\n"
            "Rnd 3: *Sc in next st, ch 2, skip next st; rep from * around. (6 sc, 7 ch-2 sps)\n"
        ),
        2,
        [("total", (0,), "the row makes 6 ch 2 sps, but the total says 7")],
    ),
    "a wrong total in the smallest size": (
        (
            "Sizes: S (M, L)\n"
            "\n"
            "JUG\n"
            "Rnd 1: 6 (8, 10) sc in magic ring. – 6 (8, 10) sts\n"
            "Rnd 2: 2 sc in each st around. – 13 (16, 20) sts\n"
            "Rnd 3: Sc in each st around. – 12 (16, 20) sts\n"
        ),
        1,
        [("total", (0,), "the row makes 12 sts, but the total says 13")],
    ),
    "a total that the next row goes by": (
        (
            "Rnd 1: 6 sc in magic ring. (6)\n"
            "Rnd 2: 2 sc in each st around. (13 sts)\n"
            "Rnd 3: Sc in next 13 sts. (13 sts)\n"
        ),
        1,
        [("total", (0,), "the row makes 12 sts, but the total says 13")],
    ),
}


@pytest.mark.parametrize("name", MISFITS)
def test_a_row_that_does_not_come_out_says_how_far(name: str) -> None:
    text, index, problems = MISFITS[name]
    rows = rows_of(text)
    assert [at for at, row in enumerate(rows) if row.verdict is Verdict.DIFFERS] == [index]
    assert [(p.kind, p.sizes, p.message) for p in rows[index].problems] == problems
    assert all(not row.problems for row in rows if row is not rows[index])


def test_the_working_is_that_of_a_size_that_differs() -> None:
    text, index, _ = MISFITS["a wrong total in one size"]
    assert rows_of(text)[index].working == "10 sts below; 10 × 2 = 20"


def test_rows_on_end_that_do_not_come_out_put_the_reading_in_doubt() -> None:
    rows = rows_of(
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (13)\n"
        "Rnd 3: Sc in each st around. (15)\nRnd 4: Sc in each st around. (17)\n"
        "Rnd 5: Sc in each st around. (12)\n"
    )
    reason = "several rows on end do not come out as read"
    assert [row.reason for row in rows] == ["", reason, reason, reason, ""]
    assert [row.worked for row in rows] == [(6,), None, None, None, (12,)]


def test_customs_that_are_not_said_are_told_as_they_were_taken() -> None:
    text = (
        "Ch 8.\nRow 1: Hdc in 3rd ch from hook and in each ch across. Turn. (6)\n"
        "Row 2: Ch 2, hdc in each st across. Turn. (6)\n"
        "Row 3: Ch 3, dc in next 5 sts. Turn. (6)\n"
    )
    pattern = read(Source("small.txt", text))
    used = tally(pattern).customs
    assert [(each.chains, each.stitch, each.counts) for each in used] == [
        (2, "hdc", False),
        (3, "dc", True),
    ]
    assert all(not each.said and each.decided and each.consistent for each in used)
    assert {each.piece for each in used} == {*pattern.pieces}
    assert {each.span for each in used} == {pattern.pieces[0].span}
