/** Where the tables of a bundle lie in it. */
const TABLES_FOLDER = 'tables';
export const BUNDLE_FILES = {
  readme: 'README.md',
  sums: 'SHA256SUMS',
  manifest: 'manifest.json',
  parameters: 'parameters.json',
  importReport: 'import-report.json',
  methods: 'methods.md',
  dictionary: 'data-dictionary.md',
  flow: 'flow-of-cases.md',
  flowPicture: 'flow-of-cases.svg',
  columns: `${TABLES_FOLDER}/csv-metadata.json`,
} as const;

/** Whether a file bears the name of a table of a bundle, or of what describes them. */
export function isBundleTableName(name: string): boolean {
  return /^tables\/[a-z][a-z0-9-]*\.(csv|parquet|json)$/u.test(name);
}

/** Returns the name that a table has in a bundle. */
export function tableName(csv: string): string {
  return `${TABLES_FOLDER}/${csv}`;
}

/** Returns the name of the Parquet file of a table. */
export function parquetName(csv: string): string {
  return tableName(csv.replace(/\.csv$/u, '.parquet'));
}
