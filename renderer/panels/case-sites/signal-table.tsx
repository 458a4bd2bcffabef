import type { JSX } from 'react';
import type { SiteAnalysis } from '../../../core/model/analysis.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import { numberText, plainNumberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { cssVariable } from '../../timeline/palette.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import { SiteName } from '../case-view/site-mark.tsx';

const HOUR_MS = 3_600_000;
const COURSE_WIDTH = 150;
const COURSE_HEIGHT = 34;

export interface SignalTableProps {
  readonly sites: readonly SiteAnalysis[];
  readonly parameters: AnalysisParameters;
  readonly styles: ReadonlyMap<string, LineStyle>;
}

/** Returns strength and steadiness of each sensor's signal, side by side. */
export function SignalTable({ sites, parameters, styles }: SignalTableProps): JSX.Element {
  const monitored = sites.filter((site) => site.monitored !== null);
  const levels = monitored.flatMap(({ signal }) => signal.perfusion?.course.filter((v) => v !== null) ?? []);
  const range: readonly [number, number] = [levels.reduce((a, b) => Math.min(a, b), parameters.weakPerfusionIndex), levels.reduce((a, b) => Math.max(a, b), parameters.desirablePerfusionIndex)];
  const perHour = (count: number, site: SiteAnalysis): string => (site.monitoredMs > 0 ? numberText((count * HOUR_MS) / site.monitoredMs, 1) : '–');
  return (
    <table className="plain-table">
      <caption className="visually-hidden">Strength and steadiness of the signal</caption>
      <thead>
        <tr>
          <th scope="col">Site</th><FigureHead figure="perfusion-index">Perfusion index, median (10 % – 90 % of the time)</FigureHead>
          <FigureHead figure="perfusion-below" className="align-right">Time below {plainNumberText(parameters.weakPerfusionIndex)}</FigureHead><FigureHead figure="perfusion-below" className="align-right">Time below {plainNumberText(parameters.desirablePerfusionIndex)}</FigureHead>
          <FigureHead figure="perfusion-index">Course, log scale</FigureHead><FigureHead figure="short-losses" className="align-right">Short losses per hour</FigureHead><FigureHead figure="doubtful-runs" className="align-right">Doubtful runs per hour</FigureHead>
        </tr>
      </thead>
      <tbody>
        {monitored.map((site) => {
          const { perfusion, shortLosses, doubtfulRuns } = site.signal;
          return (
            <tr key={site.siteKey}>
              <th scope="row"><SiteName siteKey={site.siteKey} styles={styles} /></th>
              {perfusion === null ? <td colSpan={4} className="soft">no perfusion index of this sensor in the record</td> : (
                <>
                  <td className="figure">{plainNumberText(perfusion.median, 2)} ({plainNumberText(perfusion.low, 2)} – {plainNumberText(perfusion.high, 2)})</td>
                  <td className="align-right figure">{shareText(perfusion.belowWeakShare)}</td>
                  <td className="align-right figure">{shareText(perfusion.belowDesirableShare)}</td>
                  <td><Course values={perfusion.course} range={range} marks={[parameters.weakPerfusionIndex, parameters.desirablePerfusionIndex]} color={cssVariable(styles.get(site.siteKey)?.color ?? 'inkSoft')} /></td>
                </>
              )}
              <td className="align-right figure">{perHour(shortLosses, site)}</td>
              <td className="align-right figure">{perHour(doubtfulRuns, site)}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/** Returns the medians of the course as a table: what the small pictures show. */
export function CourseTable({ sites, styles, clockOf }: { readonly sites: readonly SiteAnalysis[]; readonly styles: ReadonlyMap<string, LineStyle>; readonly clockOf: (atMs: number) => string }): JSX.Element {
  return (
    <>
      {sites.map((site) => {
        const { perfusion } = site.signal;
        if (perfusion === null) return null;
        return (
          <table key={site.siteKey} className="plain-table">
            <caption><SiteName siteKey={site.siteKey} styles={styles} />: median of each {durationText(perfusion.binMs)}</caption>
            <thead><tr><th scope="col">From</th><FigureHead figure="perfusion-index" className="align-right">Perfusion index</FigureHead></tr></thead>
            <tbody>
              {perfusion.course.map((value, i) => (
                <tr key={i}><th scope="row" className="figure">{clockOf(perfusion.courseStartMs + i * perfusion.binMs)}</th><td className="align-right figure">{plainNumberText(value, 2)}</td></tr>
              ))}
            </tbody>
          </table>
        );
      })}
    </>
  );
}

/** A small line without an axis: decoration beside the written level; the table holds every value. */
function Course({ values, range: [low, high], marks, color }: { readonly values: readonly (number | null)[]; readonly range: readonly [number, number]; readonly marks: readonly number[]; readonly color: string }): JSX.Element {
  const y = (value: number): number => COURSE_HEIGHT - 2 - (Math.log(value / low) / Math.max(1e-9, Math.log(high / low))) * (COURSE_HEIGHT - 4);
  const x = (i: number): number => 2 + (values.length < 2 ? 0 : (i / (values.length - 1)) * (COURSE_WIDTH - 4));
  let path = '';
  let wasDrawn = false;
  values.forEach((value, i) => {
    if (value !== null) path += `${wasDrawn ? 'L' : 'M'}${x(i).toFixed(1)} ${y(value).toFixed(1)}`;
    wasDrawn = value !== null;
  });
  return (
    <svg width={COURSE_WIDTH} height={COURSE_HEIGHT} aria-hidden="true" focusable="false" className="cs-course">
      {marks.map((mark) => <line key={mark} x1="0" x2={COURSE_WIDTH} y1={y(mark)} y2={y(mark)} className="cs-course-mark" />)}
      <path d={path} fill="none" stroke={color} strokeWidth="1.6" />
    </svg>
  );
}
