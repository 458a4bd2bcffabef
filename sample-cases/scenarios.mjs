// The invented cases of Kelpmouth General Hospital, a hospital in a harbour town that does not exist.
// README.md in this folder says what each of them is for.
import { CLOCKS, delimited, encode, numberText } from './layouts.mjs';
import { simulate } from './signals.mjs';
import { truthOf } from './truth.mjs';

const HOSPITAL = 'Kelpmouth General Hospital';

const utc = (date, time) => Date.parse(`${date}T${time}Z`);
const every = (endS, stepS) => Array.from({ length: Math.floor(endS / stepS) + 1 }, (_, i) => i * stepS);
const column = (heading, values, digits) => ({ heading, digits, at: (t) => values[t] });

/** Columns of one sensor: SpO2, pulse rate, perfusion index. */
function sensorColumns(sensor, [spo2, pulse, index]) {
  const out = [column(spo2, sensor.spo2, 0), column(pulse, sensor.pulse, 0)];
  if (index !== undefined) out.push(column(index, sensor.index, 2));
  return out;
}

/** Columns that hold a value only where the cuff measured. */
function cuffColumns(signals, stamps, [sys, dia, mean]) {
  const only = (values, shift) => (t) => (stamps.includes(t) ? values[t] + shift : NaN);
  return [
    { heading: sys, digits: 0, at: only(signals.artSys, -3) },
    { heading: dia, digits: 0, at: only(signals.artDia, 2) },
    { heading: mean, digits: 0, at: only(signals.artMean, 0) },
  ];
}

/** Returns heading and rows of a wide table: one row per instant. */
function wide({ startMs, rowTimes, columns, clock, timeHeading, mark = '.', filler = '', isEmpty = () => false }) {
  const rows = rowTimes.map((t) => [
    CLOCKS[clock](startMs + t * 1000, t),
    ...columns.map((c) => numberText(isEmpty(t) ? NaN : c.at(t), c.digits, mark, filler)),
  ]);
  return [[timeHeading, ...columns.map((c) => c.heading)], ...rows];
}

/** Returns the rows of a plain list: administrations or events, the first cell a time in seconds. */
function list({ startMs, clock, headings, entries }) {
  return [headings, ...entries.map(([t, ...cells]) => [CLOCKS[clock](startMs + t * 1000, t), ...cells])];
}

const bolus = (label, at) => ({ kind: 'vasopressor bolus', label, at });
const infusion = (label, at) => ({ kind: 'infusion change', label, at });
const position = (label, at, end) => ({ kind: 'position', label, at, ...(end === undefined ? {} : { end }) });

/** Perfusion knots of a slow fade that ends in a loss and comes back slowly. */
const fade = (fromS, lossS, backS, depth) => [[fromS, 1], [lossS, depth], [backS, depth * 1.3], [backS + 240, 1]];

function fadeAfterBolus() {
  const folder = 'K01-fade-after-bolus';
  const startMs = utc('2031-03-03', '07:58:00');
  const endS = 7200;
  const losses = [[2640, 2850], [4860, 4955]];
  const sites = { finger: { on: 40, off: 7170, losses, factor: [[0, 1], ...fade(2410, 2640, 2850, 0.13), ...fade(4745, 4860, 4955, 0.16)] } };
  const signals = simulate({
    seed: 101, seconds: endS, sites,
    saturation: [[0, 96.5], [200, 99], [2600, 98.6], [2760, 95.4], [2880, 96], [3120, 98.6], [4800, 98.4], [7200, 98.9]],
    heart: [[0, 76], [300, 84], [600, 66], [2380, 63], [2440, 58], [2900, 66], [7000, 68], [7200, 82]],
    mean: [[0, 94], [420, 64], [960, 76], [1700, 72], [2280, 57], [2400, 56], [2560, 84], [2900, 74], [4200, 72], [4700, 57], [4830, 82], [5200, 73], [5900, 60], [6120, 76], [7200, 90]],
    temperature: [[0, 36.6], [7200, 36.1]],
  });
  const rowTimes = every(endS, 1);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger (%)', 'Pulse rate finger (/min)', 'Perfusion index finger (%)']),
    column('Heart rate ECG (/min)', signals.heartRate, 0),
    column('ABP systolic (mmHg)', signals.artSys, 0), column('ABP diastolic (mmHg)', signals.artDia, 0), column('ABP mean (mmHg)', signals.artMean, 0),
    column('Core temperature (Cel)', signals.temperature, 1), column('EtCO2 (mmHg)', signals.carbon, 0),
  ];
  const drugs = [
    [180, 'fentanyl', '100', 'ug', 'IV'], [240, 'propofol', '150', 'mg', 'IV'], [270, 'rocuronium', '40', 'mg', 'IV'], [780, 'phenylephrine', '50', 'ug', 'IV'],
    [2400, 'phenylephrine', '100', 'ug', 'IV'], [4740, 'norepinephrine', '8', 'ug', 'IV'], [6000, 'ephedrine', '6', 'mg', 'IV'], [6900, 'sugammadex', '200', 'mg', 'IV'],
  ];
  const events = [[0, 'Anaesthesia start'], [900, 'Surgery start'], [6780, 'Surgery end'], [7200, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['trends.csv', encode(delimited(wide({ startMs, rowTimes, columns, clock: 'iso', timeHeading: 'Time' }), ',', '\n'), 'utf-8')],
      ['drugs.csv', encode(delimited(list({ startMs, clock: 'iso', headings: ['Time', 'Drug', 'Dose', 'Unit', 'Route'], entries: drugs }), ',', '\n'), 'utf-8')],
      ['events.csv', encode(delimited(list({ startMs, clock: 'iso', headings: ['Time', 'Event'], entries: events }), ',', '\n'), 'utf-8')],
    ],
    truths: [truthOf({
      caseId: folder, clock: 'absolute', rowTimes, sites, endS,
      exposures: [bolus('phenylephrine', 780), bolus('phenylephrine', 2400), bolus('norepinephrine', 4740), bolus('ephedrine', 6000)],
    })],
  };
}

