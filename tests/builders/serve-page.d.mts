/** Builds the page whose `index.html` lies in `root` and serves it on a free local port, with `files` beside it (name to bytes). */
export function servePage(root: string, files?: ReadonlyMap<string, Uint8Array>): Promise<{ readonly address: string; stop(): Promise<void> }>;
