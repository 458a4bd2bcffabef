import { countWords } from '../base/count-words.ts';
import type { CaseBounds } from '../model/analysis.ts';
import { STATUS } from '../model/analysis.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';
import { isIrregular } from './dropouts.ts';

/**
 * Returns in words why a sensor without monitored time has none.
 * Source  analysis-spec 4; docs/methods/monitored-time.md.
 */
export function notMonitoredReason(site: SiteTrack, bounds: CaseBounds): string {
  const { tMs, status } = site.track;
  const lowest = informationFrom('any');
  let informed = 0;
  let flagged = 0;
  for (const code of status) {
    if (code >= lowest) informed++;
    if (code === STATUS.flagged) flagged++;
  }
  if (tMs.length === 0) return 'The channel has no recorded value.';
  if (informed === 0 && flagged > 0) {
    return `${tMs.length === 1 ? 'The export itself flags its only value.' : `The export itself flags ${flagged} of its ${tMs.length} values, and none of the others is usable.`} Check that the column of flags was read rightly.`;
  }
  if (informed === 0) return `${tMs.length === 1 ? 'Its only value is not' : `None of its ${tMs.length} values is`} usable, so the sensor was never on.`;
  if (isIrregular(site)) return 'It was recorded at irregular times, so that nobody can say when a value was missing.';
  return `It has ${countWords(informed, 'usable value', 'usable values')}, but none between ${bounds.startFrom} and ${bounds.endFrom}.`;
}
