import { countWords } from '../base/count-words.ts';
import type { Finding } from '../base/finding.ts';
import type { SiteAnalysis } from '../model/analysis.ts';
import type { Channel } from '../model/channel.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { ChannelIntervals } from '../quality/channel-intervals.ts';
import type { SiteTrack } from '../quality/site-track.ts';

/** From this share of its values outside the limits on, an index is taken to be on another scale. */
const OTHER_SCALE_SHARE = 0.2;

/**
 * Returns what a reader of the results must know about how they came about, in words, one finding per fact.
 * Source  analysis-spec 2 to 4; docs/methods/.
 */
export function analysisFindings(
  channels: readonly ChannelIntervals[],
  sites: readonly SiteTrack[],
  analyses: readonly SiteAnalysis[],
  recordGapsCanBeTold: boolean,
  parameters: AnalysisParameters,
): Finding[] {
  const findings: Finding[] = [];
  const add = (code: string, severity: Finding['severity'], message: string, count = 1) => findings.push({ code, severity, message, count });
  if (analyses.length === 0) add('no-spo2', 'warning', 'The record holds no SpO2 channel, so nothing could be analysed.');
  if (!recordGapsCanBeTold && analyses.length > 0) {
    add(
      'record-gaps-unknown',
      'warning',
      'Beside the oximeter no channel is recorded regularly, so a time in which the recorder stood still cannot be told from a loss at the sensor.',
    );
  }
  analyses.forEach((analysis, i) => {
    const site = sites[i];
    if (site === undefined) return;
    const name = `SpO2 ${analysis.siteKey}`;
    if (analysis.notMonitoredReason !== null) add('not-monitored', 'note', `${name} was not monitored. ${analysis.notMonitoredReason}`);
    const irregular = analysis.segments.filter((s) => s.intervalMs === null);
    if (irregular.length > 0 && irregular.length < analysis.segments.length) {
      const minutes = irregular.reduce((sum, s) => sum + (s.endMs - s.startMs), 0) / 60_000;
      add('irregular-stretch', 'warning', `${name} was recorded at irregular times for ${Math.round(minutes)} min; that time was left out.`, irregular.length);
    }
    const intervals = [...new Set(analysis.segments.flatMap((s) => (s.intervalMs === null ? [] : [s.intervalMs / 1000])))];
    if (intervals.length > 1) {
      add('interval-changes', 'note', `${name} was recorded at different intervals in turn: ${intervals.map((s) => `${Math.round(s * 10) / 10} s`).join(', ')}.`);
    }
    const making = makingWords(site.channel, analysis.intervalMs);
    if (making !== null) add('value-making', 'note', `${name}: ${making}`);
    if (site.channel.deviceHoldS !== undefined) {
      add('device-hold', 'note', `${name}: the device went on showing its last value for up to ${site.channel.deviceHoldS} s, as the mapping states; the high estimates are wider by that much.`);
    }
    const ownEndMs = site.track.tMs[site.track.tMs.length - 1] ?? 0;
    const tailMs = analysis.monitored === null ? 0 : ownEndMs - analysis.monitored.endMs;
    const isCounted = analysis.dropouts.some((d) => d.censoredAtMs !== null);
    if (!isCounted && tailMs > parameters.afterLastGoodS * 1000) {
      add(
        'end-not-counted',
        'note',
        `${name}: ${Math.round(tailMs / 60_000)} min without a value after the last one were not counted, because no other channel goes on for long enough or the sensor was taken off.`,
      );
    }
    if (analysis.statusCounts.held > 0) {
      add(
        'held-display',
        'note',
        `${name}: ${countWords(analysis.statusCounts.held, 'value', 'values')} did not change, with everything else of the sensor, while the ECG did; ${analysis.statusCounts.held === 1 ? 'it counts' : 'they count'} as lost.`,
        analysis.statusCounts.held,
      );
    }
    const perfusion = site.perfusion?.channel;
    const outside = perfusion === undefined ? 0 : shareOutside(perfusion, parameters.perfusionPlausible);
    if (outside >= OTHER_SCALE_SHARE) {
      add(
        'perfusion-scale',
        'warning',
        `Perfusion index ${analysis.siteKey}: ${Math.round(outside * 100)} % of its values lie outside ${parameters.perfusionPlausible.join('–')} %, so it may be an amplitude on another scale. Those values were not used.`,
      );
    }
  });
  if (sites.length > 0 && !channels.some((c) => c.channel.quantity === 'heart-rate' && c.channel.value.some((v) => Number.isFinite(v)))) {
    add('no-heart-rate', 'note', 'There is no heart rate from an ECG, so repeated (held) and disputed SpO2 values could not be looked for.');
  }
  return findings;
}

/** Says what the stated making of the values does to the results; null where nothing is stated. */
function makingWords({ valueMaking }: Channel, intervalMs: number | null): string | null {
  const seconds = (ms: number): string => `${Math.round(ms / 100) / 10} s`;
  switch (valueMaking) {
    case 'mean':
    case 'median':
      return `each stored value is the ${valueMaking} of its interval, as the mapping states.${intervalMs === null ? '' : ` A loss of less than ${seconds(intervalMs)} leaves no trace, and one of less than ${seconds(2 * intervalMs)} may leave none.`}`;
    case 'snapshot':
      return `each stored value is one instantaneous value, as the mapping states.${intervalMs === null ? '' : ` A loss of less than ${seconds(intervalMs)} shows only if it falls on one.`}`;
    case 'hold':
      return 'a stored value may be an older one carried on, as the mapping states. A loss may have begun with the last change of the value before it shows; the high estimates say so.';
    case 'unknown':
    case undefined:
      return null;
  }
}

function shareOutside(channel: Channel, [low, high]: readonly [number, number]): number {
  let numbers = 0;
  let outside = 0;
  for (const v of channel.value) {
    if (!Number.isFinite(v)) continue;
    numbers++;
    if (v < low || v > high) outside++;
  }
  return numbers === 0 ? 0 : outside / numbers;
}
