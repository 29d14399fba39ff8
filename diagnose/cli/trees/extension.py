"""One extension of a tree: what the case and the tree bring, the judging, the writing and the confirming."""

from __future__ import annotations

import shlex
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.terms import DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.revising.extending import NewCause
    from diagnose.revising.extending_answers import Told
    from diagnose.revising.extending_figures import Judged
    from diagnose.revising.extending_shares import Counted
    from diagnose.revising.writing import Opened
    from diagnose.terminal.console import Console
    from diagnose.terminal.extend_dialogue import Bench


class NotConfirmed(DiagnoseError):
    """It is not known what the case turned out to be."""


@dataclass
class Extension:
    """A case, its store and the tree that is to know its cause."""

    record: CaseRecord
    kept: CaseStore
    folders: tuple[Path, ...]
    options: tuple[str, ...]
    shelf: Library = field(init=False)
    opened: Opened = field(init=False)
    bench: Bench = field(init=False)

    def run(self, answers: Path | None, *, yes: bool) -> None:
        """From the questions or the file to the written tree."""
        from diagnose.terminal.console import open_console
        from diagnose.terminal.dangers import DangerTold, stop_before_a_walk
        from diagnose.terminal.endings import stopped_end
        from diagnose.terminal.extend_dialogue_asking import LeftOff
        from diagnose.terminal.layout import Page

        self._refuse_unconfirmed()
        self._open()
        console = open_console()
        try:
            if answers is None:
                self._at_the_prompt(console)
            else:
                self._from(console, answers, yes=yes)
        except DangerTold as told:
            end = stop_before_a_walk(told.heard, self.shelf.common().referrals, ("112",))
            console.show(stopped_end(end, console.width()).lines)
        except (EOFError, LeftOff):
            console.show(Page(console.width()).gap().say("Nothing was written.").lines)

    def as_document(self, answers: Path, *, yes: bool) -> None:
        """The change from the file as one JSON document; written with `yes` alone."""
        import json

        from diagnose.cli.trees.extend_document import extension_as_json
        from diagnose.revising.writing import save

        self._refuse_unconfirmed()
        self._open()
        told, new, judged = self._judged_from(answers)
        if yes:
            save(self.opened, judged.text)
            if told.confirm:
                self._confirm_as(new)
        document = extension_as_json(
            self.bench.tree, self.opened, self.record.case, new, judged,
            written=yes, confirmed=yes and told.confirm,
        )  # fmt: skip
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))

    def _refuse_unconfirmed(self) -> None:
        if not self.record.confirmed:
            words = ["diagnose", "cases", "confirm", str(self.record.case), "not-listed", *self.options]
            raise NotConfirmed(
                f"case {self.record.case} is not confirmed; if it is sure what was wrong and that the tree "
                f"does not list it, say so first: {shlex.join(words)}"
            )

    def _open(self) -> None:
        """The tree's text, and all that the questions rest on."""
        from diagnose.cli.cases.at_hand import folders_at_hand
        from diagnose.knowledge.collection import Library, UnknownSymptom, shown
        from diagnose.knowledge.loading import read_tree
        from diagnose.revising.extending import places
        from diagnose.revising.writing import open_to_change
        from diagnose.terminal.extend_dialogue import Bench
        from diagnose.terms import FlawedKnowledge

        own = folders_at_hand(self.folders)
        self.shelf = Library(own)
        try:
            path = self.shelf.path_of(self.record.symptom)
        except UnknownSymptom as error:
            raise DiagnoseError(
                f'the tree "{self.record.symptom}" of case {self.record.case} is not at hand; '
                "name its folder with --trees"
            ) from error
        self.opened = open_to_change(path, own)
        common = self.shelf.common()
        tree, flaws = read_tree(
            self.opened.text, shown(path), common, id=path.stem, known=frozenset(self.shelf.ids())
        )
        if tree is None:
            raise FlawedKnowledge(flaws)
        if not places(tree):
            raise DiagnoseError(
                f"in {shown(path)} every event needs all of its inputs; no cause can be added to one"
            )
        self.bench = Bench(
            self.opened.text, tree, common, self.record.case, self.record.entries, self._counted()
        )

    def _counted(self) -> Counted:
        from datetime import UTC, datetime

        from diagnose.revising.extending_shares import Counted
        from diagnose.terms import NOT_LISTED

        tally = self.kept.tally(self.record.symptom, datetime.now(UTC))
        return Counted(round(sum(tally.causes.values())), round(tally.causes.get(NOT_LISTED, 0)))

    def _judge(self, new: NewCause) -> Judged:
        from datetime import UTC, datetime

        from diagnose.cli.settings import read_settings
        from diagnose.revising.consequences import Asked
        from diagnose.revising.extending_figures import MOST_REPLAYED, judge
        from diagnose.walking.places import cache_folder

        bench = self.bench
        asked = Asked(
            datetime.now(UTC), read_settings(), frozenset(self.shelf.ids()), cache_folder(),
            {self.record.case: new.id},
        )  # fmt: skip
        store = self.kept if bench.counted.confirmed <= MOST_REPLAYED else None
        return judge(bench.text, bench.tree, new, bench.common, asked, store)

    def _at_the_prompt(self, console: Console) -> None:
        from diagnose.terminal.extend_dialogue import ExtendDialogue
        from diagnose.terminal.extend_dialogue_ending import settle

        dialogue = ExtendDialogue(console, self.bench)
        self._say_first(console)
        new, judged = settle(dialogue, dialogue.run(), self._judge, self._difference)
        self._write(console, judged)
        with suppress(EOFError):
            agreed = dialogue.asker.agreed(f"Is case {self.record.case} now confirmed as {new.id}?")
            self._confirm(console, new, agreed)

    def _say_first(self, console: Console) -> None:
        """Told where the case already has a cause (it may be no new one), and where cases are too many."""
        from diagnose.revising.extending_figures import MOST_REPLAYED
        from diagnose.terminal.layout import Page
        from diagnose.terms import NOT_LISTED

        page, case = Page(console.width()), self.record
        if case.cause != NOT_LISTED:
            page.say(f"Case {case.case} is confirmed as {case.cause}. That can be put right at the end.")
        if self.bench.counted.confirmed > MOST_REPLAYED:
            page.say(
                f"The change is not tried on past cases here, as they are more than {MOST_REPLAYED:,}; "
                "diagnose trees replay does that with any number."
            )
        console.show(page.lines)

    def _difference(self, judged: Judged) -> tuple[str, ...]:
        from diagnose.revising.writing import difference

        return difference(self.opened, judged.text)

    def _judged_from(self, answers: Path) -> tuple[Told, NewCause, Judged]:
        """The file, its cause and what comes of it; raises FlawedKnowledge with all that is wrong with it."""
        from diagnose.knowledge.plain_yaml import read_bytes
        from diagnose.revising.extending_answers import placed_in_answers, read_answers
        from diagnose.terms import FlawedKnowledge

        told = read_answers(read_bytes(answers), str(answers))
        new = self._told(told)
        try:
            judged = self._judge(new)
        except DiagnoseError as refused:
            raise FlawedKnowledge((told.at(_blamed(refused, told), str(refused)),)) from refused
        if judged.flaws:
            raise FlawedKnowledge(placed_in_answers(judged.flaws, judged.text, new, told))
        if judged.unsafe:
            raise FlawedKnowledge((told.at("check", judged.unsafe),))
        return told, new, judged

    def _from(self, console: Console, answers: Path, *, yes: bool) -> None:
        from diagnose.terminal.consequences_page import consequences_page
        from diagnose.terminal.differences import diff_page
        from diagnose.terminal.extend_dialogue_asking import Asker, LeftOff

        told, new, judged = self._judged_from(answers)
        read = console.is_read()
        console.show(diff_page(self._difference(judged), console.width() if read else None))
        console.show(consequences_page(judged.found, console.width()).lines)
        if not yes and not read:
            raise WrongUsage("nobody can be asked here; with --yes the change is written")
        if not yes and not Asker(console).agreed("Write this?"):
            raise LeftOff("Nothing was written.")
        self._write(console, judged)
        self._confirm(console, new, told.confirm)

    def _told(self, told: Told) -> NewCause:
        """The cause as the file tells it; id, share and what the others become are found where left out."""
        from diagnose.revising.extending_offers import proposed_id
        from diagnose.revising.extending_shares import OTHERS, suggested_share, usual_others

        bench = self.bench
        id = told.text("id") or proposed_id(bench.tree, told.text("says"), bench.common)
        share = told.number("in_100") or suggested_share(bench.tree, bench.counted)
        others = next(
            (each for each in OTHERS if each == told.text("others")), usual_others(bench.tree, share)
        )
        return told.cause(id, share, others)

    def _write(self, console: Console, judged: Judged) -> None:
        from diagnose.knowledge.collection import shown
        from diagnose.revising.writing import save
        from diagnose.terminal.layout import Page

        save(self.opened, judged.text)
        page = Page(console.width()).gap().say(f"{shown(self.opened.target)} is written.", "strong")
        if self.opened.copied:
            page.say(
                "It is a copy of your own, and wins over the tree of this project wherever its folder is "
                "named with --trees. The change above is what to send to the project, so that all have it."
            )
        console.show(page.lines)

    def _confirm_as(self, new: NewCause) -> None:
        from datetime import UTC, datetime

        self.kept.confirm(self.record.case, new.id, datetime.now(UTC))

    def _confirm(self, console: Console, new: NewCause, agreed: bool) -> None:
        from diagnose.terminal.layout import Page

        page = Page(console.width())
        if agreed:
            self._confirm_as(new)
            page.say(f"Case {self.record.case} is confirmed as {new.id} and counts for it.")
        else:
            page.say(f"Case {self.record.case} stays as it is. To confirm it as the new cause:")
            words = ["diagnose", "cases", "confirm", str(self.record.case), new.id, *self.options]
            page.say(shlex.join(words), indent=2)
        console.show(page.lines)


def _blamed(refused: DiagnoseError, told: Told) -> str:
    """The key of the answers that a refusal is about."""
    from diagnose.revising.extending_shares import ShareTooLarge

    if isinstance(refused, ShareTooLarge):
        return "in_100"
    text = str(refused)
    named = [key for key in ("under", "id", "expect", "check") if told.has(key)]
    return next((key for key in named if told.text(key) and f'"{told.text(key)}"' in text), "expect")
