"use strict";

/**
 * The cheapest way to end without asking anything more: some remedies in the best order, then a referral; see
 * diagnose/reasoning/closing.py. Costs are mass times minutes.
 *
 * Remedies go by falling chance of a cure over cost; those of a place not reached yet are merged into one
 * bundle as long as the way there is better paid by all of them. A remedy that needs two places counts as
 * having one of its own, so there the ending need not be the very best.
 */
Diagnose.practiseClosing = (() => {
  const { sum } = Diagnose.practiseModel;

  // What each ending would cost: its own minutes, and those of the usual referral for what it does not serve.
  function endingCosts(M, state) {
    const mass = sum(state.weight);
    const usual = M.endings[0].minutes;
    return M.endings.map(each => {
      const served = each.serves.reduce((all, at) => all + state.weight[at], 0);
      return mass * each.minutes + usual * Math.max(mass - served, 0);
    });
  }

  // Remedies by falling ratio of cure to cost, bundles of a place kept together.
  function order(M, state, open) {
    const gain = M.remedies.map((each, r) => (open[r] ? state.weight[each.at] * each.cures : 0));
    const ratio = M.remedies.map((each, r) => gain[r] / each.cost);
    const [effective, within] = [[...ratio], ratio.map(each => -each)];
    const places = [...new Set(M.remedies.map(each => each.places).filter(each => each))].sort(
      (a, b) => a - b,
    );
    places.forEach((place, number) => {
      const members = M.remedies.map((_, r) => r).filter(r => M.remedies[r].places === place);
      const sorted = members.sort((one, other) => ratio[other] - ratio[one] || one - other);
      const way = M.access(place & ~state.reached);
      const prefixes = cumulated(sorted.map(r => gain[r])).map(
        (all, at) => all / (cumulated(sorted.map(r => M.remedies[r].cost))[at] + way),
      );
      const end = prefixes.indexOf(Math.max(...prefixes));
      sorted.forEach((r, at) => {
        if (way > 0 && at <= end) effective[r] = prefixes[end];
        within[r] = at + number * M.remedies.length;
      });
    });
    open.forEach((each, r) => {
      if (!each) effective[r] = -1;
    });
    return M.remedies
      .map((_, r) => r)
      .sort((one, other) => effective[other] - effective[one] || within[one] - within[other] || one - other);
  }

  function cumulated(values) {
    let all = 0;
    return values.map(each => (all += each));
  }

  // The least cost over every prefix of the order with the best ending behind it.
  function prefixes(M, state, allow, open) {
    const last = M.referrals + M.handOvers;
    const choosable = endingCosts(M, state).slice(0, allow.handOver ? last : M.referrals);
    const usual = M.endings[0].minutes;
    const serving = choosable.map((_, at) => (at === 0 ? usual : M.endings[at].minutes + usual));
    const mass = sum(state.weight);
    const tries = M.tries - state.starts;
    let best = Math.min(...choosable);
    let [left, spent, reached] = [mass, 0, state.reached];
    for (const [position, r] of order(M, state, open).entries()) {
      if (!open[r] || position >= tries) break;
      const remedy = M.remedies[r];
      spent += left * (remedy.cost + M.access(remedy.places & ~reached));
      reached |= remedy.places;
      left -= state.weight[remedy.at] * remedy.cures;
      const total = spent + Math.min(...choosable.map((cost, at) => cost - (mass - left) * serving[at]));
      if (total < best - 1e-12 * (1 + best)) best = total;
    }
    return best;
  }

  // The mains are restored once at most: of several remedies that do it each is tried as the only one.
  function closing(M, state, allow) {
    const restoring = M.remedies.filter(each => each.restores);
    if (restoring.length < 2) return prefixes(M, state, allow, allow.remedies);
    const alone = one =>
      allow.remedies.map((open, r) => open && (M.remedies[r] === one || !M.remedies[r].restores));
    return Math.min(...restoring.map(one => prefixes(M, state, allow, alone(one))));
  }

  return Object.freeze({ endingCosts, closing });
})();
