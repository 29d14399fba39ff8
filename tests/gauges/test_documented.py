from __future__ import annotations

import os

from diagnose.gauges.register import gauge, names
from tests.gauges.documented import DOCUMENT, MADE, by_name, made, write


def test_the_document_of_gauges_is_what_the_register_makes():
    if os.environ.get("RECORD_DOCS"):
        write()
    (shown,) = MADE.findall(DOCUMENT.read_text(encoding="utf-8"))
    assert shown == made()


def test_every_gauge_has_its_section():
    text = DOCUMENT.read_text(encoding="utf-8")
    for name in names():
        assert f"\n### {name}\n" in text
        assert gauge(name).formula in text
        assert gauge(name).source in text


def test_an_example_is_read_as_the_command_line_reads_it():
    texts = by_name(gauge("battery-charge"), ("12,4 V", "--kind", "agm"))
    assert texts == {"volts": "12,4 V", "kind": "agm"}
