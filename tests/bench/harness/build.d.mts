/** Builds the harness page and serves it on a free local port. */
export function serveHarness(): Promise<{ readonly address: string; stop(): Promise<void> }>;