function armsTucked() {
  const folder = 'K02-arms-tucked';
  const startMs = utc('2031-03-17', '08:10:00');
  const endS = 10800;
  const losses = [[2400, 2445], [2505, 2550], [2610, 2655], [2760, 4080], [6300, 6345]];
  const sites = { finger: { on: 30, losses, factor: [[0, 1], [1500, 1], [1620, 0.75], [9600, 0.7], [9720, 1.2], [10800, 1.1]] } };
  const signals = simulate({
    seed: 202, seconds: endS, sites,
    heart: [[0, 70], [400, 62], [5800, 60], [6000, 66], [10800, 74]],
    mean: [[0, 88], [500, 70], [2900, 61], [3120, 74], [5700, 60], [6000, 78], [10800, 82]],
  });
  const rowTimes = every(endS, 5);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger (%)', 'Pulse finger (/min)', 'PI finger (%)']),
    column('HR (/min)', signals.heartRate, 0),
    ...cuffColumns(signals, every(endS, 180), ['NIBP sys (mmHg)', 'NIBP dia (mmHg)', 'NIBP mean (mmHg)']),
    column('Oesophageal temp (°C)', signals.temperature, 1), column('EtCO2 (kPa)', signals.carbon.map((v) => v / 7.50062), 1),
  ];
  const clock = 'day first, slashes';
  const drugs = [[210, 'Propofol 180 mg i.v.'], [220, 'Remifentanil infusion started'], [3000, 'Ephedrine 6 mg i.v.'], [5900, 'Phenylephrine 100 µg i.v.'], [10200, 'Ondansetron 4 mg i.v.']];
  const events = [[0, 'Anaesthesia start'], [1500, 'Arms tucked'], [1800, 'Surgery start'], [9500, 'Surgery end'], [9600, 'Arms untucked'], [10800, 'Anaesthesia end']];
  const text = (rows) => encode(delimited(rows, ';', '\r\n'), 'latin-1');
  return {
    folder,
    files: [
      ['trends.csv', text(wide({ startMs, rowTimes, columns, clock, timeHeading: 'Date and time', mark: ',' }))],
      ['administrations.csv', text(list({ startMs, clock, headings: ['Date and time', 'Administration'], entries: drugs }))],
      ['events.csv', text(list({ startMs, clock, headings: ['Date and time', 'Event'], entries: events }))],
    ],
    truths: [truthOf({
      caseId: folder, clock: 'absolute', rowTimes, sites, endS,
      exposures: [position('arms tucked', 1500, 9600), bolus('ephedrine', 3000), bolus('phenylephrine', 5900)],
    })],
  };
}

function cuffOnSameArm() {
  const folder = 'K03-cuff-on-sensor-arm';
  const startMs = utc('2031-05-12', '09:15:00');
  const endS = 7200;
  const stamps = every(endS, 300).slice(1);
  const lengths = [44, 36, 24, 48, 40, 52, 36, 22, 44, 58, 40, 46, 36, 38, 24, 50, 42, 36, 44, 40, 48];
  const losses = stamps.filter((t) => t <= 6300).map((t, i) => [t - 4 - lengths[i], t - 4]);
  const factor = [[0, 1], ...losses.flatMap(([from, to]) => [[from - 8, 1], [from, 0.1], [to, 0.3], [to + 12, 1.7], [to + 70, 1]])];
  const sites = { finger: { on: 20, losses, factor } };
  const signals = simulate({ seed: 303, seconds: endS, sites, heart: [[0, 80], [500, 71], [7200, 75]], mean: [[0, 90], [600, 74], [4000, 70], [7200, 84]] });
  const rowTimes = every(endS, 2);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger', 'Pulse rate finger', 'Perfusion index finger']),
    column('Heart rate', signals.heartRate, 0),
    ...cuffColumns(signals, stamps, ['NIBP systolic', 'NIBP diastolic', 'NIBP mean']),
  ];
  const clock = 'day, month name';
  const [heading, ...rows] = wide({ startMs, rowTimes, columns, clock, timeHeading: 'Recorded at' });
  const units = ['', '%', '/min', '%', '/min', 'mmHg', 'mmHg', 'mmHg'];
  const trends = `${HOSPITAL}\nTrend export, operating theatres\nInterval of two seconds\n\n${delimited([heading, units, ...rows], '|', '\n')}\nEnd of export\nRows written: ${rows.length}\n`;
  const events = [[0, 'Anaesthesia start'], [600, 'Surgery start'], [6420, 'BP cuff moved to the other arm'], [6900, 'Surgery end'], [7200, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['trend.txt', encode(trends, 'utf-8')],
      ['events.txt', encode(delimited(list({ startMs, clock, headings: ['Recorded at', 'Event'], entries: events }), '|', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS })],
  };
}

