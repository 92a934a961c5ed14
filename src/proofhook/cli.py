"""The command line: what is asked for, and the status the run ends with.

Only what a command needs is imported when it runs; ``--version`` and ``--help`` need
next to nothing.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import cache
from typing import NoReturn

from proofhook import __version__

MENDS = ("sure", "offered")
#: More processes than that are a slip of the keyboard.
MOST_JOBS = 256
DONE, FOUND, NOT_DONE, STOPPED = 0, 1, 2, 130

ABOUT = """\
The proofreader for written crochet patterns: it works every row stitch by stitch
and says where the words and the figures do not agree."""

PROOF = """\
Read patterns, work every row and say what is wrong: where, what, how it was worked
out and what would mend it."""

TALLY = """\
List every row of patterns with the total it states, the stitches it makes, and how
they were worked out."""

FILES = """\
FILE is a pattern as plain text or Markdown, a folder (every .txt and .md file in it
that has rows), or - for standard input."""

FORMS = "page, to read (the usual); lines, path:line:column: ..., for editors; json, for programs"

STATUS = """\
The run ends with 0 where nothing fails it, 1 where a finding does (an error, unless
the house style sheet says otherwise), 2 where a file could not be read or the work
could not be done."""

PROOF_EXAMPLE = """\
For example:
  proofhook proof turnip.txt
  proofhook proof patterns/ --format lines"""

TALLY_EXAMPLE = """\
For example:
  proofhook tally turnip.txt
  proofhook tally - --format json < turnip.txt"""

WHY = """\
Say what a rule is for: the reason, its grade and options, a pattern that it flags and
one that it passes."""

HOUSE = """\
Show every setting in force for a pattern, and the place in the style sheet, housestyle.toml,
that it comes from."""

BEGIN = """\
Look at the patterns of a folder and write a style sheet for what they mostly do, with
remarks, and the entry for pre-commit.  What is there already is never changed."""

TIDY = """\
Lay patterns out as their house wants it: blanks, labels, totals, lists.  What they say
stays the same, word for word; a file that would be read otherwise is left as it was."""

TIDY_STATUS = """\
The run ends with 0 where all is tidy, 1 where --show or --for-commit found something to
tidy, 2 where a file could not be read or had to be left as it was."""

TIDY_EXAMPLE = """\
For example:
  proofhook tidy patterns/
  proofhook tidy turnip.txt --show
  proofhook tidy - < turnip.txt"""

STET = """\
Let a finding stand: it is kept in stet.toml, by the words it is about, and not shown
again until they change."""

STET_EXAMPLE = """\
For example:
  proofhook stet turnip.txt:12 row-order --because "Rnd 7 is in the chart"
  proofhook stet --all patterns/
  proofhook stet --list"""

TRANSLATE = """\
Put a pattern into US or UK terms, all words at once: stitches, skip and miss, gauge and
tension, yarns, spellings, and the abbreviation list in its new order.  Names, quotations
and what was not read stay as they are; what a person has to look at is told.  An edition
that would not make the same stitches, row by row and in every size, is not written."""

TRANSLATE_EXAMPLE = """\
For example:
  proofhook translate --to uk turnip.txt -o turnip-uk.txt
  proofhook translate --to us --in-place turnip.txt
  proofhook translate --to uk patterns/ --into british --name "{stem}-{terms}{suffix}\""""

SHEET = """\
Make the proof sheet of a pattern: one page to read, to print and to hand on, with the
text marked, the counts, and a picture of the shaping.  With --all, a sheet for each
pattern of a folder and an index of what needs work.  A sheet judges nothing: the run ends
with 0 where it was made."""

SHEET_EXAMPLE = """\
For example:
  proofhook sheet turnip.txt -o turnip.html
  proofhook sheet --all patterns/ -o sheets/"""

ERRATA = """\
Say what changed between two editions of a pattern, as text to be published: rows whose
stitches or totals changed, pieces, materials, sizes, hook and gauge.  Layout, and US or UK
terms, are no change; rows that moved are told by their new numbers."""

