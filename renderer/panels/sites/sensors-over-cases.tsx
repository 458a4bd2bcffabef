import { useState, type JSX } from 'react';
import type { CohortSensor, CohortSensorCase, SiteCohort } from '../../../core/model/site-cohort.ts';
import { numberText, plainNumberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';
import { DataGrid, type GridColumn } from '../../widgets/data-grid.tsx';
import { SelectField } from '../../widgets/field.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { spreadText } from './cohort-text.ts';

const HOUR_MS = 3_600_000;
const ROWS_SHOWN = 200;

/** Returns strength and steadiness of the signal of every site over the chosen cases, with the cases behind it. */
export function SensorsOverCases({ cohort }: { readonly cohort: SiteCohort }): JSX.Element | null {
  const [chosenKey, setChosenKey] = useState<string | null>(null);
  const sensors = cohort.sensors.filter((sensor) => sensor.cases > 0);
  const chosen = sensors.find((sensor) => sensor.siteKey === chosenKey) ?? [...sensors].sort((a, b) => b.cases - a.cases)[0];
  if (chosen === undefined) return null;
  const { weakPerfusionIndex, desirablePerfusionIndex } = cohort.parameters;
  const index = (value: number): string => plainNumberText(value, 2);
  const rate = (value: number): string => numberText(value, 1);
  return (
    <section aria-label="Strength and steadiness of the signal">
      <h2>Strength and steadiness of the signal</h2>
      <table className="plain-table sites-signal">
        <caption>By site: median of the cases (range)</caption>
        <thead>
          <tr>
            <th scope="col">Site</th><FigureHead figure="sites-over-cases" className="align-right">Cases</FigureHead><FigureHead figure="monitored-time" className="align-right">Monitored</FigureHead><FigureHead figure="perfusion-index">Perfusion index</FigureHead>
            <FigureHead figure="perfusion-below">Time below {plainNumberText(weakPerfusionIndex)}</FigureHead><FigureHead figure="perfusion-below">Time below {plainNumberText(desirablePerfusionIndex)}</FigureHead><FigureHead figure="short-losses">Short losses per hour</FigureHead><FigureHead figure="doubtful-runs">Doubtful runs per hour</FigureHead>
          </tr>
        </thead>
        <tbody>
          {sensors.map((sensor) => (
            <tr key={sensor.siteKey}>
              <th scope="row">{siteText(sensor.siteKey)}</th><td className="align-right figure">{numberText(sensor.cases)}</td><td className="align-right figure">{durationText(sensor.monitoredMs)}</td>
              <td>{sensor.perfusion === null ? <span className="soft">none recorded</span> : spreadText(sensor.perfusion, index)}</td>
              <td>{spreadText(sensor.belowWeakShare, shareText)}</td><td>{spreadText(sensor.belowDesirableShare, shareText)}</td>
              <td>{spreadText(sensor.shortLossesPerH, rate)}</td><td>{spreadText(sensor.doubtfulRunsPerH, rate)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="soft sites-prose">
        Levels of the perfusion index of different makes are different numbers: over cases from several makes the columns of the index say little. Cases recorded at longer intervals show fewer short losses.
      </p>
      <SelectField label="Cases of the site" value={chosen.siteKey} onChange={setChosenKey} choices={sensors.map((sensor) => ({ value: sensor.siteKey, label: siteText(sensor.siteKey) }))} />
      <SensorRows key={chosen.siteKey} sensor={chosen} weak={weakPerfusionIndex} desirable={desirablePerfusionIndex} />
    </section>
  );
}

function SensorRows({ sensor, weak, desirable }: { readonly sensor: CohortSensor; readonly weak: number; readonly desirable: number }): JSX.Element {
  const session = useSession();
  const [rowsShown, setRowsShown] = useState(ROWS_SHOWN);
  const open = (row: CohortSensorCase): void => session.openCase(row.caseKey, 'sites');
  const perHour = (count: number, row: CohortSensorCase): string => (row.monitoredMs > 0 ? numberText((count * HOUR_MS) / row.monitoredMs, 1) : '–');
  const columns: GridColumn<CohortSensorCase>[] = [
    { id: 'name', header: 'Case', cell: (row) => <button type="button" className="case-link" tabIndex={-1} onClick={() => open(row)}>{row.caseId}</button> },
    { id: 'monitored', header: 'Monitored', help: <FigureHelp figure="monitored-time" />, align: 'right', cell: (row) => (row.monitoredMs > 0 ? durationText(row.monitoredMs) : 'not monitored') },
    { id: 'index', header: 'Perfusion index, median', help: <FigureHelp figure="perfusion-index" />, align: 'right', cell: (row) => plainNumberText(row.perfusion?.median ?? null, 2) },
    { id: 'weak', header: `Time below ${plainNumberText(weak)}`, help: <FigureHelp figure="perfusion-below" />, align: 'right', cell: (row) => shareText(row.perfusion?.belowWeakShare ?? null) },
    { id: 'desirable', header: `Time below ${plainNumberText(desirable)}`, help: <FigureHelp figure="perfusion-below" />, align: 'right', cell: (row) => shareText(row.perfusion?.belowDesirableShare ?? null) },
    { id: 'losses', header: 'Short losses per hour', help: <FigureHelp figure="short-losses" />, align: 'right', cell: (row) => perHour(row.shortLosses, row) },
    { id: 'runs', header: 'Doubtful runs per hour', help: <FigureHelp figure="doubtful-runs" />, align: 'right', cell: (row) => perHour(row.doubtfulRuns, row) },
  ];
  return (
    <>
      <div className="grid-scroll">
        <DataGrid label={`Cases with ${siteText(sensor.siteKey)}`} columns={columns} rows={sensor.rows.slice(0, rowsShown)} rowKey={(row) => row.caseKey} onActivate={open} />
      </div>
      <MoreRows missing={sensor.rows.length - rowsShown} onMore={() => setRowsShown(rowsShown + ROWS_SHOWN)}>Show more ({numberText(sensor.rows.length - rowsShown)} further cases)</MoreRows>
    </>
  );
}
