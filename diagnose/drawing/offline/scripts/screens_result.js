"use strict";

/*
 * The screens at the end of a walk: cured, handed over, stopped, left off. A stop and a referral are firm:
 * what to do now stands first, then whom to call and what to say. Nothing on them offers a way round, and
 * each of them says that nobody has certified the vehicle as safe.
 *
 * `doing` is {start(), resume(), follow(), sheet(), round(), code, back, following, referral, ownNumber}; what is
 * missing there is not offered.
 */
Diagnose.result = (() => {
  const { make, say, button, list } = Diagnose.dom;
  const { cautions, notices, numbers, ownNumber } = Diagnose.parts;
  const figures = Diagnose.figures;

  const titled = (title, ...nodes) => {
    const inner = nodes.flat(Infinity).filter(Boolean);
    return inner.length ? make("section", {}, make("h2", {}, title), inner) : null;
  };

  const lastWord = view => say(view.certificate, "strong certificate");

  const ways = doing => [
    doing.follow ? button("Go on", doing.follow, { manner: "answer" }) : null,
    doing.sheet ? button("Sheet to hand over", doing.sheet, { manner: "answer" }) : null,
    doing.resume ? button("Go on with it", doing.resume, { manner: "answer" }) : null,
    doing.round ? button("Back to the round", doing.round, { manner: "answer" }) : null,
    doing.start ? button("To the start", doing.start, { manner: "answer unsure" }) : null,
  ];

  const code = doing =>
    (doing.code ? titled("Code for the engineer's answer", say(doing.code, "code")) : null);

  const common = (view, doing, rest) => ({ about: view.symptom, back: doing.back, answers: ways(doing), ...rest });

  function cured(view, doing) {
    return common(view, doing, {
      first: notices(view),
      heading: "CURED",
      body: [
        say(`By all signs it was this: ${figures.inside(view.says)}.`),
        prevention(view),
        code(doing),
        lastWord(view),
      ],
    });
  }

  // Whom to call, what to tell them, what to do until they come.
  const whom = (to, number, register = "") => [
    titled(
      "Call:",
      say(figures.ended(to.to)),
      number ? ownNumber(number) : null,
      register ? say(`To find one: ${figures.ended(register)}`) : null,
      say(whatTheyTake(to), "quiet"),
    ),
    titled("Tell them:", say(to.say)),
    titled("Until they come:", say(to.untilHelp)),
  ];

  function referred(view, doing) {
    const to = view.referral;
    return common(view, doing, {
      first: notices(view),
      heading: "TO BE HANDED OVER",
      body: [
        say("You have done your part. The rest is for somebody qualified; do not try any further."),
        say(likeliest(view)),
        whom(to, view.ownNumber, view.register),
        leftAlone(view),
        say(`If anybody is in danger, call ${numbers(view)}.`, "strong"),
        prevention(view),
        code(doing),
        lastWord(view),
      ],
    });
  }

  function stopped(view, doing) {
    const said = new Set();
    return {
      firm: true,
      manner: "stop",
      about: view.symptom,
      call: `Emergency number: ${numbers(view)}`,
      heading: "STOP - DANGER",
      body: [
        say(view.first, "first-words"),
        view.referrals.map(referral => stopReferral(view, referral, said)),
        say(`Emergency number: ${numbers(view)}.`, "strong"),
        notices(view),
        cautions(view),
        view.because ? say(`Why it stops here: ${figures.ended(view.because)}`) : null,
        say(
          "There is no way on from here. Somebody qualified has to clear this before the vehicle "
          + "is walked again.",
        ),
        code(doing),
        lastWord(view),
        say(view.first, "strong"),
      ],
      answers: [doing.sheet ? say("Once everybody is out of danger:") : null, ways(doing)],
    };
  }

  function stopReferral(view, referral, said) {
    const act = unsaid(referral.untilHelp, said);
    const own = view.ownNumbers[referral.id];
    return make(
      "div", { class: "danger-told" },
      act ? titled("Do this now:", say(act)) : [],
      titled("Call:", say(figures.ended(referral.to)), own ? ownNumber(own) : null),
      titled("Tell them:", say(referral.say)),
    );
  }

  function leftOff(view, doing) {
    return common(view, doing, {
      first: notices(view),
      heading: "LEFT OFF",
      body: [say(doing.kept), say(likeliest(view)), lastWord(view)],
    });
  }

  function notForThis(view, doing) {
    return common(view, doing, {
      first: notices(view),
      heading: `"${view.symptom}" is for other vehicles than this one.`,
      body: [say(`${view.ask} This one: ${view.has}. It fits: ${view.fits.join(", ")}.`), lastWord(view)],
    });
  }

  // Another tree knows better. Where the page does not hold it, that is said, and nothing is guessed.
  function handedOver(view, doing) {
    const on = view.here
      ? [
          say(`So it goes on with "${doing.following}". What you have found comes along.`),
          say("The danger questions are asked again first."),
        ]
      : [
          view.elsewhere ? say(`It would go on with "${view.elsewhere}".`) : null,
          say("Its questions are not in this page, so it ends here. Hand it over to somebody qualified.", "strong"),
          whom(doing.referral, doing.ownNumber),
        ];
    return common(view, doing, {
      first: notices(view),
      heading: `It points to this: ${figures.inside(view.says)}.`,
      body: [on, view.here ? null : leftAlone(view), lastWord(view)],
    });
  }

  // That something else leads is among the notices already.
  function likeliest(view) {
    const leader = view.ranking[0];
    if (!leader || leader.cause === "not-listed") {
      return "";
    }
    const told = `${figures.share(leader.share)}; ${figures.basis(leader, view.ranking)}`;
    return `The likeliest so far: ${figures.inside(figures.cause(leader))} (${told}).`;
  }

  function prevention(view) {
    const told = view.prevention.filter(each => each.prevent);
    const named = each => (told.length > 1 ? `${each.says}: ` : "");
    const lines = told.map(each => `${named(each)}${figures.ended(each.prevent)}`);
    return titled("Before the next lay-up:", lines.length > 1 ? list(lines) : say(lines[0] ?? ""));
  }

  function leftAlone(view) {
    const reasons = [...new Set(view.leftAlone.map(each => each.why))];
    return titled("Do not work on any of these yourself:", reasons.map(why => [
      list(view.leftAlone.filter(each => each.why === why).map(each => figures.ended(each.says))),
      say(`(${leftTo(why)})`, "quiet"),
    ]));
  }

  function leftTo(why) {
    const [reason, ...whom] = why.trim().replace(/\.+$/, "").split(": ");
    return whom.length ? `${reason} ${figures.inside(whom.join(": "))}` : reason;
  }

  function whatTheyTake(referral) {
    const parts = [];
    if (referral.minutes > 0) {
      parts.push(`Reckon with ${figures.duration(referral.minutes)} of your time.`);
    }
    if (referral.wait > 0) {
      parts.push(`Waiting: ${figures.duration(referral.wait)}, but not for you to stand by.`);
    }
    if (referral.price > 0) {
      parts.push(`Costs about ${figures.money(referral.price)}.`);
    }
    return parts.join(" ");
  }

  // The sentences that this screen has not said yet, so that a second danger does not bury the first.
  function unsaid(text, said) {
    const fresh = sentencesOf(text).filter(sentence => !said.has(sentence));
    fresh.forEach(sentence => said.add(sentence));
    return fresh.join(" ");
  }

  const sentencesOf = text => (text.trim().match(/[^]*?[.!?](?=\s|$)|[^]+$/g) ?? []).map(each => each.trim());

  const SCREENS = {
    cured, referred, stopped, "left-off": leftOff, "not-for-this": notForThis, "handed-over": handedOver,
  };

  const screen = (view, doing) => SCREENS[view.kind](view, doing);

  return Object.freeze({ screen });
})();
