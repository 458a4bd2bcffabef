import { createWriteStream } from 'node:fs';
import { once } from 'node:events';

/**
 * Writes an invented trend export: 1-Hz rows of eight quantities, a loss now and then, of about so many MB or exactly so many seconds.
 * The bytes depend on nothing but the arguments, so two runs time the same work.
 */
export async function writeExport(path: string, layout: 'wide' | 'long', size: { readonly megabytes: number } | { readonly seconds: number }): Promise<{ rows: number; samples: number }> {
  const out = createWriteStream(path, { highWaterMark: 1 << 20 });
  const isDone = (second: number): boolean => ('seconds' in size ? second >= size.seconds : written >= size.megabytes * 1e6);
  let written = 0;
  let state = 20310314;
  // A small linear congruential generator: the file must be the same each time, its randomness matters little.
  const next = (): number => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 4294967296;
  const start = Date.UTC(2031, 2, 14, 6, 0, 0);
  const names = ['SpO2 finger', 'PI finger', 'Pulse finger', 'HR', 'ART sys', 'ART dia', 'ART mean', 'Temp'];
  const units = ['%', '', '/min', '/min', 'mmHg', 'mmHg', 'mmHg', 'Cel'];
  let rows = 0;
  let samples = 0;
  let text = layout === 'wide' ? `Time,${names.map((n, i) => (units[i] === '' ? n : `${n} (${units[i]})`)).join(',')}\n` : 'Time,Case,Parameter,Value,Unit\n';
  for (let second = 0; !isDone(second); second += 1) {
    const stamp = new Date(start + second * 1000).toISOString().slice(0, 19).replace('T', ' ');
    const lost = second % 3600 > 3400;
    const values = [
      lost ? '---' : String(94 + Math.floor(next() * 6)),
      lost ? '' : (0.4 + next() * 3).toFixed(2),
      lost ? '' : String(60 + Math.floor(next() * 30)),
      String(60 + Math.floor(next() * 30)),
      String(95 + Math.floor(next() * 40)),
      String(50 + Math.floor(next() * 25)),
      String(65 + Math.floor(next() * 30)),
      (35.5 + next()).toFixed(1),
    ];
    if (layout === 'wide') {
      text += `${stamp},${values.join(',')}\n`;
      rows += 1;
    } else {
      const caseId = `K${Math.floor(second / 20000) + 1}`;
      for (let i = 0; i < names.length; i += 1) text += `${stamp},${caseId},${names[i]},${values[i]},${units[i]}\n`;
      rows += names.length;
    }
    samples += names.length;
    if (text.length > 1 << 20) {
      written += text.length;
      if (!out.write(text)) await once(out, 'drain');
      text = '';
    }
  }
  out.end(text);
  await once(out, 'finish');
  return { rows, samples };
}

export interface ManyCases {
  readonly cases: number;
  readonly megabytes: number;
  /** Cases that run at the same time, as in a department with so many rooms: their rows stand in turn. */
  readonly rooms: number;
}

/**
 * Writes an invented long export of many cases: 10-s rows of eight quantities, the bolus or position of a case among them now and
 * then, losses, and the last rows of every case out of order at the end of the file, as an export that was corrected later has it.
 * The bytes depend on nothing but the arguments.
 */
export async function writeManyCases(path: string, { cases, megabytes, rooms }: ManyCases): Promise<{ rows: number; bytes: number }> {
  const out = createWriteStream(path, { highWaterMark: 1 << 20 });
  let state = 20310401;
  const next = (): number => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 4294967296;
  const names = ['SpO2 finger', 'PI finger', 'Pulse finger', 'HR', 'ART sys', 'ART dia', 'ART mean', 'Temp'];
  const units = ['%', '', '/min', '/min', 'mmHg', 'mmHg', 'mmHg', 'Cel'];
  const bytesOfInstant = 8 * 41.5;
  const instants = Math.max(40, Math.round((megabytes * 1e6) / cases / bytesOfInstant));
  const late = Math.max(1, Math.floor(instants / 100));
  let rows = 0;
  let bytes = 0;
  let text = 'Time,Case,Parameter,Value,Unit\n';
  let atEnd = '';
  const write = async (): Promise<void> => {
    bytes += text.length; // ASCII throughout
    if (!out.write(text)) await once(out, 'drain');
    text = '';
  };
  const rowsAt = (id: string, startMs: number, instant: number): string => {
    const stamp = new Date(startMs + instant * 10_000).toISOString().slice(0, 19).replace('T', ' ');
    const lost = instant % 180 > 168;
    const values = [
      lost ? '---' : String(94 + Math.floor(next() * 6)),
      lost ? '' : (0.4 + next() * 3).toFixed(2),
      lost ? '' : String(60 + Math.floor(next() * 30)),
      String(60 + Math.floor(next() * 30)),
      String(95 + Math.floor(next() * 40)),
      String(50 + Math.floor(next() * 25)),
      String(65 + Math.floor(next() * 30)),
      (35.5 + next()).toFixed(1),
    ];
    let own = '';
    for (let i = 0; i < names.length; i += 1) own += `${stamp},${id},${names[i] ?? ''},${values[i] ?? ''},${units[i] ?? ''}\n`;
    rows += names.length;
    if (instant % 180 === 160) {
      own += instant % 540 === 160 ? `${stamp},${id},Phenylephrine,100,mcg\n` : `${stamp},${id},Event,Head down 20 degrees,\n`;
      rows += 1;
    }
    return own;
  };
  for (let first = 0; first < cases; first += rooms) {
    const startMs = Date.UTC(2031, 3, 1, 7, 0, 0) + Math.floor(first / rooms) * 86_400_000;
    for (let instant = 0; instant < instants; instant += 1) {
      for (let room = 0; room < Math.min(rooms, cases - first); room += 1) {
        const own = rowsAt(`K${first + room + 1}`, startMs, instant);
        if (instant >= instants - late) atEnd += own;
        else text += own;
      }
      if (text.length > 1 << 20) await write();
    }
  }
  text += atEnd;
  await write();
  out.end();
  await once(out, 'finish');
  return { rows, bytes };
}
