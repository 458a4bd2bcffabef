/*
 * The part of libsql 0.5.29 that is used, as tests/contracts/libsql.contract.test.ts holds it to. Its own declarations know
 * neither the options for encryption nor what it returns.
 */
declare module 'libsql' {
  interface Options {
    readonly encryptionCipher: 'aes256cbc';
    readonly encryptionKey: string;
    readonly readonly?: boolean;
  }
  /** Parameters go in as one array: a single Buffer that is handed over bare ends the whole process. */
  type Parameters = readonly (string | number | Uint8Array | null)[];
  interface Statement {
    run(parameters: Parameters): { readonly changes: number; readonly lastInsertRowid: number };
    /** A row with one more field, `_metadata`; bytes are a Buffer. */
    get(parameters: Parameters): Record<string, unknown> | undefined;
    /** Bytes are an ArrayBuffer here. */
    all(parameters: Parameters): Record<string, unknown>[];
  }
  export default class Database {
    constructor(path: string, options: Options);
    readonly inTransaction: boolean;
    prepare(sql: string): Statement;
    exec(sql: string): void;
    pragma(sql: string): unknown;
    close(): void;
  }
}