ERRATA_STATUS = """\
The run ends with 0 where there are no errata, 1 where there are, 2 where the editions could
not be compared."""

ERRATA_EXAMPLE = """\
For example:
  proofhook errata turnip-1.txt turnip-2.txt
  proofhook errata --format markdown turnip-1.txt turnip-2.txt
  proofhook errata --git v1.0 turnip.txt"""

EDITOR = """\
Speak the Language Server Protocol with an editor over standard input and output: findings
and figures while a pattern is written, mends, names, layout and terms.  The editor starts
this command; it needs the extra proofhook[editor]."""

WHY_EXAMPLE = """\
For example:
  proofhook why stitch-total
  proofhook why --list"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return the status to end with."""
    try:
        status = _run(arguments)
        if sys.stdout is not None:
            sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our output has gone; there is no one left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return NOT_DONE
    except KeyboardInterrupt:
        return STOPPED
    except OSError as error:
        return _give_up(f"the output could not be written ({error.strerror or error})")
    return status


def _run(arguments: Sequence[str] | None) -> int:
    given = _spelled_out(sys.argv[1:] if arguments is None else arguments)
    asked = _parser(given[0] if given else "").parse_args(given)
    if sys.stdout is None:
        return _give_up("standard output is closed")
    if asked.command is None:
        _parser().print_help()
        return NOT_DONE
    from proofhook.garbage import look_seldom

    look_seldom()
    try:
        if asked.command in OTHERS:
            return OTHERS[asked.command](asked)
        if asked.watch:
            return _watch(asked)
        if asked.mend or asked.show:
            from proofhook.mending import SURE, mend_files

            if asked.show and asked.out:
                return _give_up("--out is for findings, and --show writes the difference")
            trouble, failing = mend_files(
                asked.files, asked.format, asked.pass_over, asked.mend or SURE, asked.show,
                asked.out,
            )  # fmt: skip
            return NOT_DONE if trouble else FOUND if failing else DONE
        from proofhook import commands
        from proofhook.catalogue.pace import Pace

        trouble, failing = commands.run(
            asked.command, asked.files, asked.format, asked.pass_over, asked.out,
            Pace(asked.jobs, asked.cache == "on"),
        )  # fmt: skip
    except OSError:
        raise
    except Exception as error:
        from proofhook.faults import one_line, wants_traceback

        if wants_traceback():
            raise
        fault = one_line(error)
        return _give_up(f"something went wrong in proofhook itself ({fault}); please report this")
    return NOT_DONE if trouble else FOUND if failing else DONE


def _spelled_out(arguments: Sequence[str]) -> list[str]:
    """The arguments with --mend told from the file that may follow it."""
    spelled: list[str] = []
    for argument in arguments:
        if spelled[-1:] == ["--mend=sure"] and argument in MENDS:
            spelled[-1] = f"--mend={argument}"
        else:
            spelled.append("--mend=sure" if argument == "--mend" else argument)
    return spelled


def _why(asked: argparse.Namespace) -> int:
    from proofhook.why import why

    if (asked.rule is None) is not asked.all:
        return _give_up("name a rule, or ask for --list")
    return DONE if why(asked.rule, _say) else NOT_DONE


def _house(asked: argparse.Namespace) -> int:
    from proofhook.house_page import show_house

    return DONE if show_house(asked.file) else NOT_DONE


def _begin(asked: argparse.Namespace) -> int:
    from proofhook.begin import begin

    return DONE if begin(asked.folder) else NOT_DONE


def _stet(asked: argparse.Namespace) -> int:
    from proofhook import letting

    if asked.list:
        return DONE if letting.list_stets(asked.names) else NOT_DONE
    if asked.all:
        if not asked.names:
            return _give_up("name the patterns whose findings are to stand")
        because = asked.because or letting.TAKEN_IN
        return DONE if letting.let_all_stand(asked.names, because) else NOT_DONE
    place, *rules = asked.names or [""]
    if len(rules) != 1:
        return _give_up("name the place and the rule, as in turnip.txt:12 row-order")
    if not asked.because:
        return _give_up('say why it stands, with --because "..."')
    return DONE if letting.let_stand(place, rules[0], asked.because) else NOT_DONE


