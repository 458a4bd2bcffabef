/** Names of the sample cases that come with the program: invented records of a hospital that does not exist. A test holds them against the folder of samples. */
export const SAMPLE_CASE_IDS: readonly string[] = [
  'K01-fade-after-bolus', 'K02-arms-tucked', 'K03-cuff-on-sensor-arm', 'K04-abrupt-disconnection', 'K05-move-to-nasal-ala', 'K06-finger-and-ear', 'K07-blind-interval', 'K08-record-gap', 'K09-minute-data',
  'K10-without-loss', 'K11-bypass', 'K12-messy-file', 'K13-cold-hands', 'K14-head-down-forehead', 'K15-interval-change', 'K16-1', 'K16-2', 'K16-3', 'K17-prone-infusion',
];

/** Returns whether a case bears the name of a sample case. */
export function isSampleCase(caseId: string): boolean {
  return SAMPLE_CASE_IDS.includes(caseId);
}
