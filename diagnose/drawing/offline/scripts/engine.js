"use strict";

/**
 * The engine of the page: a walk as a pure function of its tree, its journal and the time.
 *
 * All scripts are classic scripts in strict mode, put one after the other into one <script> by page.py in
 * the order of its `SCRIPTS`; each hangs what others use on the one global name, `Diagnose`:
 *
 *     Diagnose.numbers = (() => { ...; return Object.freeze({ logNormalCdf }); })();
 *
 * Nothing here knows the document or the storage. Texts of trees reach the document by textContent alone.
 *
 * THE DATA. `Diagnose.data` is what all trees share, `Diagnose.tree(id)` one tree (parsed when first asked
 * for, null where the page does not hold it).
 *
 * @typedef {object} Data
 * @property {string} version of the program
 * @property {string} made the day on which the page was made, ISO 8601
 * @property {string} role "owner" or "technician"
 * @property {?{name: string, country: ?string, numbers: Object<string, string>,
 *   where: Object<string, string>, cannot: string[], alarmEnded: string, overdue: string[]}} vehicle the
 *   card that the page was made for; `numbers` are the owner's own, referral -> number to call
 * @property {?string} country id, by the card or the settings; null where none is known
 * @property {boolean} learned whether past cases count in the ranking (else it is the files' judgement)
 * @property {{cautions: Object<string, Caution>, referrals: Object<string, Referral>,
 *   places: Object<string, Place>, hazards: Object<string, {says: string, caution: ?string}>,
 *   facts: Object<string, Check>, systems: Object<string, {title: string}>,
 *   countries: Object<string, Country>}} common
 * @property {{id: string, symptom: string, alsoSaid: string[], system: string, shipped: boolean}[]} trees
 *   the headings, in the order of systems and ids
 *
 * @typedef {{id: string, word: string, say: string}} Caution word: DANGER, WARNING, CAUTION or NOTICE
 * @typedef {{id: string, to: string, minutes: number, wait: number, price: number, say: string,
 *   untilHelp: string}} Referral
 * @typedef {{says: string, access: number}} Place
 * @typedef {{says: string, numbers: string[], gasRegister: string, units: string[]}} Country
 * @typedef {{unit: string, low: number, high: number, uncertainty: number}} Reading
 *
 * @typedef {object} Check
 * @property {string} id
 * @property {string} ask
 * @property {string} how "" where there is nothing to say
 * @property {{id: string, says: string}[]} answers a reading's bands are its answers, in the same order
 * @property {?Reading} reading
 * @property {{id: string, low: number, high: number}[]} bands
 * @property {number} minutes
 * @property {number} wait
 * @property {number} price
 * @property {?string} at a place's id
 * @property {?string} part
 * @property {string[]} needs
 * @property {string} hands look, controls or tools
 * @property {string} by
 * @property {number} notSure
 * @property {string[]} stopOn
 * @property {?string} refer
 * @property {boolean} starts
 * @property {boolean} restoresMains
 * @property {string[]} hazards
 * @property {boolean} fact
 * @property {boolean} fixed
 *
 * @typedef {object} Cause
 * @property {string} id
 * @property {string} says
 * @property {string} prevent
 * @property {string[]} hazards
 * @property {{kind: string, text: string, how: string, by: string, hands: string, minutes: number,
 *   wait: number, price: number, at: ?string, part: ?string, needs: string[], cures: number,
 *   restoresMains: boolean, hazards: string[]}} remedy kind: do, refer (text: a referral) or see (text: a
 *   tree)
 *
 * @typedef {object} Tree
 * @property {string} id
 * @property {string} symptom
 * @property {string} system
 * @property {string[]} alsoSaid
 * @property {string} digest
 * @property {boolean} shipped
 * @property {?number} tries
 * @property {string} referTo
 * @property {string[]} cautions
 * @property {string[]} askFirst
 * @property {Object<string, string[]>} appliesTo
 * @property {{ask: string, minutes: number}} curedWhen
 * @property {Object<string, Check>} checks in file order
 * @property {Object<string, Check>} facts every fact of the common files
 * @property {Object<string, Cause>} causes in file order
 * @property {Object<string, Referral>} referrals the common ones and the tree's own
 * @property {Object<string, Place>} places likewise
 * @property {Object<string, Caution>} cautionTexts likewise
 * @property {{id: string, causes: string[], says: string, cures: number, cases: number}[]} hypotheses the
 *   cut sets, `not-listed` last; the order of every array of shares
 * @property {number[]} alpha parameters of the Dirichlet prior, in that order
 * @property {Object<string, number[][]>} tables check -> Dirichlet parameters (hypotheses by answers)
 * @property {{kind: string, of: string}[]} steps the distinct steps of the route
 * @property {{step: number, to: number[]}[]} route the compiled route; `to` in the order of the answers with
 *   `not-sure` last, for a remedy in the order cured, not-cured, could-not
 * @property {object} ahead findings that the vehicle's card gives, {check -> {answer, value, uncertainty}}
 * @property {object} practise what exercises need; see practise_data.py
 * @property {object} code what codes need; see code_data.py
 *
 * A WALK is {tree, journal} and plain JSON, so that a screen can keep it after each answer. The journal's
 * lines are those of diagnose/cases/records.py (Entry): only ever added, numbered from 1 by their place.
 *
 * @typedef {{kind: string, subject: string, answer: ?string, value: ?number, uncertainty: ?number,
 *   ahead: boolean, time: string}} Line time: ISO 8601, UTC
 *
 * @typedef {object} Setting what earlier walks and the place mean for this one; made by `Engine.setting`
 * @property {string[]} numbers emergency numbers, the one to call first in front
 * @property {string} register where gas fitters stand in this country; ""
 * @property {string[]} units that people of this country read beside those of the checks
 * @property {Object<string, string>} ownNumbers referral -> the number that the owner set
 * @property {Object<string, string>} whereabouts part -> where it is
 * @property {string[]} cannot
 * @property {string} alarmEnded
 * @property {string} role
 * @property {?string} stoppedBy the referral that stopped the last walk, while nobody has cleared it
 * @property {number} startedBefore starts by earlier walks of this symptom within the last day
 *
 * VIEWS. `Engine.view` returns one plain object; the fields are those of diagnose/walking/views.py in camel
 * case, and `kind` is one of:
 *
 *     question          check ask how choices measures alsoReadIn effort where needs askFirst again fact
 *                       starts triesLeft             takes answer, reading (where `measures`), notSure
 *     unsure            check ask how choices measures advice       takes answer, notSure (which stops)
 *     remedy            remedy says do how choices effort where needs triesLeft  takes answer with cured,
 *                       not-cured or could-not
 *     cured-question    remedy says ask minutes choices             takes answer yes or no
 *     cleared-question  ask stoppedBy choices                       takes answer yes or no
 *     cured             cause says                                  (and what every end has)
 *     referred          referral register ownNumber
 *     stopped           referrals because first ownNumbers
 *     left-off          nothing more; goes on by resume
 *     not-for-this      fact ask fits has
 *     handed-over       tree says carry here; `here`: whether the page holds that tree
 *
 * Every view has: symptom, cautions (to be shown now, in full, first), notices (sentences, second), ranking
 * ([{cause, says, share, cases}] in falling share; empty while nothing is reckoned), numbers, canGoBack, and
 * `commands`, the operations that are possible: of answer, reading, notSure, back, why, leaveOff, danger,
 * resume. Every end has: state, prevention [{says, prevent}], leftAlone [{says, why}], done {minutes, wait,
 * price}, certificate.
 *
 * OPERATIONS return a new journal and never change the one given. What is not possible where the walk
 * stands throws `Diagnose.NotNow`, and a reading that cannot be throws `Diagnose.BadReading`; `message` is
 * made for people. `now` is a number of milliseconds, as Date.now() gives it.
 *
 *     Engine.setting(data, tree, walks, now, current)  walks: [{tree, journal, state, ...}] newest first;
 *                                                      `current` the one to leave out
 *     Engine.begin(tree, now, setting, carried)        a new journal; `carried` findings from another tree
 *     Engine.view(tree, journal, now, setting)
 *     Engine.answer(tree, journal, answer, now, setting)
 *     Engine.reading(tree, journal, value, uncertainty, now, setting)   uncertainty null: the check's own
 *     Engine.notSure / back / danger / leaveOff / resume (tree, journal, now, setting)
 *     Engine.why(tree, journal, now, setting)          {separates: [says], leads: [{answers, step, says}],
 *                                                      sure: ranking line or null}
 *     Engine.intervals(tree, journal)                  {cause -> [low, high]}; slow, so ask when it is shown
 *     Engine.parseReading(check, text)                 the value in the check's unit
 *     Engine.state(tree, journal, now, setting)        open, left-off, cured, referred or stopped
 *     Engine.dangerNow(setting)                        the stop for danger told before any walk
 *     Engine.carried(handedOver, one, other)           findings that the other tree may begin with
 */
Diagnose.engine = (() => {
  return Object.freeze({});
})();