def _translate(asked: argparse.Namespace) -> int:
    from proofhook.editions import USUAL_NAME, Wanted, translate_files

    if asked.name and not asked.into:
        return _give_up("--name is for the files that --into writes")
    name = asked.name or USUAL_NAME
    wanted = Wanted(asked.to, asked.side, asked.out, asked.into, name, asked.in_place)
    return NOT_DONE if translate_files(asked.files, wanted) else DONE


def _tidy(asked: argparse.Namespace) -> int:
    from proofhook.tidy_files import tidy_files

    done = tidy_files(asked.files, asked.show, asked.for_commit)
    if done.trouble:
        return NOT_DONE
    return FOUND if done.changed and (asked.show or asked.for_commit) else DONE


def _sheet(asked: argparse.Namespace) -> int:
    from proofhook.proof_sheets import make_sheet, make_sheets

    make = make_sheets if asked.all else make_sheet
    return DONE if make(asked.file, asked.out) else NOT_DONE


def _errata(asked: argparse.Namespace) -> int:
    from proofhook.errata_files import errata_files

    if asked.git is not None and len(asked.files) != 1:
        return _give_up("--git compares one file with an earlier revision of it; name one file")
    if asked.git is None and len(asked.files) != 2:
        return _give_up("name two editions, the old one and the new one, or one file with --git")
    if asked.files == ["-", "-"]:
        return _give_up("standard input can be one of the editions, not both")
    old, new = asked.files[0], asked.files[-1]
    done = errata_files(old, new, asked.format, asked.wording, asked.git)
    if not done.compared:
        return NOT_DONE
    return FOUND if done.found else DONE


def _watch(asked: argparse.Namespace) -> int:
    """Keep the page in view; ends by Ctrl-C only."""
    if asked.mend or asked.show or asked.out or asked.format != "page":
        said = "--watch keeps the page in view; leave out --mend, --show, --out and --format"
        return _give_up(said)
    if "-" in asked.files:
        return _give_up("standard input cannot be watched; name a file")
    from proofhook.commands import proof_files
    from proofhook.watching import watch_proofs

    watch_proofs(asked.files, lambda: proof_files(asked.files, "page", asked.pass_over))
    return DONE


def _editor(_asked: argparse.Namespace) -> int:
    try:
        from proofhook.editor.start import serve
    except ModuleNotFoundError as error:
        if (error.name or "").split(".")[0] == "proofhook":
            raise
        return _give_up(
            "the editor command needs more packages than are here; "
            "install them with pip install 'proofhook[editor]'"
        )
    if sys.stdin is None or sys.stdin.isatty():
        return _give_up("the editor command is for an editor to start, with pipes to speak through")
    return DONE if serve(__version__) else FOUND


#: The commands that do not go through the files named one by one.
OTHERS: dict[str, Callable[[argparse.Namespace], int]] = {
    "why": _why,
    "house": _house,
    "begin": _begin,
    "stet": _stet,
    "translate": _translate,
    "tidy": _tidy,
    "sheet": _sheet,
    "errata": _errata,
    "editor": _editor,
}


def _jobs(words: str) -> int:
    if not words.isascii() or not words.isdigit() or not 1 <= int(words[:9]) <= MOST_JOBS:
        raise argparse.ArgumentTypeError(f"{words!r} is not a number from 1 to {MOST_JOBS}")
    return int(words)


def _say(sentence: str) -> None:
    if sys.stderr is not None:
        print(f"proofhook: {sentence}", file=sys.stderr)


def _give_up(words: str) -> int:
    if sys.stderr is not None:
        print(f"proofhook: {words}.", file=sys.stderr)
    return NOT_DONE


class _Parser(argparse.ArgumentParser):
    """A parser that answers a wrong call with one sentence."""

    def error(self, message: str) -> NoReturn:
        self.exit(NOT_DONE, f"proofhook: {message} (see {self.prog} --help).\n")


