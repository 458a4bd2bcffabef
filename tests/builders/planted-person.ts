import type { Random } from '../simulator/random.ts';

/** Somebody who never was, as an export would name her. */
export interface PlantedPerson {
  readonly given: string;
  readonly surname: string;
  readonly record: string;
  readonly born: { readonly iso: string; readonly dotted: string; readonly compact: string };
  readonly phone: string;
  readonly mail: string;
  readonly street: string;
  readonly ssn: string;
  /** Every text that must not be found in any result. */
  readonly secrets: readonly string[];
}

const GIVEN = ['Anna', 'Peter', 'Katharina', 'Giulia', 'Stephen', 'Dagmar', 'Pierre', 'Alejandra', 'Wolfgang', 'Fiona'];
const STARTS = ['Zor', 'Quel', 'Vash', 'Brim', 'Tolv', 'Gruf', 'Nyst', 'Plom', 'Skri', 'Drax', "O'Vel", 'McBrul'];
const ENDS = ['vath', 'dorn', 'mizzle', 'kowski', 'fenburg', 'tallo', 'quist', 'umber', 'andini', 'berghaus'];

/** Returns a person drawn by `random`: surnames that are in no list, given names that are frequent. */
export function plantedPerson(random: Random): PlantedPerson {
  const whole = (low: number, high: number): number => random.int(low, high);
  const pick = (list: readonly string[]): string => random.pick(list);
  const two = (n: number): string => String(n).padStart(2, '0');
  const given = pick(GIVEN);
  const surname = `${pick(STARTS)}${pick(ENDS)}`;
  const [year, month, day] = [whole(1938, 1999), whole(1, 12), whole(13, 28)];
  const record = String(whole(10_000_001, 89_999_998));
  const phone = `+49 ${whole(201, 899)} ${whole(1_000_001, 9_999_998)}`;
  const mail = `${given}.${surname.replace("'", '')}@hospital.example`.toLowerCase();
  const street = `${whole(2, 99)} Willowherb Lane`;
  const ssn = `${whole(201, 699)}-${whole(11, 98)}-${whole(1001, 9998)}`;
  const born = { iso: `${year}-${two(month)}-${two(day)}`, dotted: `${two(day)}.${two(month)}.${year}`, compact: `${year}${two(month)}${two(day)}` };
  return { given, surname, record, born, phone, mail, street, ssn, secrets: [surname, record, born.iso, born.dotted, born.compact, phone, mail, 'Willowherb', ssn] };
}
