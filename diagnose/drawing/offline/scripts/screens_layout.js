"use strict";

/*
 * One screen at a time: what it is about at the top, then what has to be read, and at the thumb's end of the
 * phone what can be pressed. Danger stands on every screen but a stop; Back, and the phone's own way back, do
 * what the screen says, and never lead out of a stop.
 *
 * A screen is {heading, about, first, body, answers, below, back, firm, call, manner}: lists of nodes, `first`
 * read before the heading, `back` a function or null, `firm` for a stop, which shows the numbers to `call`
 * instead of Danger.
 */
Diagnose.layout = (() => {
  const { make, button, fill, byId, shown } = Diagnose.dom;
  const NO_WAY_BACK = "There is no way back out of a stop.";
  const NAME = "diagnose";

  let current = null;
  let inside = false;
  let onDanger = () => {};

  // Says something without a new screen; screen readers read it out.
  function tell(text) {
    fill(byId("said"), text ? make("p", {}, text) : null);
  }

  const named = (label, nodes, attributes = {}) =>
    nodes && nodes.flat(Infinity).some(Boolean) ? make("div", { class: label, ...attributes }, nodes) : null;

  function bar(screen) {
    const danger = screen.firm
      ? null
      : button("Danger", () => onDanger(), { manner: "danger", firm: true, id: "danger" });
    const back = screen.back ? button("Back", () => screen.back(), { manner: "back", id: "back" }) : null;
    fill(byId("bar"), screen.firm && screen.call ? make("p", { class: "strong" }, screen.call) : null, danger, back);
    byId("bar").hidden = byId("bar").childElementCount === 0;
  }

  // Shows a screen: its heading is where reading starts, for eyes and for readers.
  function show(screen) {
    current = screen;
    document.title = `${screen.heading} - ${screen.about || NAME}`;
    document.body.className = screen.manner || "";
    // In a stop nothing stands before what has to be done.
    fill(byId("about"), screen.about && !screen.firm ? make("p", {}, screen.about) : null);
    const first = named("first", screen.first ?? [], { id: "first" });
    const heading = make(
      "h1", { id: "heading", tabindex: "-1", "aria-describedby": first ? "first" : null }, screen.heading,
    );
    fill(
      byId("screen"),
      first,
      heading,
      named("body", screen.body ?? []),
      named("answers", screen.answers ?? []),
      named("below", screen.below ?? []),
    );
    tell("");
    bar(screen);
    if (screen.back || screen.firm) {
      holdBack();
    }
    window.scrollTo(0, 0);
    heading.focus({ preventScroll: true });
    shown();
  }

  // One entry of the browser's history stands for "somewhere inside", so that the phone's way back comes here.
  function holdBack() {
    if (!inside) {
      try {
        history.pushState({ page: "inside" }, "");
        inside = true;
      } catch {
        // Some phones forbid it to a page that was opened as a file: then their own way back leaves the page.
      }
    }
  }

  function onBack() {
    inside = false;
    if (current?.back) {
      current.back();
    } else if (current?.firm) {
      holdBack();
      tell(NO_WAY_BACK);
    } else {
      history.back();
    }
  }

  function begin(danger) {
    onDanger = danger;
    inside = history.state?.page === "inside";
    window.addEventListener("popstate", onBack);
    // Wherever something can be typed, this word means what it always means, even where no letters get in.
    let typed = "";
    document.addEventListener("beforeinput", event => {
      typed = (typed + (event.data ?? " ")).slice(-80);
      if (/\bdanger$/i.test(typed)) {
        typed = "";
        onDanger();
      }
    });
  }

  return Object.freeze({ begin, show, tell, NAME, NO_WAY_BACK });
})();
