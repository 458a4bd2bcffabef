// What a scenario makes true, worked out from the scenario alone (never from the product's code).

/** Look-back in seconds per vasopressor, the defaults of the product's analysis specification. */
const LOOK_BACK_S = { norepinephrine: 300, phenylephrine: 600, epinephrine: 600, ephedrine: 900, metaraminol: 1200, vasopressin: 1200 };
const POSITION_LOOK_BACK_S = 900;
const INFUSION_LOOK_BACK_S = 900;
/** No link of a scenario may hang on less than this, so that what is expected is beyond doubt. */
const CLEAR_S = 90;

/**
 * Returns the truth of one case.
 * `rowTimes`: seconds at which the export has a row; `sites`: name → on, off, losses, wasOff (taken off on purpose);
 * `possibleRecordGaps`: rows that an import may reject, after which nothing tells them from a stopped recorder.
 * `exposures`: vasopressor boluses, infusion changes and positions with their times.
 */
export function truthOf({ caseId, clock, rowTimes, sites, recordGaps = [], possibleRecordGaps = [], exposures = [], endS }) {
  const recorded = rowTimes.filter((t) => !inside(recordGaps, t));
  const out = {};
  for (const [name, site] of Object.entries(sites)) {
    const on = site.on ?? 0;
    const off = site.off ?? endS + 1;
    const losses = [...(site.losses ?? [])].sort((a, b) => a[0] - b[0]);
    const described = losses.map((loss) => describe(caseId, recorded, loss, on, off));
    assertApart(caseId, recorded, losses);
    out[name] = {
      on_s: on,
      off_s: site.off ?? null,
      losses: described,
      links: described.flatMap((loss, i) => (loss.kept ? linksOf(caseId, name, loss, i, exposures) : [])),
    };
  }
  return {
    case_id: caseId,
    clock,
    interval_s: intervals(recorded),
    rows: recorded.length,
    end_s: endS,
    sites: out,
    record_gaps: recordGaps.map(([start_s, end_s]) => ({ start_s, end_s })),
    possible_record_gaps: possibleRecordGaps.map(([start_s, end_s]) => ({ start_s, end_s })),
    blind: blindOf(sites, recordGaps, endS).map((span) => describe(caseId, recorded, span, 0, endS + 1)),
    exposures: exposures.map((e) => ({ kind: e.kind, label: e.label, at_s: e.at, end_s: e.end ?? null })),
  };
}

const inside = (spans, t) => spans.some(([from, to]) => t >= from && t < to);

function describe(caseId, rowTimes, [start, end], on, off) {
  const lost = rowTimes.filter((t) => t >= start && t < end);
  const before = rowTimes.filter((t) => t < start && t >= on).at(-1);
  const after = rowTimes.find((t) => t >= end && t < off);
  const restored = after !== undefined;
  let kept = false;
  // Between two rows: the export holds nothing of it.
  if (lost.length === 0) return { start_s: start, end_s: end, leaves_trace: false, kept: false };
  if (before !== undefined && restored) {
    const mid = (lost.at(-1) - lost[0] + after - before) / 2;
    if (mid > 27 && mid < 33) throw new Error(`${caseId}: a loss at ${start} s is too near the minimum of 30 s`);
    kept = mid >= 30;
  } else if (before !== undefined) kept = rowTimes.at(-1) - start > 300;
  return { start_s: start, end_s: restored ? end : null, leaves_trace: true, kept };
}

function assertApart(caseId, rowTimes, losses) {
  for (let i = 1; i < losses.length; i++) {
    const between = rowTimes.filter((t) => t >= losses[i - 1][1] && t < losses[i][0]);
    const lasts = between.length === 0 ? 0 : losses[i][0] - losses[i - 1][1];
    if (between.length < 3 || lasts < 20) throw new Error(`${caseId}: losses before ${losses[i][0]} s are too close together to say how many there are`);
  }
}

function linksOf(caseId, site, loss, index, exposures) {
  const out = [];
  for (const e of exposures) {
    const lead = loss.start_s - e.at;
    if (e.end !== undefined) {
      if (lead > CLEAR_S && loss.start_s < e.end - CLEAR_S) out.push({ loss: index, kind: e.kind, label: e.label, at_s: e.at });
      else if (lead > 0 && loss.start_s < e.end + CLEAR_S) throw new Error(`${caseId}: ${site} loss at ${loss.start_s} s hangs on the edge of ${e.label}`);
      continue;
    }
    const window = e.kind === 'vasopressor bolus' ? LOOK_BACK_S[e.label] : e.kind === 'position' ? POSITION_LOOK_BACK_S : INFUSION_LOOK_BACK_S;
    if (window === undefined) throw new Error(`${caseId}: no look-back for ${e.label}`);
    if (lead > CLEAR_S / 2 && lead < window - CLEAR_S) out.push({ loss: index, kind: e.kind, label: e.label, at_s: e.at });
    else if (lead > -CLEAR_S / 2 && lead < window + CLEAR_S) throw new Error(`${caseId}: ${site} loss at ${loss.start_s} s hangs on the edge of ${e.label} at ${e.at} s`);
  }
  return out;
}

function blindOf(sites, recordGaps, endS) {
  const seen = new Uint8Array(endS + 1);
  let first = endS;
  let last = 0;
  for (const site of Object.values(sites)) {
    for (let t = site.on ?? 0; t < Math.min(endS + 1, site.off ?? endS + 1); t++) {
      if (inside(site.losses ?? [], t)) continue;
      seen[t] = 1;
      first = Math.min(first, t);
      last = Math.max(last, t);
    }
  }
  const out = [];
  let start = -1;
  for (let t = first; t <= last; t++) {
    const isBlind = seen[t] === 0 && !inside(recordGaps, t);
    if (isBlind && start < 0) start = t;
    if (!isBlind && start >= 0) {
      out.push([start, t]);
      start = -1;
    }
  }
  return out;
}

function intervals(rowTimes) {
  const counts = new Map();
  for (let i = 1; i < rowTimes.length; i++) {
    const step = rowTimes[i] - rowTimes[i - 1];
    counts.set(step, (counts.get(step) ?? 0) + 1);
  }
  return [...counts].filter(([, count]) => count > 5).map(([step]) => step).sort((a, b) => a - b);
}