function abruptDisconnection() {
  const folder = 'K04-abrupt-disconnection';
  const startMs = utc('2031-04-09', '13:20:00');
  const endS = 4200;
  const sites = { finger: { on: 15, losses: [[2100, 2480]], index: 3.1 } };
  const signals = simulate({ seed: 404, seconds: endS, sites, saturation: [[0, 98.5], [2150, 98.3], [2440, 88], [2500, 89], [2760, 97.8], [4200, 98.2]], heart: [[0, 72], [2300, 74], [2480, 92], [2900, 76]] });
  const rowTimes = every(endS, 1);
  const columns = [...sensorColumns(signals.sites.finger, ['SpO2 finger %', 'Pulse finger /min', 'PI finger']), column('HR ECG /min', signals.heartRate, 0), column('EtCO2 mmHg', signals.carbon, 0)];
  const text = (rows) => encode(delimited(rows, '\t', '\r\n'), 'utf-16le with mark');
  const events = [[0, 'Anaesthesia start'], [1980, 'Turned to left lateral'], [2475, 'Sensor cable found unplugged, plugged in again'], [4200, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['numerics.txt', text(wide({ startMs, rowTimes, columns, clock: 'iso', timeHeading: 'DateTime' }))],
      ['notes.txt', text(list({ startMs, clock: 'iso', headings: ['DateTime', 'Note'], entries: events }))],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, exposures: [position('left lateral', 1980)] })],
  };
}

function moveToNasalAla() {
  const folder = 'K05-move-to-nasal-ala';
  const startMs = utc('2031-04-22', '10:05:00');
  const endS = 8400;
  const sites = {
    'finger': { on: 60, losses: [[1500, 1590], [3000, endS + 1]], factor: [[0, 1], ...fade(1210, 1500, 1590, 0.2), [2590, 1], [3000, 0.08]] },
    'nasal ala': { on: 3380, losses: [[6000, 6020]] },
  };
  const signals = simulate({
    seed: 505, seconds: endS, sites,
    heart: [[0, 84], [600, 70], [2500, 78], [2900, 66], [8400, 72]],
    mean: [[0, 86], [700, 62], [1150, 58], [1500, 70], [2500, 56], [2900, 75], [6000, 72], [8400, 80]],
    temperature: [[0, 36.3], [8400, 35.8]],
  });
  const rowTimes = every(endS, 5);
  const named = [
    ['SpO2 finger', signals.sites.finger.spo2, 0, '%'], ['Pulse rate finger', signals.sites.finger.pulse, 0, '/min'], ['Perfusion index finger', signals.sites.finger.index, 2, '%'],
    ['SpO2 nasal ala', signals.sites['nasal ala'].spo2, 0, '%'], ['Pulse rate nasal ala', signals.sites['nasal ala'].pulse, 0, '/min'], ['Perfusion index nasal ala', signals.sites['nasal ala'].index, 2, '%'],
    ['Heart rate', signals.heartRate, 0, '/min'], ['ABP mean', signals.artMean, 0, 'mm[Hg]'],
  ];
  const rows = [['Timestamp', 'Name', 'Value', 'Unit', 'Source']];
  for (const t of rowTimes) {
    const stamp = CLOCKS.iso(startMs + t * 1000, t);
    for (const [name, values, digits, unit] of named) if (!Number.isNaN(values[t])) rows.push([stamp, name, numberText(values[t], digits, '.', ''), unit, 'bedside']);
    if (t % 60 === 0) rows.push([stamp, 'Core temperature', numberText(signals.temperature[t], 1, '.', ''), 'Cel', 'probe']);
  }
  const drugs = [
    [150, 'propofol 140 mg IV'], [1200, 'Phenylephrine infusion started at 25 mcg/min'], [2580, 'Phenylephrine infusion increased to 50 mcg/min'], [2820, 'ephedrine 6 mg IV'],
    [7800, 'Phenylephrine infusion stopped'],
  ];
  const events = [[0, 'Anaesthesia start'], [900, 'Surgery start'], [3370, 'Sensor moved from finger to nasal ala'], [7900, 'Surgery end'], [8400, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['values.tsv', encode(delimited(rows, '\t', '\n'), 'utf-8')],
      ['medication.tsv', encode(delimited(list({ startMs, clock: 'iso', headings: ['Timestamp', 'Medication'], entries: drugs }), '\t', '\n'), 'utf-8')],
      ['events.tsv', encode(delimited(list({ startMs, clock: 'iso', headings: ['Timestamp', 'Event'], entries: events }), '\t', '\n'), 'utf-8')],
    ],
    truths: [truthOf({
      caseId: folder, clock: 'absolute', rowTimes, sites, endS,
      exposures: [infusion('phenylephrine', 1200), infusion('phenylephrine', 2580), bolus('ephedrine', 2820)],
    })],
  };
}

