import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';

/** Returns what a channel is, in words: "SpO2 at the finger, sensor 2, %". */
export function channelWords(quantity: Quantity, site: Site | null, sensor: string, unit: string): string {
  const facts = QUANTITY_FACTS[quantity];
  const parts = [quantity === 'other' ? 'kept, but not recognised' : facts.name];
  if (facts.ofSensor && site !== null) {
    if (site === 'unstated') parts[0] = `${parts[0] ?? ''}, site not stated`;
    else parts[0] = `${parts[0] ?? ''} at the ${site === 'other' ? 'other site' : site}`;
    if (sensor !== '') parts.push(`sensor ${sensor}`);
  }
  const shown = unit === 'mm[Hg]' ? 'mmHg' : unit === 'Cel' ? '°C' : unit;
  if (shown !== '') parts.push(shown);
  return parts.join(', ');
}
