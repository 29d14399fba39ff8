"""A first import at a terminal: what each column is and what unknown words mean, asked once and written down.

The nearest meanings come first and each has a number to type; nothing is taken without being chosen, and the
whole mapping is shown for a yes before it is kept.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from contextlib import closing
from itertools import islice

from diagnose.cases.import_cases import Report
from diagnose.cases.import_columns import columns_of
from diagnose.cases.import_mapping import FIELDS, LEFT_OUT, ORDERS, UNKNOWN, ImportMapping, mapping_text
from diagnose.cases.import_run import History
from diagnose.cases.import_suggesting import suggested_field, suggestions
from diagnose.knowledge.ids import nearest
from diagnose.knowledge.naming import says_of
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.mapping_report import counted
from diagnose.terminal.picking import pick
from diagnose.terminal.understanding import command_of, plain_words
from diagnose.terms import NOT_LISTED
from diagnose.walking.danger_words import ANY_DANGER
from diagnose.walking.views import Choice

MOST_ASKED = 60
"""Words that are asked about in one go, those of most rows first."""
PASSED = "passed"
ANOTHER = "another"
_FIELDS = {
    "case": "The number of the case or job",
    "date": "The day on which the fault was reported",
    "symptom": "What was reported: the symptom",
    "cause": "What it turned out to be: the cause",
    "vehicle": "Which vehicle",
    "state": "How it ended (cured, referred, stopped, left off)",
}
_TURNS = (("dates",), ("symptoms", "states"), ("decimal",), ("causes", "answers"), ("vehicles",))
"""What is asked after what: a cause can be looked for once its symptom is known."""
_KINDS = {
    "symptoms": "Which symptom is this",
    "causes": "Which cause is this",
    "states": "How did such a job end",
    "answers": "Which answer is this",
}
_SPECIAL = {
    LEFT_OUT: "None of these: leave such rows out",
    NOT_LISTED: "Something that is not listed here",
    UNKNOWN: "Nobody found out: no cause",
}


class MappingDialogue:
    """Asks until a file can be read, or until nobody wants to go on; `run` gives the mapping."""

    def __init__(self, console: Console, history: History) -> None:
        self.console, self.history = console, history
        self.mapping: ImportMapping = copy.deepcopy(history.mapping)
        self._passed: set[tuple[str, str, str]] = set()

    def run(self, source: str, file: str) -> ImportMapping | None:
        """The mapping after a yes, None after a no. Raises DangerTold, and as the console and the file do.

        `file` is where it is going to be kept.
        """
        self.mapping.source = source
        self._passed.clear()
        self._say(f"How {self.history.shown} is to be read. Enter passes a question over.", strong=True)
        self._columns()
        report = self._read()
        for kinds in _TURNS:
            report = self._words(report, kinds)
        return self._shown(report, file)

    def _history(self) -> History:
        return self.history.with_mapping(self.mapping)

    def _read(self) -> Report:
        history = self._history()
        report, spool = history.read()
        spool.close()
        if history.order:
            # The rows that come later may not show it.
            self.mapping.dates = history.order
        return report

    def _columns(self) -> None:
        """What every column is that does not tell by itself, until all is there that a case needs."""
        with closing(self._history().rows()) as rows:
            header = list(rows.header)
            examples = [row for _, row in islice(rows, 50) if isinstance(row, list)]
        shown = self.history.shown
        now = columns_of(header, self.mapping, self.history.ids, shown, 1)
        asked = set(now.unread) | {header[flaw.column - 1] for flaw in now.flaws}
        if not asked and not now.missing:
            return
        taken = [field for field, at in now.fields.items() if at < len(header)]
        for at, name in enumerate(header):
            if name in asked:
                cells = (" ".join(str(row[at]).split())[:40] for row in examples)
                holds = next((cell for cell in cells if cell), "")
                means = self._column(name, holds, taken)
                self.mapping.columns[name] = means
                taken.append(means)
        self._history().check()

    def _column(self, name: str, holds: str, taken: Sequence[str]) -> str:
        such = f' It holds such as "{holds}".' if holds else ""
        self._say(f'What is the column "{name}"?{such}', strong=True)
        likely = suggested_field(name, taken)
        fields = [field for field in FIELDS if field not in taken]
        fields.sort(key=lambda field: field != likely)
        choices = [Choice(field, _FIELDS[field]) for field in fields]
        choices += [
            Choice(LEFT_OUT, "Nothing for here: it is not read"),
            Choice(ANOTHER, "The answers to a check"),
        ]
        picked = pick(self.console, choices, skip=LEFT_OUT)
        return self._check() if picked == ANOTHER else picked

    def _check(self) -> str:
        checks = self.history.ids.checks()
        while True:
            self._say("Type the id of the check. Enter: it is not read.")
            typed = self._typed()
            id = "-".join(plain_words(typed).split())
            if not id:
                return LEFT_OUT
            if id in checks:
                return id
            meant = nearest(id, checks)
            self._say("No tree has that check." + (f' Did you mean "{meant}"?' if meant else ""))

    def _words(self, report: Report, kinds: Sequence[str]) -> Report:
        """Asks about the words of some kinds, those of most rows first; gives the file as it reads then."""
        asked = [
            (about, rows) for about, rows in report.words.most_common()
            if about[0] in kinds and about not in self._passed
        ]  # fmt: skip
        if not asked:
            return report
        example = asked[0][0][2]
        if kinds == ("dates",):
            self._order(example)
        elif kinds == ("decimal",):
            self._decimal(example)
        else:
            for about, rows in asked[:MOST_ASKED]:
                self._word(*about, rows)
        return self._read()

    def _order(self, example: str) -> None:
        self._say(f'In which order are dates such as "{example}" written?', strong=True)
        choices = [Choice(order, order.replace("-", ", ").capitalize()) for order in ORDERS]
        picked = pick(self.console, choices, skip=PASSED)
        if picked != PASSED:
            self.mapping.dates = picked

    def _decimal(self, example: str) -> None:
        self._say(f'How are numbers such as "{example}" to be read?', strong=True)
        choices = (
            Choice("comma", "With a decimal comma; a point only groups thousands"),
            Choice("point", "With a decimal point; a comma only groups thousands"),
        )
        picked = pick(self.console, choices, skip=PASSED)
        if picked != PASSED:
            self.mapping.decimal = picked

    def _word(self, kind: str, id: str, words: str, rows: int) -> None:
        of = f" (of {id})" if id else ""
        if kind == "vehicles":
            self._say(f'"{words}" looks like a number plate ({counted(rows, "row")}).', strong=True)
            self._say("Type a name of your own for the vehicle, such as: van 7. Enter: its rows stay out.")
            label = " ".join(self._typed().split())
            if label:
                self.mapping.vehicles[words] = label
            else:
                self._passed.add((kind, id, words))
            return
        self._say(f'{_KINDS[kind]}{of}: "{words}"? ({counted(rows, "row")})', strong=True)
        ids = suggestions(self.history, kind, id, words, 5)
        choices = [Choice(each, self._in_words(kind, id, each)) for each in ids]
        picked = pick(self.console, choices, skip=PASSED)
        if picked == PASSED:
            self._passed.add((kind, id, words))
        elif kind == "causes":
            self.mapping.causes.setdefault(id, {})[words] = picked
        elif kind == "answers":
            self.mapping.answers.setdefault(id, {})[words] = picked
        else:
            getattr(self.mapping, kind)[words] = picked

    def _in_words(self, kind: str, id: str, meaning: str) -> str:
        if meaning in _SPECIAL:
            return _SPECIAL[meaning]
        if kind == "symptoms":
            heading = next((h for h in self.history.ids.headings() if h.id == meaning), None)
            return heading.symptom if heading is not None else meaning
        tree = self.history.ids.tree(id) if kind == "causes" else None
        return says_of(tree, meaning) if tree is not None else meaning.replace("-", " ").capitalize()

    def _shown(self, report: Report, file: str) -> ImportMapping | None:
        """The whole mapping, what it comes to, and the question whether it is right."""
        page = Page(self.console.width()).say("This is how it would be read:", "strong")
        for line in mapping_text(self.mapping, self.history.path.name).splitlines()[1:]:
            depth = len(line) - len(line.lstrip())
            page.hang(" " * depth, line.strip(), indent=2)
        page.gap().say(f"{counted(report.good, 'case')} of {counted(report.rows, 'row')} can come in by it.")
        page.say(f"Is it right? It is kept as {file}.", "strong")
        self.console.show([Line(""), *page.lines])
        choices = (Choice("yes", "Yes, keep it"), Choice("no", "No, leave everything as it is"))
        return self.mapping if pick(self.console, choices, skip="no") == "yes" else None

    def _typed(self) -> str:
        typed = "".join(letter if letter.isprintable() else " " for letter in self.console.ask()).strip()
        command = command_of(typed)
        if command is not None and command.command == "danger":
            raise DangerTold(ANY_DANGER)
        return "" if command is not None else typed

    def _say(self, text: str, *, strong: bool = False) -> None:
        page = Page(self.console.width())
        page.say(text, "strong" if strong else "plain")
        self.console.show([Line(""), *page.lines] if strong else page.lines)