function twoSitesAtOnce() {
  const folder = 'K06-finger-and-ear';
  const startMs = utc('2031-03-14', '12:40:00');
  const endS = 5400;
  const sites = {
    'finger': { on: 25, losses: [[1200, 1290], [2700, 2880], [4000, 4012]], factor: [[0, 1], [2400, 1], ...fade(2420, 2700, 2880, 0.2)] },
    'ear lobe': { on: 70, losses: [[3300, 3360]] },
  };
  const signals = simulate({
    seed: 606, seconds: endS, sites,
    saturation: [[0, 98.4], [4300, 98.2], [4410, 84], [4460, 83], [4550, 97], [5400, 98]],
    heart: [[0, 78], [500, 66], [4350, 68], [4450, 86], [4700, 70]],
    mean: [[0, 84], [600, 68], [2300, 58], [2520, 77], [5400, 80]],
  });
  const rowTimes = every(endS, 1);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger', 'Pulse finger', 'PI finger']),
    ...sensorColumns(signals.sites['ear lobe'], ['SpO2 ear lobe', 'Pulse ear lobe', 'PI ear lobe']),
    column('HR', signals.heartRate, 0),
    ...cuffColumns(signals, every(endS, 300), ['NIBP sys', 'NIBP dia', 'NIBP mean']),
  ];
  const clock = 'month first, 12-hour';
  const drugs = [[160, 'propofol', '160', 'mg'], [2400, 'metaraminol', '0.5', 'mg']];
  return {
    folder,
    files: [
      ['trends.csv', encode(delimited(wide({ startMs, rowTimes, columns, clock, timeHeading: 'Date/Time' }), ',', '\r\n'), 'utf-8 with mark')],
      ['meds.csv', encode(delimited(list({ startMs, clock, headings: ['Date/Time', 'Medication', 'Dose', 'Dose unit'], entries: drugs }), ',', '\r\n'), 'utf-8 with mark')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, exposures: [bolus('metaraminol', 2400)] })],
  };
}

function blindInterval() {
  const folder = 'K07-blind-interval';
  const startMs = utc('2031-05-06', '06:30:00');
  const endS = 9000;
  const sites = {
    finger: { on: 12, losses: [[2000, 2300], [5200, 6100]], factor: [[0, 1], ...fade(1700, 2000, 2300, 0.3), ...fade(4810, 5200, 6100, 0.1)] },
    forehead: { on: 40, losses: [[2120, 2240], [5500, 5800], [7400, 7440]] },
  };
  const signals = simulate({ seed: 707, seconds: endS, sites, mean: [[0, 88], [800, 70], [1900, 62], [2300, 74], [4700, 52], [5100, 71], [9000, 78]], heart: [[0, 82], [900, 68], [5000, 88], [6500, 72]] });
  const rowTimes = every(endS, 2);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['spo2_finger', 'pulse_rate_finger', 'perfusion_index_finger']),
    ...sensorColumns(signals.sites.forehead, ['spo2_forehead', 'pulse_rate_forehead', 'perfusion_index_forehead']),
    column('heart_rate', signals.heartRate, 0), column('abp_mean', signals.artMean, 0),
  ];
  const drugs = [[4800, 'vasopressin', '1', 'units']];
  return {
    folder,
    files: [
      ['signals.csv', encode(delimited(wide({ startMs, rowTimes, columns, clock: 'unix ms', timeHeading: 'time_ms' }), ',', '\n'), 'utf-8')],
      ['boluses.csv', encode(delimited(list({ startMs, clock: 'unix ms', headings: ['time_ms', 'drug', 'dose', 'unit'], entries: drugs }), ',', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, exposures: [bolus('vasopressin', 4800)] })],
  };
}

function recordGap() {
  const folder = 'K08-record-gap';
  const startMs = utc('2031-02-18', '09:00:00');
  const endS = 10800;
  const noRows = [4000, 4540];
  const emptyRows = [8200, 8340];
  const sites = { finger: { losses: [[2400, 2500], [6000, 6045]] } };
  const signals = simulate({ seed: 808, seconds: endS, sites, heart: [[0, 75], [900, 64], [10800, 70]] });
  const rowTimes = every(endS, 10).filter((t) => t < noRows[0] || t >= noRows[1]);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger (%)', 'Pulse finger (/min)', 'PI finger (%)']),
    column('HR (/min)', signals.heartRate, 0),
    ...cuffColumns(signals, every(endS, 300), ['NIBP sys (mmHg)', 'NIBP dia (mmHg)', 'NIBP mean (mmHg)']),
    column('Temp core (Cel)', signals.temperature, 1),
  ];
  const table = wide({ startMs, rowTimes, columns, clock: 'iso T with offset', timeHeading: 'time', isEmpty: (t) => t >= emptyRows[0] && t < emptyRows[1] });
  return {
    folder,
    files: [['record.csv', encode(delimited(table, ',', '\n'), 'utf-8')]],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, recordGaps: [noRows, emptyRows] })],
  };
}

function minuteData() {
  const folder = 'K09-minute-data';
  const startMs = utc('2031-07-08', '07:45:00');
  const endS = 14400;
  const sites = { finger: { on: 100, losses: [[3600, 3900], [7210, 7250], [9050, 9100], [11970, 12100]] } };
  const signals = simulate({ seed: 909, seconds: endS, sites, heart: [[0, 79], [900, 62], [14400, 70]], mean: [[0, 96], [900, 72], [14400, 83]] });
  const rowTimes = every(endS, 60);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger [%]', 'Pulse rate finger [/min]']),
    column('Heart rate [/min]', signals.heartRate, 0),
    ...cuffColumns(signals, every(endS, 300), ['NIBP sys [mmHg]', 'NIBP dia [mmHg]', 'NIBP mean [mmHg]']),
    column('EtCO2 [mmHg]', signals.carbon, 0),
  ];
  const clock = 'day first, slashes';
  const events = [[0, 'Anaesthesia start'], [1500, 'Surgery start'], [13500, 'Surgery end'], [14400, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['minutes.csv', encode(delimited(wide({ startMs, rowTimes, columns, clock, timeHeading: 'Time', filler: '---' }), ',', '\n'), 'utf-8')],
      ['events.csv', encode(delimited(list({ startMs, clock, headings: ['Time', 'Event'], entries: events }), ',', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS })],
  };
}

