"""Real diagnoses brought in from a spreadsheet in its own words, and how well the ranking then does.

The data: Breast Cancer Wisconsin (Diagnostic), Wolberg, Street & Mangasarian 1995, UCI Machine Learning
Repository, as the package scikit-learn carries it (`sklearn.datasets.load_breast_cancer`): 569 cases with 30
measurements each and what the lump turned out to be. It has nothing to do with vehicles; under test is
the way from a table of past cases with readings to a ranking. The tree is made up for it: its shares are even
and its expectations flat, so all that the ranking knows comes from the imported cases. The bands are the
quartiles of each measurement. The yardstick is scikit-learn's `CategoricalNB` on the very same bands, and the
guess of the commonest, both by four-fold cross-validation.
"""

from __future__ import annotations

import csv
import json
import os
from contextlib import closing
from datetime import UTC, datetime
from importlib import import_module

import numpy as np
import pytest

from diagnose.cases.bulk import write_cases
from diagnose.cases.import_known import KnownIds
from diagnose.cases.import_mapping import mapping_of
from diagnose.cases.import_run import History
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import Finding, Situation

# Where CI is set a missing library is a failure, elsewhere a reason to skip.
if os.environ.get("CI"):
    import_module("sklearn")
else:
    pytest.importorskip("sklearn")

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
MEASURED = ("worst radius", "worst texture", "worst smoothness", "worst concavity", "worst symmetry")
BANDS = ("lowest", "lower", "higher", "highest")
MAPPING = {
    "source": "wisconsin",
    "columns": {"Patient": "case", "Seen on": "date", "Came with": "symptom", "Diagnosis": "cause"}
    | {name.title(): name.replace(" ", "-") for name in MEASURED},
    "symptoms": {"Lump": "a-lump"},
    "causes": {"a-lump": {"Malignant": "growth", "Benign": "harmless"}},
    "dates": "day-month-year",
    "decimal": "comma",
}


@pytest.fixture(scope="module")
def data():
    """The measurements, what it was (0 malignant, 1 benign), and the three quartiles of each measurement."""
    from sklearn.datasets import load_breast_cancer

    whole = load_breast_cancer()
    columns = [list(whole.feature_names).index(name) for name in MEASURED]
    measured = whole.data[:, columns]
    return measured, whole.target, np.round(np.quantile(measured, [0.25, 0.5, 0.75], axis=0), 4)


@pytest.fixture(scope="module")
def ids(data, tmp_path_factory):
    """A folder with the one tree."""
    measured, _, edges = data
    even = dict.fromkeys(BANDS, 0.25)
    checks = {
        name.replace(" ", "-"): {
            "ask": f"What is the {name}?", "hands": "look", "by": "owner", "minutes": 1,
            "reading": {"unit": "m", "range": [0, float(np.ceil(measured[:, at].max() + 1))],
                        "uncertainty": 0.01},
            "bands": {
                "lowest": {"below": edges[0, at]}, "lower": {"from": edges[0, at], "below": edges[1, at]},
                "higher": {"from": edges[1, at], "below": edges[2, at]}, "highest": {"from": edges[2, at]},
            },
            "expect": {"otherwise": even},
        }
        for at, name in enumerate(MEASURED)
    }  # fmt: skip
    remedy = {"refer": "workshop"}
    causes = {
        "growth": {"says": "It grows", "in_100": 50, "remedy": remedy},
        "harmless": {"says": "It is harmless", "in_100": 50, "remedy": remedy},
    }
    tree = {
        "symptom": "There is a lump", "system": "habitation-electrics", "refer_to": "workshop",
        "cured_when": {"ask": "Is it gone?"}, "faults": {"hazard": "none", "any_of": causes},
        "checks": checks, "sources": ["shares are judgement"],
    }  # fmt: skip
    folder = tmp_path_factory.mktemp("trees")
    (folder / "common").symlink_to(shipped_folder() / "common")
    (folder / "a-lump.yaml").write_text(json.dumps(tree), encoding="utf-8")
    return KnownIds(Library(shipped=folder))


