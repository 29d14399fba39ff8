"use strict";

/**
 * The hand-over sheet on the phone: to be read, printed on one page of A4, copied, or sent.
 *
 *     Diagnose.sheet.made(tree, walk, setting)               {parts, text, exact, told}, see sheet_parts.js;
 *                                                            `exact` is what the square code holds, or ""
 *     Diagnose.sheet.render(container, tree, walk, setting)  fills the container
 *
 * `walk` is {id, tree, digest, vehicle, role, opened, state, journal} as screens keep it, `setting` what
 * `Engine.setting` gave for it.
 */
Diagnose.sheet = (() => {
  const COPY = "Copy as text";
  const SEND = "Send as text";
  const COPIED = "Copied. Paste it into a message.";
  const BY_HAND = "Copying is not possible here: the text is marked below, copy it from there.";
  const [LARGEST, SMALLEST] = [10, 7]; // points
  const HEIGHT = (276 / 25.4) * 96; // pixels of CSS: the page within its margins, and a little less

  function made(tree, walk, setting) {
    const view = Diagnose.engine.view(tree, walk.journal, Date.now(), setting);
    const code = Diagnose.code.of(tree, walk);
    const ranking = rankingOf(tree, walk);
    const told = {
      case: code ? Diagnose.code.own().caseOf(walk.id) : 0,
      code,
      aloud: code ? Diagnose.code.spelled(code) : [],
      ranking,
      intervals: ranking.length ? Diagnose.engine.intervals(tree, walk.journal) : {},
      referral: view.kind === "referred" ? view.referral.id : "",
      register: setting.register,
    };
    const parts = Diagnose.sheetParts.of(Diagnose.data.sheet, tree, walk, told);
    return {
      parts,
      text: Diagnose.sheetParts.text(parts),
      exact: Diagnose.sheetParts.exact(tree, walk, code),
      told,
    };
  }

  // At a stop a ranking says something of this vehicle only if more than dangers was asked.
  function rankingOf(tree, walk) {
    const past = Diagnose.past.read(tree, walk.journal);
    const asked = Object.keys(Diagnose.past.findings(past)).filter(id => !tree.askFirst.includes(id));
    const more = asked.some(id => !Diagnose.past.checkOf(tree, id).fact);
    if (walk.state === "stopped" && !more) return [];
    return Diagnose.evidence.ranking(tree, Diagnose.past.situation(past));
  }

  function render(container, tree, walk, setting) {
    const { make } = Diagnose.dom;
    const { parts, text, exact } = made(tree, walk, setting);
    const square = () => (exact ? Diagnose.qr.svg(exact, Diagnose.data.sheet.phrases.square) : null);
    const whole = manner =>
      make(
        "div",
        { class: manner, lang: "en" },
        parts.map(part => section(part, square())),
      );
    const paper = make("div", { class: "paper-copy" }, whole("sheet-page on-paper"));
    container.replaceChildren(whole("sheet-page"), paper, passingOn(text));
    fit(paper);
  }

  // The largest letters with which it fits on one page of A4, whatever typeface the phone has. It is laid out
  // for that moment, and else only when it is printed.
  function fit(paper) {
    const [page] = paper.children;
    paper.classList.add("measured");
    for (let size = LARGEST; size >= SMALLEST; size -= 0.25) {
      page.style.fontSize = `${size}pt`;
      if (page.offsetHeight <= HEIGHT) break;
    }
    paper.classList.remove("measured");
  }

  // A part of the sheet: what heads it, its entries as a list, anything else as paragraphs.
  function section(part, square) {
    const { make } = Diagnose.dom;
    const nodes = [];
    let list = null;
    for (const line of part.lines) {
      if (line.mark) {
        if (list === null) nodes.push((list = make("ul", {})));
        list.append(entry(line));
        continue;
      }
      list = null;
      nodes.push(line.head ? make("h2", {}, line.text) : paragraph(line));
    }
    if (part.id === "back" && square) nodes.push(make("div", { class: "square" }, square));
    // Only what has a heading is a section of its own.
    return make(part.lines.some(line => line.head) ? "section" : "div", { class: `sheet-${part.id}` }, nodes);
  }

  function entry(line) {
    const { make } = Diagnose.dom;
    const mark = line.mark === "- " ? null : make("span", { class: "mark" }, line.mark.trim());
    return make("li", mark ? { class: "marked" } : {}, mark, mark ? make("span", {}, line.text) : line.text);
  }

  function paragraph(line) {
    const { make } = Diagnose.dom;
    if (line.label) return make("p", {}, make("strong", {}, line.label), line.text.slice(line.label.length));
    const manner = [line.indent ? "indented" : "", line.code ? "code-line" : ""].filter(Boolean).join(" ");
    return make("p", { class: manner || null }, line.text);
  }

  // Copied or sent as text. A page that was opened as a file may have neither: then the text is there to be
  // marked and copied by hand.
  function passingOn(text, label = "The sheet as text", shown = false) {
    const { make, button } = Diagnose.dom;
    const said = make("p", { role: "status", class: "quiet" });
    const byHand = make("textarea", { readonly: true, rows: 8, "aria-label": label });
    byHand.value = text;
    byHand.hidden = !shown;
    const offer = () => {
      said.textContent = BY_HAND;
      byHand.hidden = false;
      byHand.focus();
      byHand.select();
    };
    const copy = () => {
      if (!navigator.clipboard?.writeText) {
        offer();
        return;
      }
      navigator.clipboard.writeText(text).then(() => {
        said.textContent = COPIED;
      }, offer);
    };
    const send = () =>
      navigator.share({ text }).catch(() => {
        said.textContent = "";
      });
    return make(
      "div",
      { class: "passing-on answers" },
      button(COPY, copy, { manner: "answer" }),
      navigator.share ? button(SEND, send, { manner: "answer" }) : null,
      said,
      byHand,
    );
  }

  return Object.freeze({ made, render, passingOn });
})();
