"use strict";

/*
 * One screen at a time: what it is about at the top, then what has to be read, and at the thumb's end of the
 * phone what can be pressed. Danger stands on every screen but a stop; Back, and the phone's own way back, do
 * what the screen says, and never lead out of a stop.
 *
 * A screen is {heading, about, body, answers, below, back, danger, firm, manner}: lists of nodes, `back` a
 * function or null, `firm` for a stop, `danger` false where Danger is not offered.
 */
Diagnose.layout = (() => {
  const { make, button, fill, byId, shown } = Diagnose.dom;
  const NO_WAY_BACK = "There is no way back out of a stop.";
  const NAME = "What is wrong with the vehicle";

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
    const danger = screen.danger === false || screen.firm
      ? null
      : button("Danger", () => onDanger(), { manner: "danger", firm: true, id: "danger" });
    const back = screen.back ? button("Back", () => screen.back(), { manner: "back", id: "back" }) : null;
    fill(byId("bar"), danger, back);
    byId("bar").hidden = !danger && !back;
  }

  // Shows a screen: its heading is where reading starts, for eyes and for readers.
  function show(screen) {
    current = screen;
    document.title = screen.heading === NAME ? NAME : `${screen.heading} - ${screen.about || NAME}`;
    document.body.className = screen.manner || "";
    fill(byId("about"), screen.about && screen.about !== screen.heading ? make("p", {}, screen.about) : null);
    const heading = make("h1", { id: "heading", tabindex: "-1" }, screen.heading);
    fill(
      byId("screen"),
      named("first", screen.first ?? []),
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
      inside = true;
      history.pushState({ page: "inside" }, "");
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
  }

  return Object.freeze({ begin, show, tell, NAME, NO_WAY_BACK });
})();