def write_table(path, measured, target, rows):
    """The rows as somebody's spreadsheet has them: own names, days first, decimal commas, semicolons."""
    with path.open("w", newline="", encoding="utf-8") as stream:
        table = csv.writer(stream, delimiter=";")
        table.writerow(MAPPING["columns"])
        for row in rows:
            figures = [f"{value:.4f}".replace(".", ",") for value in measured[row]]
            table.writerow([row, "03/04/2025", "lump", ["malignant", "benign"][target[row]], *figures])


def model_after(ids, path):
    """What the tree knows once a table was brought in."""
    mapping = mapping_of(json.dumps(MAPPING), "wisconsin.mapping.yaml")
    report, spool = History(path, path.name, ids, NOW, mapping).read()
    assert report.flaws == []
    with closing(spool), open_store(str(path.with_suffix(".sqlite"))) as store:
        written = write_cases(store, mapping.source, spool, NOW)
        assert written.confirmed == written.added == report.rows
        return build_model(ids.tree("a-lump"), tally=store.tally("a-lump", NOW))


def banded(measured, edges):
    """The number of each value's band, worked out here and not by the import."""
    return (measured[:, None, :] >= edges[None, :, :]).sum(axis=1)


def shares_of(model, bands):
    """The share of the growth beside that of the harmless, for each row of bands."""
    at = [[hypothesis.id for hypothesis in model.hypotheses].index(id) for id in ("growth", "harmless")]
    checks = [name.replace(" ", "-") for name in MEASURED]
    told = []
    for row in bands:
        findings = {id: Finding(id, BANDS[band]) for id, band in zip(checks, row, strict=True)}
        share = posterior(model, Situation(findings))[at]
        told.append(share / share.sum())
    return np.array(told)


def test_the_counts_are_those_of_the_data_set(data, ids, tmp_path):
    measured, target, edges = data
    write_table(tmp_path / "all.csv", measured, target, range(len(target)))
    model_after(ids, tmp_path / "all.csv")
    with open_store(str(tmp_path / "all.sqlite")) as store:
        tally = store.tally("a-lump", NOW)
    # 212 malignant and 357 benign: the figures of the data set's own description.
    assert tally.causes == {"growth": 212.0, "harmless": 357.0}
    bands = banded(np.round(measured, 4), edges)
    for at, name in enumerate(MEASURED):
        for cause, id in enumerate(("growth", "harmless")):
            for band, word in enumerate(BANDS):
                counted = int(((bands[:, at] == band) & (target == cause)).sum())
                assert tally.answers.get((id, name.replace(" ", "-"), word), 0.0) == counted


def test_the_ranking_does_as_well_as_a_library_classifier_on_the_same_bands(data, ids, tmp_path):
    from sklearn.metrics import accuracy_score, log_loss
    from sklearn.model_selection import StratifiedKFold
    from sklearn.naive_bayes import CategoricalNB

    measured, target, edges = data
    bands = banded(np.round(measured, 4), edges)
    ours, theirs = np.zeros((len(target), 2)), np.zeros((len(target), 2))
    folds = StratifiedKFold(4, shuffle=True, random_state=0)
    for number, (train, test) in enumerate(folds.split(bands, target)):
        path = tmp_path / f"fold{number}.csv"
        write_table(path, measured, target, train)
        ours[test] = shares_of(model_after(ids, path), bands[test])
        theirs[test] = (
            CategoricalNB(min_categories=4).fit(bands[train], target[train]).predict_proba(bands[test])
        )
    right, library = (accuracy_score(target, shares.argmax(axis=1)) for shares in (ours, theirs))
    commonest = max(np.bincount(target)) / len(target)
    print(f"right: ours {right:.3f}, CategoricalNB {library:.3f}, commonest {commonest:.3f}")
    print(f"log loss: ours {log_loss(target, ours):.3f}, CategoricalNB {log_loss(target, theirs):.3f}")
    assert right >= library - 0.01
    assert right >= commonest + 0.25
    assert log_loss(target, ours) <= log_loss(target, theirs) + 0.02
