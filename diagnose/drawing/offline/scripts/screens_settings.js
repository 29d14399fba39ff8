"use strict";

/*
 * The owner's own settings, kept on this phone alone: the country, for the emergency numbers, and the numbers
 * of those who may have to be called. Only these are offered to be called by a press.
 */
Diagnose.settings = (() => {
  const { make, say, button } = Diagnose.dom;
  const NO_NUMBER = "That is no number to call: it has from 2 to 20 digits, with a + in front at most.";
  const NOT_SET = "Not set: 112";

  // What the screen is worked with: the page's data with the owner's country and numbers in them.
  function applied(data, settings) {
    const vehicle = data.vehicle ?? { name: "", numbers: {}, where: {}, cannot: [], alarm: null, due: [] };
    const known = Object.hasOwn(data.common.countries, settings.country ?? "") ? settings.country : null;
    return {
      ...data,
      country: known ?? data.country,
      vehicle: { ...vehicle, numbers: { ...vehicle.numbers, ...settings.numbers } },
    };
  }

  function countries(data, settings) {
    const option = (id, says) => make("option", { value: id, selected: id === (settings.country ?? "") }, says);
    const known = data.country ? data.common.countries[data.country] : null;
    const usual = known ? `By the page: ${known.says}` : NOT_SET;
    const others = Object.entries(data.common.countries)
      .map(([id, { says, numbers }]) => option(id, `${says}: ${numbers.join(" or ")}`));
    return make("select", { id: "country", autocomplete: "off" }, option("", usual), others);
  }

  // No words can be typed here either.
  function onlyNumbers(field) {
    field.addEventListener("input", () => {
      const kept = field.value.replace(/[^0-9+()/. -]/g, "").slice(0, 30);
      if (kept !== field.value) {
        field.value = kept;
        Diagnose.layout.tell(NO_NUMBER);
      }
    });
  }

  function numberFields(data, settings) {
    const fields = {};
    const nodes = Object.values(data.common.referrals).map((referral, at) => {
      const field = make("input", {
        id: `number-${at}`, type: "text", inputmode: "tel", autocomplete: "off",
        value: settings.numbers[referral.id] ?? "",
      });
      onlyNumbers(field);
      fields[referral.id] = field;
      const whom = Diagnose.figures.sentence(referral.to).replace(/\.$/, "");
      const carded = data.vehicle?.numbers[referral.id];
      return [make("label", { for: `number-${at}` }, carded ? `${whom} (on the card: ${carded})` : whom), field];
    });
    return { fields, nodes };
  }

  // The numbers that were typed; null where one is none, which is said beside it.
  function typed(fields) {
    const numbers = {};
    for (const [id, field] of Object.entries(fields)) {
      const digits = Diagnose.parts.dialled(field.value);
      field.removeAttribute("aria-invalid");
      if (digits && !/^\+?[0-9]{2,20}$/.test(digits)) {
        field.setAttribute("aria-invalid", "true");
        Diagnose.layout.tell(NO_NUMBER);
        field.focus();
        return null;
      }
      if (digits) {
        numbers[id] = digits;
      }
    }
    return numbers;
  }

  // The screen; `done` leads back to the start.
  function screen(data, keeping, done) {
    const settings = keeping.settings();
    const choice = countries(data, settings);
    const { fields, nodes } = numberFields(data, settings);
    const keep = () => {
      const numbers = typed(fields);
      if (numbers) {
        keeping.keepSettings({ country: choice.value || null, numbers });
        done();
      }
    };
    return {
      heading: "Your country and numbers",
      back: done,
      body: [
        say("They stay on this phone. When somebody has to be called, your number stands there to be pressed."),
        make("label", { for: "country", class: "strong" }, "Where the vehicle is"),
        choice,
        make("h2", {}, "Numbers to call"),
        nodes,
      ],
      answers: [button("Keep this", keep, { manner: "answer" })],
    };
  }

  return Object.freeze({ applied, screen });
})();
