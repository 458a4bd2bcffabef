/**
 * The headless entry: installs and builds what is missing, then runs the built program with the same arguments.
 * Everything that is not the program's own output goes to standard error.
 */
import { installMissing } from './install.mjs';

const log = (line) => process.stderr.write(`${line}\n`);
try {
  await installMissing({ log });
  const { build } = await import('./build.mjs');
  await build({ log });
} catch (error) {
  log(`Could not get ready: ${error.message}`);
  process.exit(1);
}
await import('../../dist/headless/main.js');
