"use strict";

/**
 * The code of a round on this phone, by which the program takes all of it in: `diagnose round --code CODE`.
 *
 * diagnose/rounds/phone_code.py has the format. All its figures come with the page (`format` is
 * `Diagnose.data.rounds.code`, `of.code` the places of one round), made by rounds_code_data.py from the lines that
 * read a code again: nothing of them is written here a second time.
 *
 *     Diagnose.roundsCode.of(of, kept, read, stop)              the code in groups of four; "" where none can hold it
 *     Diagnose.roundsCode.written(format, of, kept, read, stop, origin)   the same with all that it hangs on given
 *
 * `kept` is {vehicle, opened, lines}, `read` what rounds_reading.js makes of its lines, `stop` null or {referral, time}
 * for what stops it that was not told on this round itself.
 */
Diagnose.roundsCode = (() => {
  const MINUTE = 60000;
  const DAY = 24 * 60 * MINUTE;

  const minutes = time => Math.floor(Date.parse(time) / MINUTE);
  const day = time => Math.floor(Date.parse(time) / DAY);

  // A number in the smallest of the sizes that hold it.
  function sized(format, number, sizes) {
    const { even, weighed } = Diagnose.code;
    let below = 0;
    for (const [place, many] of sizes.entries()) {
      if (number < below + many) return [weighed(place, format.sizesWeights), even(number - below, many)];
      below += many;
    }
    throw new RangeError(`${number} is more than any code holds`);
  }

  // Danger that was told on this round is in its code though somebody said later that it was cleared: a code never
  // clears a vehicle. `read.live` are the lines that stand.
  function stopped(read, stop) {
    const told = read.live.filter(line => line.noted === "danger").pop();
    return told ? { referral: told.answer ?? "workshop", time: told.time } : stop;
  }

  function choices(format, of, kept, read, stop, origin) {
    const { even, weighed } = Diagnose.code;
    const began = minutes(kept.opened);
    // A clock that was put back meanwhile makes nothing earlier than the beginning.
    const since = time => Math.max(0, minutes(time) - began);
    const days = new Map([...read.marks].map(([id, mark]) => [id, Math.max(0, day(mark.time) - day(kept.opened))]));
    const span = Math.max(0, ...days.values());
    const danger = stopped(read, stop);
    const leads = danger ? format.stops.indexOf(danger.referral) : -1;
    const { code } = of;
    return [
      ...format.begins.map(([number, many]) => even(number, many)),
      even(code.round, format.rounds),
      even(kept.vehicle ? format.vehicle : 0, format.tags),
      even(code.shape, format.tags),
      even(parseInt(origin.slice(0, 4), 16), format.origins),
      even(began % format.minutes, format.minutes),
      ...sized(format, Math.max(0, ...kept.lines.map(line => since(line.time))), format.later),
      weighed(danger ? 1 : 0, format.stoppedWeights),
      ...(danger ? [
        even(leads < 0 ? format.stops.length - 1 : leads, format.stops.length),
        ...sized(format, since(danger.time), format.later),
      ] : []),
      even(code.texts, format.tags),
      ...sized(format, span, format.days),
      ...code.facts.map(([fact, answers, weights]) => weighed(answers.indexOf(asked(read, fact)) + 1, weights)),
      ...of.tasks.flatMap((id) => {
        const mark = read.marks.get(id);
        const ended = mark?.ofDate ? format.ends.length - 1 : format.ends.indexOf(mark?.end);
        const end = weighed(ended + 1, format.endsWeights);
        return mark && span ? [end, even(days.get(id), span + 1)] : [end];
      }),
    ];
  }

  // What was answered on the round itself; what the card has, the program's card has too.
  const asked = (read, fact) =>
    read.live.filter(line => line.noted === "fact" && line.subject === fact).pop()?.answer ?? null;

  function written(format, of, kept, read, stop, origin) {
    try {
      return Diagnose.code.ofChoices(choices(format, of, kept, read, stop, origin));
    } catch (error) {
      // A round of years, or one with a place for more than a code can hold: its marks go as a file.
      if (error instanceof RangeError) return "";
      throw error;
    }
  }

  const of = (round, kept, read, stop) =>
    written(Diagnose.data.rounds.code, round, kept, read, stop, Diagnose.code.own().name);

  return Object.freeze({ of, written });
})();
