import type { Quantity } from '../model/quantity.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';

/** One column (or name of a long table) that an oximeter sensor makes. */
export interface SensorEntry {
  readonly quantity: Quantity;
  site: Site;
  sensor: string;
}

function keyOf(entry: SensorEntry): string {
  return `${entry.site}\u0000${entry.sensor}`;
}

/**
 * Gives every SpO2 column of one table a sensor of its own and puts pulse rate, perfusion index and amplitude
 * beside the SpO2 they belong to: by number, by site, or by order where there are as many of them. Entries are changed in place.
 * Returns notes about columns that no sensor claims.
 */
export function assignSensors(entries: readonly SensorEntry[]): string[] {
  const notes: string[] = [];
  const spo2 = entries.filter((entry) => entry.quantity === 'spo2');
  numberTwins(spo2);
  const quantities = new Set(entries.filter((entry) => entry.quantity !== 'spo2' && QUANTITY_FACTS[entry.quantity].ofSensor).map((entry) => entry.quantity));
  for (const quantity of quantities) {
    const own = entries.filter((entry) => entry.quantity === quantity);
    const keys = new Set(own.map(keyOf));
    if (spo2.length > 1 && own.length === spo2.length && keys.size < own.length) {
      // As many columns as sensors and no numbers to tell them apart: they are in the order of the sensors.
      for (const [i, entry] of own.entries()) copyPlace(entry, spo2[i]);
      continue;
    }
    for (const entry of own) {
      if (spo2.some((sensor) => keyOf(sensor) === keyOf(entry))) continue;
      const [first] = spo2;
      if (spo2.length === 1 && entry.site === 'unstated') {
        copyPlace(entry, first);
        continue;
      }
      const sameNumber = entry.site === 'unstated' && entry.sensor !== '' ? spo2.filter((sensor) => sensor.sensor === entry.sensor) : [];
      const sameSite = entry.site !== 'unstated' ? spo2.filter((sensor) => sensor.site === entry.site) : [];
      if (sameNumber.length === 1) copyPlace(entry, sameNumber[0]);
      else if (sameSite.length === 1 && entry.sensor === '') copyPlace(entry, sameSite[0]);
      else if (spo2.length > 1 && own.length === spo2.length && entry.site === 'unstated' && entry.sensor === '') copyPlace(entry, spo2[own.indexOf(entry)]);
      else if (spo2.length > 1) notes.push(`${QUANTITY_FACTS[quantity].name}: it is not clear to which of the ${spo2.length} sensors a column belongs; it is paired with none.`);
    }
    numberTwins(own);
  }
  return notes;
}

function copyPlace(entry: SensorEntry, from: SensorEntry | undefined): void {
  if (from === undefined) return;
  entry.site = from.site;
  entry.sensor = from.sensor;
}

/** Numbers sensors that share site and name: 1, 2, 3 in the order of the file, numbers in use left out. */
function numberTwins(entries: readonly SensorEntry[]): void {
  const bySite = new Map<Site, SensorEntry[]>();
  for (const entry of entries) bySite.set(entry.site, [...(bySite.get(entry.site) ?? []), entry]);
  for (const group of bySite.values()) {
    if (group.length < 2) continue;
    const used = new Set(group.map((entry) => entry.sensor).filter((sensor) => sensor !== ''));
    const seen = new Set<string>();
    for (const entry of group) {
      if (entry.sensor !== '' && !seen.has(entry.sensor)) {
        seen.add(entry.sensor);
        continue;
      }
      let number = 1;
      while (used.has(String(number))) number += 1;
      entry.sensor = String(number);
      used.add(entry.sensor);
      seen.add(entry.sensor);
    }
  }
}
