import type { Allowance } from '../archive/allowance.ts';
import { BrokenContainer } from '../archive/broken-container.ts';
import type { ByteRange } from '../archive/byte-range.ts';
import { Meter, openZipEntry } from '../archive/inflate.ts';
import type { ZipEntry } from '../archive/zip-directory.ts';
import { attributeOf, readXml, SAVE_ANEW } from './xml-reader.ts';

export interface Relation {
  readonly id: string;
  /** Last part of the type's address: `worksheet`, `styles` … The same in both editions of the standard. */
  readonly type: string;
  readonly target: string;
}

/**
 * The parts of a workbook's package. Names are compared without regard to case.
 * Source  ECMA-376 part 2 (part names, relationships).
 */
export class PackageParts {
  private readonly byName: ReadonlyMap<string, ZipEntry>;
  private readonly meters = new Map<ZipEntry, Meter>();

  constructor(
    private readonly range: ByteRange,
    entries: readonly ZipEntry[],
    private readonly allowance: Allowance,
  ) {
    this.byName = new Map(entries.map((entry) => [entry.name.toLowerCase().replace(/^\//, ''), entry]));
  }

  has(name: string): boolean {
    return this.byName.has(name.toLowerCase());
  }

  /** Errors  throws BrokenContainer when there is no such part; reading it throws as `openZipEntry`. */
  open(name: string): AsyncIterable<Uint8Array> {
    const entry = this.byName.get(name.toLowerCase());
    if (entry === undefined) throw new BrokenContainer(`The workbook is damaged: its part "${name}" is missing.`, SAVE_ANEW);
    let meter = this.meters.get(entry);
    if (meter === undefined) {
      meter = new Meter(this.allowance);
      this.meters.set(entry, meter);
    }
    return openZipEntry(this.range, entry, meter);
  }

  /** Returns where the relations of a part lead, '' being the package itself; none when it has no list of them. */
  async relationsOf(name: string): Promise<Relation[]> {
    const slash = name.lastIndexOf('/');
    const folder = name.slice(0, slash + 1);
    const list = `${folder}_rels/${name.slice(slash + 1)}.rels`;
    if (!this.has(list)) return [];
    const relations: Relation[] = [];
    await readXml('The list of parts', this.open(list), {
      open(element, attributes) {
        if (element !== 'Relationship' || attributes['TargetMode'] === 'External') return;
        const type = attributes['Type'] ?? '';
        relations.push({ id: attributeOf(attributes, 'Id') ?? '', type: type.slice(type.lastIndexOf('/') + 1), target: resolved(folder, attributes['Target'] ?? '') });
      },
      text() {
        // Relations are attributes only.
      },
      close() {
        // Nothing is gathered over an element.
      },
    });
    return relations;
  }
}

/** Returns the name of the part to which `target` leads from a part in `folder`. */
function resolved(folder: string, target: string): string {
  const parts: string[] = target.startsWith('/') ? [] : folder.split('/').filter((part) => part !== '');
  for (const part of target.split('/')) {
    if (part === '..') parts.pop();
    else if (part !== '' && part !== '.') parts.push(part);
  }
  return parts.join('/');
}