function withoutLoss() {
  const folder = 'K10-without-loss';
  const endS = 11500;
  const sites = { finger: { on: 35, off: 11460, index: 4.2 } };
  const signals = simulate({ seed: 1010, seconds: endS, sites, heart: [[0, 72], [600, 60], [5000, 64], [11500, 73]], mean: [[0, 90], [700, 66], [3600, 62], [3800, 78], [7000, 63], [7200, 77], [11500, 88]] });
  const rowTimes = every(endS, 5);
  const columns = [
    { heading: 'SpO2 finger', digits: 2, at: (t) => signals.sites.finger.spo2[t] / 100 },
    column('Pulse rate finger', signals.sites.finger.pulse, 0), column('Perfusion index finger', signals.sites.finger.index, 2),
    column('Heart rate', signals.heartRate, 0), column('ABP mean', signals.artMean, 0),
  ];
  const drugs = [[140, 'propofol', '170', 'mg'], [3640, 'phenylephrine', '100', 'mcg'], [7040, 'phenylephrine', '100', 'mcg']];
  return {
    folder,
    files: [
      ['samples.csv', encode(delimited(wide({ startMs: 0, rowTimes, columns, clock: 'elapsed s', timeHeading: 'Elapsed (s)' }), ',', '\n'), 'utf-8')],
      ['drugs.csv', encode(delimited(list({ startMs: 0, clock: 'elapsed s', headings: ['Elapsed (s)', 'Drug', 'Dose', 'Unit'], entries: drugs }), ',', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'elapsed', rowTimes, sites, endS, exposures: [bolus('phenylephrine', 3640), bolus('phenylephrine', 7040)] })],
  };
}

function bypass() {
  const folder = 'K11-bypass';
  const startMs = utc('2031-05-19', '07:30:00');
  const endS = 18000;
  const sites = { finger: { on: 50, losses: [[2010, 2070], [5400, 10080], [11280, 11460]], factor: [[0, 1], [10080, 0.4], [10800, 0.6], [11280, 0.2], [11460, 0.25], [11800, 0.8]] } };
  const signals = simulate({
    seed: 1111, seconds: endS, sites,
    heart: [[0, 68], [5700, 64], [5760, 0], [9360, 0], [9375, 70], [18000, 84]],
    mean: [[0, 84], [900, 70], [5380, 66], [5420, 58], [10060, 62], [10200, 63], [10500, 74], [18000, 76]],
    pulsePressure: [[0, 50], [5380, 46], [5430, 1], [9990, 1], [10070, 42], [18000, 48]],
    carbon: [[0, 35], [5460, 33], [5500, 0], [9960, 0], [10010, 34], [18000, 36]],
    temperature: [[0, 36.4], [5400, 36], [6600, 32.2], [8700, 32.4], [9900, 36.4], [18000, 36.2]],
  });
  const rowTimes = every(endS, 15);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger', 'Pulse rate finger', 'Perfusion index finger']),
    column('Heart rate', signals.heartRate, 0),
    column('ABP sys', signals.artSys, 0), column('ABP dia', signals.artDia, 0), column('ABP mean', signals.artMean, 0),
    column('Core temp', signals.temperature, 1), column('EtCO2', signals.carbon, 0),
  ];
  const [heading, ...rows] = wide({ startMs, rowTimes, columns, clock: 'iso', timeHeading: 'Time' });
  const units = ['', '%', '/min', '%', '/min', 'mmHg', 'mmHg', 'mmHg', 'Cel', 'mmHg'];
  const trends = `${HOSPITAL}\nWritten for quality review\n\n${delimited([heading, units, ...rows], '\t', '\n')}\n*** end of data ***\n`;
  const drugs = [[200, 'Fentanyl', '250', 'ug', 'bolus'], [10200, 'Norepinephrine', '0.05', 'ug/kg/min', 'infusion'], [10800, 'Norepinephrine', '0.08', 'ug/kg/min', 'infusion'], [15000, 'Norepinephrine', '0', 'ug/kg/min', 'infusion']];
  const events = [
    [0, 'Anaesthesia start'], [1800, 'Surgery start'], [5400, 'On bypass'], [5700, 'Aortic cross-clamp on'], [9300, 'Aortic cross-clamp off'], [10080, 'Off bypass'],
    [16800, 'Surgery end'], [18000, 'Anaesthesia end'],
  ];
  return {
    folder,
    files: [
      ['trends.tsv', encode(trends, 'utf-8')],
      ['infusions.tsv', encode(delimited(list({ startMs, clock: 'iso', headings: ['Time', 'Drug', 'Dose or rate', 'Unit', 'Type'], entries: drugs }), '\t', '\n'), 'utf-8')],
      ['events.tsv', encode(delimited(list({ startMs, clock: 'iso', headings: ['Time', 'Event'], entries: events }), '\t', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, exposures: [infusion('norepinephrine', 10200), infusion('norepinephrine', 10800)] })],
  };
}

function messyFile() {
  const folder = 'K12-messy-file';
  const startMs = utc('2031-07-02', '08:05:00');
  const endS = 5400;
  const fillers = [[[1500, 1560], '---', '---'], [[2100, 2220], '127', '0'], [[3300, 3360], '?', 'NaN'], [[4500, 4700], '-1', '32767']];
  const sites = { finger: { losses: fillers.map(([span]) => span) } };
  const signals = simulate({ seed: 1212, seconds: endS, sites, heart: [[0, 74], [600, 65], [5400, 72]] });
  const rowTimes = every(endS, 5);
  const stamps = every(endS, 300);
  const finger = signals.sites.finger;
  const stamp = (t) => CLOCKS.iso(startMs + t * 1000, t);
  const plain = (t) => {
    const filler = fillers.find(([[from, to]]) => t >= from && t < to);
    const sensor = filler === undefined ? [numberText(finger.spo2[t], 0, '.', ''), numberText(finger.pulse[t], 0, '.', ''), numberText(finger.index[t], 2, '.', '')] : [filler[1], filler[2], filler[1]];
    const cuff = stamps.includes(t) ? [signals.artSys[t], signals.artDia[t], signals.artMean[t]].map((v) => v.toFixed(0)) : ['', '', ''];
    return [stamp(t), ...sensor, signals.heartRate[t].toFixed(0), ...cuff, ''].join(',');
  };
  const heading = 'Time,SpO2 finger (%),Pulse rate finger (/min),PI finger (%),Heart rate (/min),NIBP sys (mmHg),NIBP dia (mmHg),NIBP mean (mmHg),Remark';
  const lines = [HOSPITAL, 'Archive export K12', '', heading, ',%,/min,%,/min,mmHg,mmHg,mmHg,'];
  const must = [];
  const may = [];
  const put = (text) => {
    lines.push(...text.split('\n'));
    return lines.length - text.split('\n').length + 1;
  };
  const reject = (text, why) => must.push({ line: put(text), why });
  const doubt = (text, why) => may.push({ line: put(text), why });
  for (const t of rowTimes) {
    if (t === 600) reject(`31.06.2031 25:61:00,98,66,2.10,66,,,,`, 'no such date');
    else if (t === 605) reject(`??:??:??,98,66,2.10,66,,,,`, 'unreadable time');
    else if (t === 610) reject(`not recorded,98,66,2.10,66,,,,`, 'unreadable time');
    else if (t === 1200) doubt(`${stamp(t)},97,66`, 'short row');
    else if (t === 1205) doubt(stamp(t), 'short row');
    else if (t === 1800) reject(`${stamp(t)},98,66,"2.10,66,,,,`, 'unclosed quote');
    else if (t === 3000) put(`${stamp(t)},98,67,2.31,66,,,,"surgeon said ""fine"", table\nlowered"`);
    else if (t === 3600) {
      put(plain(t));
      doubt(`${stamp(t)},88,66,2.00,66,,,,`, 'second value at one instant');
    } else if (t === 4200) doubt(`${plain(t)},extra,cells`, 'more cells than headings');
    else if (t === 5000) put(`${stamp(t)},245,66,2.20,66,,,,`);
    else put(plain(t));
    if (t === 2400) reject(heading, 'repeated heading');
    if (t === 2700) doubt(plain(t), 'equal row');
  }
  reject('Mean,97.9,66,2.2,66,,,,', 'totals');
  doubt(`Rows written,${rowTimes.length}`, 'footer');
  doubt('End of export', 'footer');
  // Where the only row of an instant cannot be read, the record says nothing: to the reader of the rows the recorder stood still.
  const recordGaps = [[600, 615], [1800, 1805]];
  const possibleRecordGaps = [[1205, 1210], [4200, 4205]];
  const truth = truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, recordGaps, possibleRecordGaps });
  return {
    folder,
    files: [['export.csv', encode(`${lines.join('\n')}\n`, 'utf-8')]],
    truths: [{ ...truth, rejected: { file: 'export.csv', must, may } }],
  };
}

