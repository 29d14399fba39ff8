"use strict";

/**
 * The sentences that a walk says by itself, the very same as at the prompt: each stands in a module of
 * diagnose/walking/, and a test compares them word for word.
 */
Diagnose.words = Object.freeze({
  // stops.py
  danger: "You answered: danger.",
  uncleared: "Nobody qualified has cleared the vehicle since its last walk stopped.",
  out: "Stop here. Everybody out into the open air now, pets too, touching no switch and no metal on the way.",
  handsOff: "Stop here. Let go of everything, touch nothing more, and keep everybody clear.",
  nothingUsed: "Stop here. Nothing of it is used or tried until somebody qualified has cleared it.",
  leaveAlone: "Stop here. If it is safe to, turn off what you have just lit or started; then leave it alone "
    + "and keep everybody clear.",
  call: "If there is fire, smoke or a shock, or anybody is unwell: call {number}.",
  // standing.py
  handsOnGas: "Hands were on the gas, so this is asked again.",
  halfAnHour: "Half an hour has passed, so the danger questions are asked again.",
  takenUp: "The walk is taken up again, so the danger questions are asked again.",
  // views.py
  notChecked: "This tree is not one of those that come with the program: nobody of this project has checked it.",
  otherLeads: "None of the known causes fits well so far: something that is not listed here leads.",
  fetchHelp: "If it is dark or you are alone: fetch a torch, or ask somebody to look, listen and smell with "
    + "you. If you are still not sure then, it counts as danger.",
  noCertificate: "This does not certify that the vehicle is safe.",
  // scene.py
  treeChanged: "This tree has changed since the walk was left off; what still has a place in it was kept.",
  dropped: "No longer in the tree, so dropped: {dropped}.",
  // showing.py
  cleared: "The last walk of this vehicle was stopped for danger. Has somebody qualified looked at that "
    + "since, and cleared it?",
  // carded.py
  askSomebody: "Your card says that you cannot {senses} well: ask somebody who can. If nobody is there, "
    + "answer: not sure.",
  alarmEnded: "By your card the alarm's end date was {day}. An alarm past its date counts as none: if all "
    + "are well, answer: none fitted.",
  // ending.py
  couldNotBeDone: "could not be done here",
  leftFor: "left for: {to}",
  leftForSomebody: "left for somebody qualified",
  otherTree: "another tree knows this better",
  technician: "a technician's work",
  needs: "needs somebody who can {needs}",
  // doubting.py
  seldomTogether: "These two answers seldom go together: {first}; and {second}.",
  fitNothing: "Answers like these seldom come together, whichever of the known causes it is: in fewer than 1 "
    + "in 100 vehicles.",
  bothNotListed: "If both are right, it may be something that is not listed here.",
  bothRight: "If both are right, it may be this: {causes}.",
  saySo: "Say so to whoever you call.",
  goBack: "Check them again; Back leads to the questions.",
  // Only here: at the prompt it would be planned anew.
  couldNotEnds: "What could not be done is not offered again, and from here on this page only goes to what is "
    + "left to put right and then to somebody qualified. With the program at a prompt, more can be asked.",
  notAllowed: "What would come next may not be done here any more, so the walk ends with somebody qualified.",
  dangerTold: "Danger, told before any question",
});
