import type { PlainCase } from './plain-case.ts';

/** Returns a time stamp in UTC as HL7 v2 writes it. */
export function stamp(ms: number, zone = '+0000'): string {
  return `${new Date(ms).toISOString().replace(/[-:T]/g, '').slice(0, 14)}${zone}`;
}

/** Returns a result message around observation segments. */
export function oruMessage(observations: readonly string[], more: { readonly header?: string; readonly pid?: string; readonly pv1?: string; readonly obr?: string } = {}): string {
  return [
    more.header ?? 'MSH|^~\\&|GATEWAY|WARD|ARCHIVE|HOSPITAL|20310304080000+0000||ORU^R01^ORU_R01|1|P|2.6',
    more.pid ?? 'PID|||NotToBeKept77^^^HOSPITAL^MR||Not-To-Be-Kept^Ever||19610203|F',
    more.pv1 ?? `PV1||I|OR^4^1${'|'.repeat(16)}NotToBeKept88`,
    more.obr ?? 'OBR|1||1|vitals|||20310304080000+0000',
    ...observations,
    '',
  ].join('\r');
}

/** Returns the case as result messages, one for each step: MDC codes for SpO2 and heart rate, drugs and positions as words. */
export function asOru(plain: PlainCase): string {
  return plain.spo2
    .map((value, step) => {
      const at = stamp(plain.startMs + step * plain.stepMs);
      const words = [
        ...plain.boluses.filter((bolus) => bolus.step === step).map((bolus) => `${bolus.drug} ${bolus.amount} ${bolus.unit === 'ug' ? 'mcg' : 'mg'}`),
        ...plain.positions.filter((position) => position.step === step).map((position) => position.text),
      ];
      return oruMessage([
        `OBX|1|NM|150456^MDC_PULS_OXIM_SAT_O2^MDC|1.1.1.1|${value ?? ''}|262688^MDC_DIM_PERCENT^MDC||${value === null ? 'NAV' : ''}|||${value === null ? 'X' : 'F'}|||${at}||||||7569003^Finger^SCT`,
        `OBX|2|NM|147842^MDC_ECG_HEART_RATE^MDC|1.2.1.1|${plain.heartRate[step] ?? ''}|264864^MDC_DIM_BEAT_PER_MIN^MDC|||||F|||${at}`,
        ...words.map((text, i) => `OBX|${i + 3}|ST|NOTE^Note^L||${text}||||||F|||${at}`),
      ]);
    })
    .join('');
}
