import { useCallback, useMemo, useState, type JSX } from 'react';
import type { AlignedCourse, EventAlignedCourses } from '../../../core/model/cohort-aligned.ts';
import { alignedChart, type AlignedLag } from '../../charts/aligned-chart.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { numberCell, type ChartTable, type DrawChart } from '../../charts/chart-types.ts';
import { countText, numberText, plainNumberText } from '../../format/number-text.ts';
import { SelectField } from '../../widgets/field.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { useCaseNames } from './case-names.ts';
import { cautionTexts } from './caution-words.ts';
import { sentenceStart } from './cohort-words.ts';
import type { OpenPoint } from './point-cases.tsx';

const QUANTITY_NAMES: Readonly<Record<AlignedCourse['quantity'], string>> = { 'spo2': 'SpO2', 'perfusion-index': 'perfusion index', 'mean-pressure': 'mean arterial pressure' };

/** Returns what a course is of. */
export function courseName(course: Pick<AlignedCourse, 'quantity' | 'siteKey' | 'drug'>): string {
  return `${QUANTITY_NAMES[course.quantity]}${course.siteKey === null ? '' : `, ${siteText(course.siteKey)}`}, after ${course.drug ?? 'any vasopressor'}`;
}

function unitOf(course: AlignedCourse): string {
  if (course.scale === 'percent of baseline') return '%';
  return course.quantity === 'mean-pressure' ? 'mmHg' : 'points';
}

/** Returns a change with its sign. */
function changeText(value: number): string {
  const text = numberText(value, 1);
  return value > 0 && text !== '0.0' ? `+${text}` : text;
}

/** Returns a change as an axis names it. */
function changeTick(value: number): string {
  return value > 0 ? `+${plainNumberText(value, 1)}` : plainNumberText(value, 1);
}

/** Returns minutes from the event with their sign: "−2", "0", "+1.5". */
export function minutesText(lagS: number): string {
  const minutes = lagS / 60;
  const text = numberText(minutes, Number.isInteger(minutes) ? 0 : 1);
  return minutes > 0 ? `+${text}` : text;
}

/** Returns the lags of a course as a picture has them. */
export function courseLags(courses: Pick<EventAlignedCourses, 'lagsS'>, course: AlignedCourse): AlignedLag[] {
  const unit = unitOf(course);
  return courses.lagsS.map((lagS, i) => {
    const [mean = null, lower = null, upper = null] = [course.mean[i], course.lower[i], course.upper[i]];
    const n = course.unitsAtLag[i] ?? 0;
    const limits = lower === null || upper === null ? '' : ` (${changeText(lower)} to ${changeText(upper)})`;
    return { key: String(lagS), lagS, mean, lower, upper, n, figure: mean === null ? 'nothing recorded' : `${changeText(mean)} ${unit}${limits}, ${countText(n, 'case', 'cases')}` };
  });
}

/** Returns the mean course of a quantity around vasopressor boluses. */
export function AlignedPart({ aligned, definition, onPoint }: { readonly aligned: EventAlignedCourses; readonly definition: string; readonly onPoint: (point: OpenPoint) => void }): JSX.Element {
  const names = useCaseNames();
  const [chosen, setChosen] = useState<string | null>(null);
  const mostFirst = useMemo(() => [...aligned.courses].sort((a, b) => b.boluses - a.boluses), [aligned]);
  const course = mostFirst.find((one) => courseName(one) === chosen) ?? mostFirst[0];
  const lags = useMemo(() => (course === undefined ? [] : courseLags(aligned, course)), [aligned, course]);
  const yLabel = course === undefined ? '' : `${sentenceStart(QUANTITY_NAMES[course.quantity])}, change from the minute before, ${unitOf(course)}`;
  const draw = useCallback<DrawChart>((width) => alignedChart(lags, { yLabel, xLabel: 'Minutes from the bolus', eventName: 'bolus', tickText: changeTick, lagText: minutesText }, width), [lags, yLabel]);
  if (course === undefined) return <p className="soft">No vasopressor bolus with values around it is on record in the cases looked at.</p>;
  const table: ChartTable = {
    columns: [{ header: 'Minutes from the bolus', name: 'lag_s' }, { header: 'Mean', name: 'mean', align: 'right' }, { header: 'from', name: 'from', align: 'right' }, { header: 'to', name: 'to', align: 'right' }, { header: 'Cases', name: 'cases', align: 'right' }],
    rows: lags.map((lag) => ({ pointKey: lag.key, cells: [{ value: lag.lagS, text: minutesText(lag.lagS) }, numberCell(lag.mean, changeText), numberCell(lag.lower, changeText), numberCell(lag.upper, changeText), numberCell(lag.n, numberText)] })),
  };
  return (
    <>
      <div className="cohort-controls"><SelectField label="Course of" value={courseName(course)} onChange={setChosen} choices={mostFirst.map((one) => ({ value: courseName(one), label: `${courseName(one)}: ${countText(one.boluses, 'bolus', 'boluses')}` }))} /></div>
      <ChartFigure
        figure="course-around-boluses"
        title={`Mean course of ${courseName(course)}`} fileName={`course-around-boluses-${course.quantity}`} draw={draw} table={table} pointLeadsTo="lists the cases of the course"
        onPoint={() => onPoint({ title: `Cases behind: ${courseName(course)}`, cases: course.bolusCases.map((one) => ({ caseKey: one.caseKey, caseId: names(one.caseKey), figure: `${countText(one.boluses, 'bolus', 'boluses')} looked at` })) })}
        description="The mean over cases, each case weighing the same, of the change from the minute before the bolus. Under the axis stands how many cases have a value there."
        notes={[...cautionTexts([...aligned.cautions, ...course.cautions]), `Definition: ${definition}.`]}
        details={[
          `${countText(course.boluses, 'bolus', 'boluses')} in ${countText(course.units, 'case', 'cases')}; ${numberText(course.bolusesLeftOut)} left out without a value in the minute before, ${numberText(aligned.bolusesTooClose)} of all because another came too shortly before.`,
          `${numberText(aligned.conf * 100)} % band: ${course.band === 'cases drawn anew' ? `whole cases drawn anew, ${numberText(aligned.draws)} draws, seed ${aligned.seed}` : 't over cases'}.`,
        ]}
      />
    </>
  );
}