function coldPatient() {
  const folder = 'K13-cold-hands';
  const startMs = utc('2031-06-10', '22:20:00');
  const endS = 10800;
  const sites = { finger: { losses: [[4200, 4500], [5400, 6000], [7020, 7320]], index: 1.4, factor: [[0, 1], [1800, 0.9], [4200, 0.18], [6000, 0.2], [7020, 0.15], [7600, 0.2], [9600, 1.2]] } };
  const signals = simulate({
    seed: 1313, seconds: endS, sites,
    temperature: [[0, 36.1], [3600, 35.3], [7200, 34.7], [10800, 35.6]],
    mean: [[0, 86], [900, 68], [3950, 58], [4150, 76], [10800, 74]],
    heart: [[0, 74], [2000, 62], [7600, 56], [10800, 63]],
  });
  const rowTimes = every(endS, 30);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger %', 'Pulse rate finger /min', 'PI finger %']),
    column('HR ECG /min', signals.heartRate, 0),
    ...cuffColumns(signals, every(endS, 300), ['NIBP sys mmHg', 'NIBP dia mmHg', 'NIBP mean mmHg']),
    column('Core temp Cel', signals.temperature, 1),
  ];
  const clock = 'time of day';
  const drugs = [[4020, 'noradrenaline 5 mcg IV'], [9000, 'paracetamol 1 g IV']];
  const events = [[600, 'Surgery start'], [7600, 'Forced-air warming started, hands wrapped'], [10200, 'Surgery end']];
  return {
    folder,
    files: [
      ['trends.csv', encode(delimited(wide({ startMs, rowTimes, columns, clock, timeHeading: 'Clock' }), ',', '\n'), 'utf-8')],
      ['given.csv', encode(delimited(list({ startMs, clock, headings: ['Clock', 'Medication given'], entries: drugs }), ',', '\n'), 'utf-8')],
      ['events.csv', encode(delimited(list({ startMs, clock, headings: ['Clock', 'Event'], entries: events }), ',', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'time of day', rowTimes, sites, endS, exposures: [bolus('norepinephrine', 4020)] })],
  };
}

