import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** A running workstation in browser mode, with a data folder of its own. */
export interface Workstation {
  /** Address with the token; opening it is the first thing a test does. */
  readonly address: string;
  readonly dataFolder: string;
  /** Ends it as Ctrl-C does; resolves with the exit code. */
  stop(): Promise<number | null>;
}

/**
 * Starts the workstation as `npm start -- --browser --no-open` does.
 * Without `library` it has the default library in a fresh data folder, so the sample cases are imported.
 */
export async function startWorkstation(options: { library?: string; dataFolder?: string } = {}): Promise<Workstation> {
  const dataFolder = options.dataFolder ?? (await mkdtemp(join(tmpdir(), 'lacuna-e2e-')));
  const args = ['electron/launch/start.mjs', '--browser', '--no-open', ...(options.library === undefined ? [] : ['--library', options.library])];
  const child = spawn(process.execPath, args, { cwd: ROOT, env: { ...process.env, XDG_DATA_HOME: dataFolder, LOCALAPPDATA: dataFolder }, stdio: ['ignore', 'pipe', 'pipe'] });
  const exited = new Promise<number | null>((resolve) => child.on('exit', resolve));
  let said = '';
  const address = await new Promise<string>((resolve, reject) => {
    const listen = (chunk: Buffer): void => {
      said += chunk.toString();
      const found = /http:\/\/127\.0\.0\.1:\d+\/\?token=[\w-]+/.exec(said);
      if (found !== null) resolve(found[0]);
    };
    child.stdout.on('data', listen);
    child.stderr.on('data', listen);
    void exited.then((code) => reject(new Error(`the workstation ended with ${code}: ${said}`)));
  });
  return {
    address,
    dataFolder,
    async stop() {
      child.kill('SIGTERM');
      const code = await exited;
      if (options.dataFolder === undefined) await rm(dataFolder, { recursive: true, force: true });
      return code;
    },
  };
}
