/** The part of hash-wasm that is used: the one algorithm, without the thirty others of its main file. */
declare module 'hash-wasm/dist/argon2.umd.min.js' {
  interface Options {
    readonly password: Uint8Array;
    readonly salt: Uint8Array;
    readonly secret?: Uint8Array;
    readonly iterations: number;
    readonly parallelism: number;
    /** KiB. */
    readonly memorySize: number;
    /** Bytes. */
    readonly hashLength: number;
    readonly outputType: 'binary';
  }
  const argon2: { argon2id(options: Options): Promise<Uint8Array> };
  export default argon2;
}
