import type { CaseReading, FileReading } from '../readers/reading.ts';

interface Part {
  readonly file: FileReading;
  readonly reading: CaseReading;
}

/** The files that make one case. */
interface PartGroup {
  readonly id: string;
  readonly parts: readonly Part[];
}

/**
 * Returns the groups without those that are copies: every file of theirs has the content of a file of one other group, and they are
 * the same thing read twice, such as a folder and its archive, or a file by itself and in its folder. Two folders with names of their
 * own stay two cases, since somebody gave them those names; groups that a case column or a case list names are never copies.
 * What is left out, and content that still stands in two cases, is told with its file.
 * Shape   the order is kept. Of two groups with the same files the one that lies in a folder stays, else the first.
 */
export function dropDoubles<G extends PartGroup>(groups: readonly G[], tell: (file: FileReading, note: string) => void): G[] {
  const keys = groups.map((group) => new Set(group.parts.map(keyOf)));
  const holders = new Map<string, number[]>();
  keys.forEach((own, i) => own.forEach((key) => holders.set(key, [...(holders.get(key) ?? []), i])));
  const isDropped = groups.map(() => false);
  const kept = groups.filter((group, i) => {
    if (!canBeCopy(group)) return true;
    const own = keys[i] ?? new Set();
    const [first] = own;
    const original = (holders.get(first ?? '') ?? []).find((j) => {
      const other = groups[j];
      const others = keys[j];
      if (j === i || isDropped[j] === true || other === undefined || others === undefined || ![...own].every((key) => others.has(key))) return false;
      if (!isSameThing(group, other)) return false;
      return others.size > own.size || standsBefore(other, j, group, i);
    });
    const source = original === undefined ? undefined : groups[original];
    if (source === undefined) return true;
    isDropped[i] = true;
    for (const part of group.parts) {
      const same = source.parts.find((other) => keyOf(other) === keyOf(part));
      tell(part.file, `The file has the same content as ${same?.file.source.relativePath ?? 'another file'} (case ${source.id}) and was not used a second time.`);
    }
    return false;
  });
  for (const group of kept) {
    for (const part of group.parts) {
      if (channelCount(part.reading) === 0 || part.file.source.sha256 === '') continue;
      const others = (holders.get(keyOf(part)) ?? []).flatMap((j) => (isDropped[j] === true || groups[j] === group ? [] : [groups[j]?.id ?? '']));
      if (others.length > 0) tell(part.file, `The same values also make case ${others.join(', ')}: look whether the two are one case.`);
    }
  }
  return kept;
}

/** What makes two parts the same: the bytes, and how their times were taken. */
function keyOf({ file, reading }: Part): string {
  return `${file.source.sha256} ${reading.caseKey ?? ''} ${file.clockOffsetMs} ${file.zone.name}`;
}

/** Channels that are put away count as those at hand. */
function channelCount({ channels, shelved }: CaseReading): number {
  return shelved === undefined ? channels.length : shelved.nChannels;
}

/** A group without values whose times bear no date may be alike by chance: two cases can have the same few entries. */
function canBeCopy({ parts }: PartGroup): boolean {
  if (parts.some(({ file, reading }) => file.source.sha256 === '' || reading.caseKey !== null || file.source.kind === 'case list')) return false;
  return parts.some(({ file, reading }) => channelCount(reading) > 0 || file.clock === 'absolute');
}

/** Whether two groups of the same content are one thing that was read twice, and not two that bear names of their own. */
function isSameThing(a: PartGroup, b: PartGroup): boolean {
  return isLoose(a) || isLoose(b) || a.parts[0]?.file.source.folderName === b.parts[0]?.file.source.folderName;
}

function isLoose({ parts }: PartGroup): boolean {
  return parts.every(({ file }) => file.source.folder === '');
}

function standsBefore(a: PartGroup, atA: number, b: PartGroup, atB: number): boolean {
  return isLoose(a) === isLoose(b) ? atA < atB : isLoose(b);
}
