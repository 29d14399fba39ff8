"use strict";

/**
 * What is taken away from a round: its record as plain text, and its marks as a text that the program reads
 * (`diagnose round NAME --marks FILE`).
 */
Diagnose.roundsRecord = (() => {
  const ENDS = { fine: "fine", wrong: "wrong", "not-done": "not done", "not-fitted": "not fitted" };
  const figures = () => Diagnose.figures;

  const heading = (of, vehicle) => (vehicle ? `${of.title}: ${vehicle}` : of.title);

  /**
   * The record as lines: the verdict with what it rests on, what is bought, who is called, and every mark.
   * @param {object} standing as rounds_standing.js makes it
   */
  function lines(of, vehicle, standing, today) {
    const { told, left, buy, calls, read } = standing;
    const part = (title, entries) => (entries.length ? ["", `${title}:`, ...entries.map((each) => `- ${each}`)] : []);
    const marked = [...read.marks.values()]
      .map((mark) => `${ENDS[mark.end]}: ${figures().ended(of.byId[mark.task].what)}`);
    return [
      heading(of, vehicle),
      `As of ${today}`,
      "",
      told.headline,
      ...told.parts.flatMap(([title, entries]) => part(title, entries)),
      ...(left.length ? ["", `Left: ${leftInWords(standing)}.`] : []),
      ...part("Perhaps to be bought", buy),
      ...part("To be called", calls.map((call) => `${figures().ended(call.to.to)} For: ${forWhat(of, call)}.`)),
      ...part("Marked", marked),
      "",
      ...told.closing,
    ];
  }

  const forWhat = (of, call) => call.tasks.map((id) => figures().inside(of.byId[id].what)).join(", ");

  function leftInWords({ left, minutes }) {
    const tasks = `${left.length} ${left.length === 1 ? "task" : "tasks"}`;
    return `${tasks}, about ${figures().duration(minutes)} of work`;
  }

  const text = (...given) => `${lines(...given).join("\n")}\n`;

  /** The marks as YAML, a task and its end on each line, and what was answered of the vehicle; no id needs quotes in
   * it, and an answer (such as no, for Norway) is a text to the program without them. */
  function marks(of, read) {
    const rows = [...read.marks.values()].map((mark) => `${mark.task}: ${mark.end}`);
    const facts = new Map(read.live.filter((line) => line.noted === "fact").map((line) => [line.subject, line.answer]));
    const asked = of.code.facts.map(([fact]) => fact).filter((fact) => facts.has(fact));
    if (asked.length) rows.push(`vehicle: {${asked.map((fact) => `${fact}: ${facts.get(fact)}`).join(", ")}}`);
    const command = `# For the program: diagnose round ${of.id} --marks FILE`;
    return `${[command, ...(rows.length ? rows : ["{}"])].join("\n")}\n`;
  }

  return Object.freeze({ ENDS, heading, leftInWords, forWhat, text, marks });
})();
