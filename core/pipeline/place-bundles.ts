import type { FileReading } from '../readers/reading.ts';

function namesNoCase(reading: FileReading): boolean {
  return reading.cases.some((own) => own.caseKey === null);
}

/**
 * Returns readings with the parts of each archive and workbook in the folder whose case they are told to be: a folder of its own
 * that bears the container's name, or the folder around it when that holds other files which name no case and no second such
 * container. In a folder with two workbooks each is a case; one workbook beside the trends of a case belongs to that case.
 */
export function placeBundles(readings: readonly FileReading[]): FileReading[] {
  const containersIn = new Map<string, Set<string>>();
  const hasOthers = new Set<string>();
  for (const reading of readings) {
    if (!namesNoCase(reading)) continue;
    const { bundle, source } = reading;
    if (bundle === undefined) hasOthers.add(source.folder);
    else containersIn.set(bundle.folder, (containersIn.get(bundle.folder) ?? new Set<string>()).add(source.folder));
  }
  return readings.map((reading) => {
    const { bundle } = reading;
    if (bundle === undefined || !hasOthers.has(bundle.folder) || containersIn.get(bundle.folder)?.size !== 1) return reading;
    return { ...reading, source: { ...reading.source, ...bundle } };
  });
}
