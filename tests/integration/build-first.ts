/** Builds what is stale before the integration tests, which run the built programs. */
export default async function setup(): Promise<void> {
  // The launcher is plain JavaScript without types because it runs before anything is installed.
  const launcher = (await import('../../electron/launch/build.mjs' as string)) as { build(): Promise<string[]> };
  await launcher.build();
}