function headDownForehead() {
  const folder = 'K14-head-down-forehead';
  const startMs = utc('2031-08-27', '08:00:00');
  const endS = 15000;
  const sites = { forehead: { on: 80, losses: [[3000, 3090], [7200, 7320], [9000, 9050]], bias: [[0, 0], [2400, 0], [3000, -3.5], [12000, -4.5], [12700, 0]], factor: [[0, 1], [2400, 1], [2700, 1.7], [12600, 1.8], [12800, 1]] } };
  const signals = simulate({ seed: 1414, seconds: endS, sites, heart: [[0, 70], [900, 58], [15000, 68]], mean: [[0, 88], [900, 70], [2600, 84], [8500, 62], [8800, 80], [15000, 78]], carbon: [[0, 35], [2400, 36], [12600, 44], [15000, 37]] });
  const rowTimes = every(endS, 10);
  const rows = [['timestamp', 'parameter', 'site', 'value', 'unit']];
  for (const t of rowTimes) {
    const at = CLOCKS.iso(startMs + t * 1000, t);
    const s = signals.sites.forehead;
    if (t >= 80) {
      rows.push([at, 'SpO2', 'forehead', numberText(s.spo2[t], 0, '.', '-'), '%']);
      rows.push([at, 'Pulse rate', 'forehead', numberText(s.pulse[t], 0, '.', '-'), '/min']);
      rows.push([at, 'Perfusion index', 'forehead', numberText(s.index[t], 2, '.', '-'), '%']);
    }
    rows.push([at, 'Heart rate', '', numberText(signals.heartRate[t], 0, '.', '-'), '/min']);
    rows.push([at, 'EtCO2', '', numberText(signals.carbon[t], 0, '.', '-'), 'mmHg']);
    if (t % 300 === 0) rows.push([at, 'NIBP mean', '', numberText(signals.artMean[t], 0, '.', '-'), 'mmHg']);
  }
  const drugs = [[180, 'propofol 200 mg'], [200, 'rocuronium 50mg'], [8700, 'phenylephrine 100 mcg IV'], [13000, 'ephedrine 9mg'], [14400, 'glycopyrrolate 0.4 mg IV']];
  const events = [[0, 'Anaesthesia start'], [2400, 'Steep head-down tilt'], [2700, 'Surgery start'], [12600, 'Table level'], [13800, 'Surgery end'], [15000, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['observations.csv', encode(delimited(rows, ',', '\n'), 'utf-8')],
      ['medication.csv', encode(delimited(list({ startMs, clock: 'iso', headings: ['timestamp', 'medication'], entries: drugs }), ',', '\n'), 'utf-8')],
      ['events.csv', encode(delimited(list({ startMs, clock: 'iso', headings: ['timestamp', 'event'], entries: events }), ',', '\n'), 'utf-8')],
    ],
    truths: [truthOf({
      caseId: folder, clock: 'absolute', rowTimes, sites, endS,
      exposures: [position('head down', 2400), bolus('phenylephrine', 8700), bolus('ephedrine', 13000)],
    })],
  };
}

function intervalChange() {
  const folder = 'K15-interval-change';
  const startMs = utc('2031-06-23', '11:00:00');
  const endS = 12600;
  const sites = { finger: { losses: [[2340, 2580], [7500, 7545], [9000, 9240], [10007, 10020]], factor: [[0, 1], ...fade(8830, 9000, 9240, 0.2)] } };
  const signals = simulate({ seed: 1515, seconds: endS, sites, heart: [[0, 77], [800, 63], [12600, 72]], mean: [[0, 90], [800, 70], [8700, 58], [8920, 79], [12600, 80]] });
  const rowTimes = [...every(5340, 60), ...every(endS, 15).filter((t) => t >= 5400)];
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger (%)', 'Pulse rate finger (/min)', 'Perfusion index finger (%)']),
    column('Heart rate (/min)', signals.heartRate, 0),
    ...cuffColumns(signals, every(endS, 300), ['NIBP systolic (mmHg)', 'NIBP diastolic (mmHg)', 'NIBP mean (mmHg)']),
  ];
  const clock = 'day first, dots';
  const drugs = [[8820, 'norepinephrine', '8', 'ug']];
  const events = [[0, 'Anaesthesia start'], [5400, 'Recording interval changed to 15 s'], [12600, 'Anaesthesia end']];
  return {
    folder,
    files: [
      ['trends.csv', encode(delimited(wide({ startMs, rowTimes, columns, clock, timeHeading: 'Time', mark: ',' }), ';', '\n'), 'utf-8')],
      ['drugs.csv', encode(delimited(list({ startMs, clock, headings: ['Time', 'Drug', 'Dose', 'Unit'], entries: drugs }), ';', '\n'), 'utf-8')],
      ['events.csv', encode(delimited(list({ startMs, clock, headings: ['Time', 'Event'], entries: events }), ';', '\n'), 'utf-8')],
    ],
    truths: [truthOf({ caseId: folder, clock: 'absolute', rowTimes, sites, endS, exposures: [bolus('norepinephrine', 8820)] })],
  };
}