class _Layout(argparse.RawDescriptionHelpFormatter):
    """Help as wide as the terminal, which is asked for without the module the library uses."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_width() - 2)


@cache
def _width() -> int:
    with suppress(ValueError):
        if (columns := int(os.environ.get("COLUMNS", "0"))) > 0:
            return columns
    with suppress(AttributeError, ValueError, OSError):
        if sys.__stdout__ is not None:
            return os.get_terminal_size(sys.__stdout__.fileno()).columns or 80
    return 80


def _parser(command: str = "") -> _Parser:
    """The parser of the command line; of the commands only this one, where it is well known.

    Making the parsers of all of them takes as long as reading a short pattern.
    """
    parser = _Parser(
        prog="proofhook",
        description=ABOUT,
        epilog=f"{STATUS}\n\n{PROOF_EXAMPLE}",
        formatter_class=_Layout,
    )
    parser.add_argument(
        "--version",
        action="version",
        version=f"proofhook {__version__}",
        help="say which version this is",
    )
    parser.set_defaults(command=None, pass_over=False, mend="", show=False, watch=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    if command == "tally":
        _add_tally(commands)
        return parser
    _add_proof(commands)
    if command != "proof":
        _add_tally(commands)
        _add_others(commands)
    return parser


def _add_tally(commands: argparse._SubParsersAction[_Parser]) -> None:
    _command(commands, "tally", "list what every row states and makes", TALLY, TALLY_EXAMPLE, FORMS)


def _add_proof(commands: argparse._SubParsersAction[_Parser]) -> None:
    proof = _command(
        commands, "proof", "say what is wrong in patterns", PROOF, PROOF_EXAMPLE,
        f"{FORMS}; sarif and junit, for pages that show what checks found",
    )  # fmt: skip
    proof.add_argument(
        "--pass-over",
        action="store_true",
        help="pass over files without rows and say how many (for the pre-commit hook)",
    )
    proof.add_argument(
        "--mend",
        choices=MENDS,
        metavar="WHICH",
        help="make the mends that are sure (the usual), or ask about each that is offered",
    )
    proof.add_argument(
        "--show", action="store_true", help="show what mending would change, and change nothing"
    )
    proof.add_argument(
        "--watch", action="store_true", help="draw the page again at every save, until Ctrl-C"
    )


def _add_others(commands: argparse._SubParsersAction[_Parser]) -> None:
    why = _other(commands, "why", "say what a rule is for", WHY, WHY_EXAMPLE)
    why.add_argument("rule", nargs="?", metavar="RULE", help="the name of a rule")
    why.add_argument("--list", dest="all", action="store_true", help="list all rules")
    house = _other(commands, "house", "show the house style in force for a file", HOUSE, "")
    house.add_argument("file", metavar="FILE", help="a pattern or a folder")
    begin = _other(commands, "begin", "write a starter style sheet", BEGIN, "")
    begin.add_argument(
        "folder", nargs="?", default=".", metavar="FOLDER", help="where; the usual is here"
    )

    tidy = _other(
        commands, "tidy", "lay patterns out as the house wants it",
        f"{TIDY}\n\n{FILES}", f"{TIDY_STATUS}\n\n{TIDY_EXAMPLE}",
    )  # fmt: skip
    tidy.add_argument("files", nargs="+", metavar="FILE", help="a pattern, a folder or -")
    tidy.add_argument(
        "--show", action="store_true", help="show what would change, and change nothing"
    )
    tidy.add_argument(
        "--for-commit",
        action="store_true",
        help="pass over files without rows, and end with 1 where a file was changed "
        "(for the pre-commit hook)",
    )
    stet = _other(commands, "stet", "let a finding stand", STET, STET_EXAMPLE)
    stet.add_argument("names", nargs="*", metavar="FILE", help="FILE:LINE RULE, or files")
    stet.add_argument("--because", metavar="REASON", help="why it stands")
    stet.add_argument("--all", action="store_true", help="let all present findings stand")
    stet.add_argument("--list", action="store_true", help="list what stands, and what is stale")
    _add_translate(commands)
    _other(commands, "editor", "serve an editor while a pattern is written", EDITOR, "")
    _add_errata(commands)


def _add_errata(commands: argparse._SubParsersAction[_Parser]) -> None:
    errata = _other(
        commands, "errata", "say what changed between two editions",
        f"{ERRATA}\n\n{ERRATA_STATUS}", ERRATA_EXAMPLE,
    )  # fmt: skip
    errata.add_argument(
        "files", nargs="+", metavar="FILE", help="the old edition and the new one, or - for one"
    )
    errata.add_argument(
        "--git", metavar="REV", help="compare one file with what it was in this revision"
    )
    errata.add_argument(
        "--wording", action="store_true", help="list what is only worded differently, too"
    )
    errata.add_argument(
        "--format",
        choices=("text", "markdown", "json"),
        default="text",
        help="text to publish (the usual), the same in Markdown, or json, for programs",
    )


def _add_translate(commands: argparse._SubParsersAction[_Parser]) -> None:
    about = f"{TRANSLATE}\n\n{FILES}"
    translate = _other(
        commands, "translate", "put patterns into US or UK terms", about, TRANSLATE_EXAMPLE
    )
    translate.add_argument("files", nargs="+", metavar="FILE", help="a pattern, a folder or -")
    translate.add_argument(
        "--to", choices=("us", "uk"), required=True, help="the terms of the second edition"
    )
    translate.add_argument(
        "--from",
        dest="side",
        choices=("us", "uk"),
        default="",
        help="the terms of the pattern, where the text does not tell",
    )
    place = translate.add_mutually_exclusive_group()
    place.add_argument(
        "-o", "--out", default="", metavar="FILE", help="write here, not to standard output"
    )
    place.add_argument(
        "--in-place", action="store_true", help="write each edition over its pattern"
    )
    place.add_argument(
        "--into", default="", metavar="FOLDER", help="write each edition into this folder"
    )
    translate.add_argument(
        "--name",
        default="",
        metavar="NAME",
        help="how the files in the folder are called (the usual is {stem}-{terms}{suffix})",
    )

    sheet = _other(commands, "sheet", "make a page to print and hand on", SHEET, SHEET_EXAMPLE)
    sheet.add_argument("file", metavar="FILE", help="a pattern or -; with --all a folder")
    sheet.add_argument(
        "-o", "--out", required=True, metavar="OUT", help="the page, or - ; with --all a folder"
    )
    sheet.add_argument("--all", action="store_true", help="a sheet for each pattern, and an index")


def _other(
    commands: argparse._SubParsersAction[_Parser], name: str, short: str, about: str, example: str
) -> _Parser:
    command = commands.add_parser(
        name,
        help=short,
        description=about,
        epilog=example,
        formatter_class=_Layout,
    )
    command.set_defaults(command=name)
    return command


def _command(
    commands: argparse._SubParsersAction[_Parser],
    name: str,
    short: str,
    about: str,
    example: str,
    forms: str,
) -> _Parser:
    command = commands.add_parser(
        name,
        help=short,
        description=f"{about}\n\n{FILES}",
        epilog=example,
        formatter_class=_Layout,
    )
    command.add_argument("files", nargs="+", metavar="FILE", help="a pattern, a folder or -")
    command.add_argument("--format", metavar="FORM", default="page", help=forms)
    command.add_argument(
        "-o", "--out", metavar="FILE", default="", help="write to this file, whole or not at all"
    )
    command.add_argument(
        "--jobs",
        type=_jobs,
        metavar="N",
        help="work in N processes (the usual: 1, or for 50 files and more as many as there "
        "are processors, 8 at most); the output is the same",
    )
    command.add_argument(
        "--cache",
        choices=("on", "off"),
        default="off",
        help="on: keep what was found, and take it up where nothing has changed; off (the usual)",
    )
    command.set_defaults(command=name)
    return command
