/** Returns every file of the sample cases as [path below sample-cases, bytes]. */
export function makeSamples(): [path: string, bytes: Buffer][];
