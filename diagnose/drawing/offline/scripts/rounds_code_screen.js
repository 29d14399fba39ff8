"use strict";

/**
 * The screen with the code of a round, shown when it is left, ended or stopped, and whenever it is asked for.
 *
 *     Diagnose.roundsCodeScreen.screen(of, kept, code, doing)   doing: {back, start, stopped}; `code` may be "",
 *                                                           `stopped` says whether the vehicle is
 */
Diagnose.roundsCodeScreen = (() => {
  const HEADING = "The code of this round";
  const TAKES_IN =
    "At the computer the program takes all of this round in by it: every mark with its day, what was answered of the "
    + "vehicle, and whether danger stopped it. Brought twice, it is one round. Nothing of anybody is in it.";
  const STOPPED = "Danger stopped this round: with the code the vehicle is stopped there too. No code clears it.";
  const TOO_LONG =
    "This round is too long for a code. Take its marks instead: How it stands, The marks for the program.";
  const TYPE = "There, type: diagnose round --code, and behind that the code.";
  const TYPE_NAMED = "There, type: diagnose round --code, behind that the code, then --vehicle and the vehicle's card.";
  const SQUARE = "The same code as a square code, for a camera";
  const ALOUD = "How it is read out";

  function screen(of, kept, code, doing) {
    const { make, say, button, folded, list } = Diagnose.dom;
    const { heading } = Diagnose.roundsRecord;
    const command = `diagnose round --code ${code}`;
    const aloud = () => list(Diagnose.code.spelled(code));
    const told = code ? [
      make("p", { class: "code" }, code),
      say(TAKES_IN),
      say(kept.vehicle ? TYPE_NAMED : TYPE),
      make("div", { class: "square" }, Diagnose.qr.svg(code, SQUARE)),
      Diagnose.sheet.passingOn(command, "The command as text"),
      folded(ALOUD, aloud),
    ] : say(TOO_LONG);
    return {
      heading: HEADING, about: heading(of, kept.vehicle), back: doing.back,
      body: [doing.stopped ? say(STOPPED, "strong") : null, told],
      answers: [button("To the start", doing.start, { manner: "answer" })],
    };
  }

  return Object.freeze({ screen });
})();
