"""No shipped tree has advice that is not accepted with its reason."""

from __future__ import annotations

import pytest

from diagnose.revising.advising import advice_on
from tests.trees.shipped import EVERY_TREE, ROLES, SOME_QUICKLY, model_of, route_of, tree_of


@pytest.mark.parametrize("id", SOME_QUICKLY)
def test_a_shipped_tree_has_no_advice(id):
    models = {role: model_of(id, role) for role in ROLES}
    routes = {role: route_of(id, role) for role in ROLES}
    assert [str(advice) for advice in advice_on(tree_of(id), models, routes)] == []


@pytest.mark.parametrize("id", EVERY_TREE)
def test_what_a_shipped_tree_accepts_has_a_reason(id):
    assert all(len(reason.split()) >= 3 for reason in tree_of(id).accept.values())
