"""What can be typed on the phone's page: a number and nothing else, or a code; danger stops there as well."""

from __future__ import annotations

import pytest

from tests.drawing.offline.made_up_views import every_view
from tests.drawing.offline.thumb import HARM, Thumb, page_file

pytestmark = pytest.mark.long

STOP = "STOP - DANGER"


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return page_file(tmp_path_factory.mktemp("page"))


@pytest.fixture
def phone(browser, file):
    """The page just opened on a phone that kept nothing; nothing was asked for, nothing complained of."""
    browser.get_log("browser")
    thumb = Thumb(browser, file)
    thumb.phone()
    yield thumb.open()
    thumb.put_down()
    asked = browser.execute_script("return performance.getEntriesByType('resource').map(each => each.name)")
    assert asked == []
    assert browser.get_log("browser") == []


def test_danger_stops_wherever_it_is_typed(phone):
    from selenium.webdriver.common.by import By

    for way, field in (
        # A walk first: danger that was told before any walk is asked about at the next one's beginning.
        ([f"{HARM} is cold"], "reading"),
        (["Practise with a hidden fault"], "exercise-code"),
        (["Your country and numbers"], "number-0"),
    ):
        phone.press(*way)
        phone.browser.find_element(By.ID, field).send_keys("see Danger")
        assert phone.heading == STOP, field
        phone.press("To the start")


def test_a_reading_takes_a_number_alone(phone):
    from selenium.webdriver.common.by import By

    phone.press(f"{HARM} is cold")
    field = phone.browser.find_element(By.ID, "reading")
    assert field.get_attribute("inputmode") == "decimal"
    assert "It lies between -30 and 45 °C." in phone.text
    assert "It is taken as right to ± 2 °C." in phone.text
    field.send_keys("I smell gas")
    assert field.get_attribute("value") == ""
    assert phone.said == "Only a number goes in here. If something is dangerous, press Danger."
    field.send_keys("460")
    phone.press("This is my reading")
    assert "cannot be: a reading here lies between -30 and 45 °C" in phone.said
    field.clear()
    field.send_keys("5,5")
    phone.press("Below zero", "This is my reading")
    assert phone.kept[0]["journal"][-1] | {"time": ""} == {
        "kind": "finding",
        "subject": "degrees",
        "answer": "frost",
        "value": -5.5,
        "uncertainty": 2,
        "ahead": False,
        "time": "",
    }


def test_only_numbers_that_the_owner_set_can_be_pressed(phone):
    from selenium.webdriver.common.by import By

    def links():
        return phone.run("return [...document.links].map(each => [each.textContent, each.href])")

    phone.press("Danger")
    assert links() == []
    phone.press("To the start", "Your country and numbers")
    phone.run("document.getElementById('country').value = 'uk'")
    labels = phone.browser.find_elements(By.CSS_SELECTOR, "label")
    gas = next(each for each in labels if "registered for LPG" in each.text)
    field = phone.browser.find_element(By.ID, gas.get_attribute("for"))
    field.send_keys("call me 01632+960 001")
    assert field.get_attribute("value").strip() == "01632+960 001"
    phone.press("Keep this")
    assert phone.heading == "Your country and numbers"
    assert "That is no number to call" in phone.said
    field.clear()
    # Ofcom keeps this range for numbers that nobody has; from memory.
    field.send_keys("+44 1632 960 001")
    phone.press("Keep this")
    assert phone.heading == "What is wrong?"
    phone.reload()
    phone.press("Danger")
    assert "112 or 999" in phone.text
    assert links() == []  # no number was set for these
    phone.press("To the start", "The blown-air gas heater will not fire").answer("Yes")
    phone.press("I have read this")
    own = phone.run(
        "const { settings, keeping, engine, data } = Diagnose;"
        "return engine.setting(settings.applied(data, keeping.open('').settings()), null, [], 0).ownNumbers;"
    )
    assert own == {"gas-engineer": "+441632960001"}
    phone.show(every_view()["referred"] | {"ownNumber": "+441632960001"})
    assert links() == [["Call +441632960001", "tel:+441632960001"]]


# As E.123 would not have it written, and many people do; the digits behind are Ofcom's, from memory.
@pytest.mark.parametrize(
    ("written", "dialled"),
    [
        ("+44 (0)1632 960 001", "+441632960001"),
        ("0044 (0) 1632/960-001", "00441632960001"),
        ("(01632) 960.001", "01632960001"),
        ("112", "112"),
        ("44 (0)", "440"),
    ],
)
def test_a_number_is_dialled_as_it_is_reached_however_it_is_written(phone, written, dialled):
    assert phone.run("return Diagnose.parts.dialled(arguments[0])", written) == dialled
    phone.show(every_view()["referred"] | {"ownNumber": written})
    links = phone.run("return [...document.links].map(each => [each.textContent, each.href])")
    assert links == [[f"Call {written}", f"tel:{dialled}"]]


def test_a_danger_question_that_takes_a_reading_is_no_less_firm(phone):
    for kind in ("question", "unsure"):
        view = every_view()["reading"] | {"kind": kind, "askFirst": True, "advice": "Fetch a torch."}
        phone.show(view)
        assert phone.run("return document.querySelectorAll('input[type=radio]:not(:checked)').length") == 3
        phone.press("This is my answer")
        assert phone.said == "Choose one of the answers first."
