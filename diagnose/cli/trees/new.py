"""`diagnose trees new`: the file of a new symptom, from questions or from a spreadsheet."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.options import json_option, trees_option
from diagnose.terms import DiagnoseError, FlawedKnowledge, WrongUsage

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.knowledge.collection import Library
    from diagnose.revising.drafting import Draft, Drafted
    from diagnose.terminal.console import Console

HELP = """Begin the tree of a symptom that no tree has yet.

Short questions ask for the symptom, its causes and the checks that tell them apart. With --from all of it
comes from a spreadsheet of causes and checks (.csv or .xlsx, see docs/writing-trees.md). The file begins with
the danger questions that its hazards need, loads without a flaw, and its routes are proved. What is left to
do is listed. It is written into the last folder of --trees, or to -o; a file that is there is left alone.

\b
Examples:
  diagnose trees new --trees my-trees
  diagnose trees new --from causes.csv -o my-trees/awning-stuck.yaml
"""


@click.command(help=HELP)
@click.option(
    "--from",
    "sheet",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="A spreadsheet of causes and checks, instead of the questions.",
)
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="The tree file to write; else the last folder of --trees.",
)
@trees_option
@json_option
def command(sheet: Path | None, output: Path | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Begin a new tree."""
    from diagnose.cli.cases.at_hand import folders_at_hand
    from diagnose.knowledge.collection import Library

    if as_json and sheet is None:
        raise WrongUsage("--json stands with --from; it asks nothing")
    own = folders_at_hand(folders)
    if output is None and not own:
        raise WrongUsage("where shall it be put? Name a folder of your own with --trees, or a file with -o")
    if output is not None and output.suffix != ".yaml":
        raise WrongUsage(f"a tree file ends in .yaml; {output.name} does not")
    new = _New(Library(own), own, output)
    if sheet is not None:
        new.from_sheet(sheet, as_json=as_json)
    else:
        new.from_questions()


@dataclass
class _New:
    at_hand: Library
    own: Sequence[Path]
    output: Path | None

    def from_sheet(self, sheet: Path, *, as_json: bool = False) -> None:
        """Everything from the spreadsheet; raises FlawedKnowledge with all that is wrong with it."""
        from diagnose.knowledge.collection import shown
        from diagnose.revising.sheet_of_causes import placed_in_sheet, read_sheet
        from diagnose.terminal.console import open_console

        draft, flaws = read_sheet(sheet, shown(sheet), self.at_hand.common())
        id = self._id(draft)
        drafted = self._drafted(draft, id)
        told = {(flaw.line, flaw.column) for flaw in flaws}
        more = placed_in_sheet(drafted.flaws, drafted.places, shown(sheet))
        # A cell whose form is wrong is told once; what follows from it is not.
        flaws = tuple(sorted({*flaws, *(flaw for flaw in more if (flaw.line, flaw.column) not in told)}))
        if flaws:
            raise FlawedKnowledge(flaws)
        target = self._target(id)
        if as_json:
            self._save(target, drafted)
            document = {"symptom": id, "file": shown(target), "left": self._left(drafted)}
            click.echo(json.dumps(document, ensure_ascii=False, indent=2))
        else:
            self._write(open_console(), target, drafted)

    def from_questions(self) -> None:
        """Everything asked; nothing is written unless the whole file was seen and agreed to."""
        from diagnose.terminal.console import open_console
        from diagnose.terminal.dangers import DangerTold, stop_before_a_walk
        from diagnose.terminal.endings import stopped_end
        from diagnose.terminal.extend_dialogue_asking import LeftOff
        from diagnose.terminal.layout import Page
        from diagnose.terminal.new_tree_dialogue import NewTreeDialogue

        if self.output is not None:
            self._target(self.output.stem)
        console = open_console()
        fixed = self.output.stem if self.output is not None else ""
        judge = partial(self._drafted, id="new-tree")
        dialogue = NewTreeDialogue(console, self.at_hand.common(), self._why_not, judge, fixed)
        try:
            draft = dialogue.run()
            drafted = self._drafted(draft, draft.head.id)
            if drafted.flaws:
                raise FlawedKnowledge(drafted.flaws)
            if not dialogue.agreed(drafted):
                raise LeftOff("Nothing was written.")
            self._write(console, self._target(draft.head.id), drafted)
        except DangerTold as told:
            end = stop_before_a_walk(told.heard, self.at_hand.common().referrals, ("112",))
            console.show(stopped_end(end, console.width()).lines)
        except (EOFError, LeftOff):
            console.show(Page(console.width()).gap().say("Nothing was written.").lines)

    def _id(self, draft: Draft) -> str:
        """The symptom's id: that of -o, of the sheet, or made from its words."""
        from diagnose.knowledge.ids import as_id

        if self.output is not None:
            return self.output.stem
        return draft.head.id or as_id(str(draft.head.values.get("symptom", ""))[:40]) or "new-tree"

    def _drafted(self, draft: Draft, id: str) -> Drafted:
        from diagnose.revising.drafting import drafted

        common, known = self.at_hand.common(), frozenset(self.at_hand.ids())
        return drafted(draft, id, f"{id}.yaml", common, known)

    def _why_not(self, id: str) -> str:
        """Why a symptom cannot have the id, as a sentence; "" if it can."""
        from diagnose.knowledge.ids import quoted, why_no_id

        if reason := why_no_id(id):
            return f"{quoted(id)} {reason}"
        if id in self.at_hand.ids():
            return f"there is a tree {quoted(id)} already; extend it, or take another id"
        return ""

    def _target(self, id: str) -> Path:
        """Where the file goes; raises DiagnoseError where it cannot."""
        from diagnose.knowledge.collection import shown
        from diagnose.revising.writing import CannotWrite

        if reason := self._why_not(id):
            raise DiagnoseError(reason)
        target = self.output if self.output is not None else self.own[-1] / f"{id}.yaml"
        if target.exists() or target.is_symlink():
            raise CannotWrite(f"{shown(target)} is there already and is left as it is")
        return target

    def _save(self, target: Path, drafted: Drafted) -> None:
        from diagnose.revising.writing import write_whole

        self._prove(drafted)
        write_whole(target, drafted.text.encode(), new=True)

    def _left(self, drafted: Drafted) -> list[str]:
        """What is left to do, that of the texts with its line."""
        from diagnose.knowledge.advising_texts import advice_on_texts

        texts = advice_on_texts(drafted.tree) if drafted.tree is not None else ()
        return [*drafted.left, *(f"line {each.line}: {each.message}" for each in texts)]

    def _write(self, console: Console, target: Path, drafted: Drafted) -> None:
        from diagnose.knowledge.collection import shown
        from diagnose.terminal.layout import Page

        self._save(target, drafted)
        page = Page(console.width())
        page.say(f"{shown(target)} is written; it has no flaw, and its routes are proved.")
        left = self._left(drafted)
        if left:
            page.say("Left to do:", "strong")
            page.listing([("-", each) for each in left])
        page.say(f"Then: diagnose trees check {shown(target)}")
        console.show(page.lines)

    def _prove(self, drafted: Drafted) -> None:
        """Compile and prove the routes of both roles; raises UnsafeRoute and the like."""
        from diagnose.cli.settings import read_settings
        from diagnose.reasoning.model import build_model
        from diagnose.terms import Tally
        from diagnose.walking.places import cache_folder
        from diagnose.walking.shelf import route_for

        assert drafted.tree is not None
        others = frozenset(self.at_hand.ids())
        for role in ("owner", "technician"):
            model = build_model(drafted.tree, role, read_settings(), Tally(), others)
            route_for(model, cache_folder())