function dayList() {
  const folder = 'K16-three-short-cases';
  const plans = [
    { id: 'K16-1', date: '2031-09-04', time: '08:10:00', endS: 3000, site: 'finger', losses: [[900, 1000]], procedure: 'Hand surgery', asa: '2', drugs: [[120, 'propofol', '160', 'mg'], [600, 'ephedrine', '6', 'mg']], exposures: [bolus('ephedrine', 600)] },
    { id: 'K16-2', date: '2031-09-04', time: '09:30:00', endS: 2700, site: 'finger', losses: [], procedure: 'Hernia repair', asa: '1', drugs: [[130, 'propofol', '180', 'mg']], exposures: [] },
    { id: 'K16-3', date: '2031-09-04', time: '10:45:00', endS: 3600, site: 'toe', losses: [[1500, 1575], [2400, 2520]], procedure: 'Shoulder arthroscopy', asa: '3', drugs: [[125, 'propofol', '120', 'mg'], [2100, 'phenylephrine', '100', 'ug']], exposures: [bolus('phenylephrine', 2100)] },
  ];
  const rows = [['case_no', 'time', 'sensor_site', 'spo2', 'pulse_rate', 'perfusion_index', 'heart_rate', 'nibp_mean']];
  const drugs = [['case_no', 'time', 'drug', 'dose', 'unit']];
  const cases = [['case_no', 'service', 'procedure', 'asa', 'age_band']];
  const truths = [];
  plans.forEach((plan, i) => {
    const startMs = utc(plan.date, plan.time);
    const sites = { [plan.site]: { losses: plan.losses } };
    const signals = simulate({ seed: 1616 + i, seconds: plan.endS, sites, heart: [[0, 80], [400, 64 + i * 4], [plan.endS, 72]] });
    const rowTimes = every(plan.endS, 5);
    const s = signals.sites[plan.site];
    for (const t of rowTimes) {
      rows.push([plan.id, CLOCKS['unix s'](startMs + t * 1000), plan.site, numberText(s.spo2[t], 0, '.', ''), numberText(s.pulse[t], 0, '.', ''), numberText(s.index[t], 2, '.', ''), signals.heartRate[t].toFixed(0), t % 300 === 0 ? signals.artMean[t].toFixed(0) : '']);
    }
    for (const [t, ...cells] of plan.drugs) drugs.push([plan.id, CLOCKS['unix s'](startMs + t * 1000), ...cells]);
    cases.push([plan.id, 'Day surgery', plan.procedure, plan.asa, '40-59']);
    truths.push(truthOf({ caseId: plan.id, clock: 'absolute', rowTimes, sites, endS: plan.endS, exposures: plan.exposures }));
  });
  const text = (table) => encode(delimited(table, ',', '\n'), 'utf-8');
  return { folder, files: [['trends.csv', text(rows)], ['administrations.csv', text(drugs)], ['case-list.csv', text(cases)]], truths };
}

function proneWithInfusion() {
  const folder = 'K17-prone-infusion';
  const startMs = utc('2031-10-15', '07:50:00');
  const endS = 16200;
  const sites = {
    'finger': { on: 40, losses: [[1800, 1980], [5400, 5700], [9000, 9130]], factor: [[0, 1], ...fade(5020, 5400, 5700, 0.15), [9000, 0.9]] },
    'nasal ala': { on: 60 },
  };
  const signals = simulate({ seed: 1717, seconds: endS, sites, heart: [[0, 76], [900, 60], [16200, 70]], mean: [[0, 92], [900, 66], [1300, 74], [4900, 58], [5200, 76], [16200, 80]], temperature: [[0, 36.4], [16200, 36.0]] });
  const rowTimes = every(endS, 10);
  const columns = [
    ...sensorColumns(signals.sites.finger, ['SpO2 finger', 'Pulse rate finger', 'PI finger']),
    ...sensorColumns(signals.sites['nasal ala'], ['SpO2 nasal ala', 'Pulse rate nasal ala', 'PI nasal ala']),
    column('HR', signals.heartRate, 0), column('ABP sys', signals.artSys, 0), column('ABP dia', signals.artDia, 0), column('ABP mean', signals.artMean, 0), column('Core temp', signals.temperature, 1),
  ];
  const drugs = [
    [150, 'Propofol', '150', 'mg', ''], [1200, 'Norepinephrine', '', '', 'infusion started 0.03 ug/kg/min'], [5000, 'Norepinephrine', '', '', 'infusion rate 0.08 ug/kg/min'], [14000, 'Norepinephrine', '', '', 'infusion stopped'],
  ].map(([t, drug, dose, unit, note]) => [t, note === '' ? `${drug} ${dose} ${unit}` : `${drug} ${note}`]);
  const events = [[0, 'Anaesthesia start'], [1500, 'Prone'], [2400, 'Surgery start'], [13800, 'Surgery end'], [14400, 'Supine'], [16200, 'Anaesthesia end']];
  const text = (rows) => encode(delimited(rows, ';', '\r\n'), 'utf-8 with mark');
  return {
    folder,
    files: [
      ['trends.csv', text(wide({ startMs, rowTimes, columns, clock: 'iso', timeHeading: 'Time' }))],
      ['medication.csv', text(list({ startMs, clock: 'iso', headings: ['Time', 'Medication'], entries: drugs }))],
      ['events.csv', text(list({ startMs, clock: 'iso', headings: ['Time', 'Event'], entries: events }))],
    ],
    truths: [truthOf({
      caseId: folder, clock: 'absolute', rowTimes, sites, endS,
      exposures: [position('prone', 1500, 14400), infusion('norepinephrine', 1200), infusion('norepinephrine', 5000)],
    })],
  };
}

export const CASES = [
  fadeAfterBolus, armsTucked, cuffOnSameArm, abruptDisconnection, moveToNasalAla, twoSitesAtOnce, blindInterval, recordGap, minuteData,
  withoutLoss, bypass, messyFile, coldPatient, headDownForehead, intervalChange, dayList, proneWithInfusion,
];
