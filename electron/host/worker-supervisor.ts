import { Worker } from 'node:worker_threads';
import { wrap } from 'comlink';
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs';
import type { Failure } from '../../core/base/result.ts';
import type { WorkerMessage } from '../../core/worker/analysis-service.ts';

/** Why a call to a worker came to nothing. `message` and `remedy` are fit to be shown. */
export class WorkerFailure extends Error implements Failure {
  readonly code: 'worker-lost' | 'worker-silent' | 'worker-bug' | 'closed';
  readonly remedy: string;

  constructor(code: WorkerFailure['code'], message: string, remedy: string, cause?: unknown) {
    super(message, { cause });
    this.name = 'WorkerFailure';
    this.code = code;
    this.remedy = remedy;
  }
}

export interface CallOptions {
  /** The call is given up when the worker shows no sign of life for this long. */
  readonly silenceMs: number;
  readonly signal?: AbortSignal | undefined;
  readonly onMessage?: ((message: WorkerMessage) => void) | undefined;
}

/**
 * One worker with its proxy. It answers one call at a time.
 * Comlink alone would leave a call pending for ever when its worker dies (contract tests); here every call settles.
 */
export interface SupervisedWorker<Service> {
  /** False once the worker is gone or was ended; it does not come back, a new one has to be started. */
  readonly isAlive: boolean;
  /**
   * Returns what `job` makes of the service.
   * Errors  rejects with a WorkerFailure when the worker is lost, silent, or threw (our bug);
   *         with the signal's reason when aborted. Losing, silence and abort end the worker.
   */
  call<T>(job: (service: Service) => PromiseLike<T>, options: CallOptions): Promise<T>;
  /** Ends the worker; a pending call rejects. */
  end(): Promise<void>;
}

/**
 * Returns a started worker whose service has only methods that return promises.
 * A script that cannot be loaded shows at the first call.
 */
export function startWorker<Service>(workerUrl: URL, productVersion: string): SupervisedWorker<Service> {
  const worker = new Worker(workerUrl, { workerData: { productVersion } });
  // Held here for as long as the worker lives: a proxy that is collected closes its channel under a pending call.
  // The cast: of methods that return promises Comlink's proxy has the very type, which its own mapping splits for unions.
  const service = wrap(nodeEndpoint(worker)) as Service;
  let gone: WorkerFailure | null = null;
  let pending: { reject: (reason: unknown) => void; onMessage: (message: WorkerMessage) => void } | null = null;

  const lose = (failure: WorkerFailure): void => {
    gone ??= failure;
    pending?.reject(gone);
  };
  worker.on('error', (error) => lose(lossOf(error)));
  worker.on('messageerror', (error) => lose(lossOf(error)));
  worker.on('exit', (exitCode) => lose(new WorkerFailure('worker-lost', `The analysis stopped unexpectedly (exit code ${exitCode}).`, 'Try again; what was done before is kept.')));
  worker.on('message', (message: unknown) => {
    if (isWorkerMessage(message)) pending?.onMessage(message);
  });
  worker.unref();

  const end = async (): Promise<void> => {
    lose(new WorkerFailure('closed', 'The analysis was closed.', 'Start it again.'));
    await worker.terminate();
  };

  return {
    get isAlive() {
      return gone === null;
    },
    end,
    async call(job, { silenceMs, signal, onMessage }) {
      signal?.throwIfAborted();
      if (gone !== null) throw gone;
      if (pending !== null) throw new Error('a worker answers one call at a time');
      worker.ref();
      let timer: NodeJS.Timeout | undefined;
      let abort: (() => void) | undefined;
      try {
        return await new Promise((resolve, reject) => {
          const giveUp = (reason: unknown): void => {
            pending = null;
            void worker.terminate().then(() => reject(reason), reject);
          };
          timer = setTimeout(() => {
            gone = new WorkerFailure('worker-silent', `The analysis gave no sign of life for ${silenceMs / 1000} s and was ended.`, 'Try again with fewer or smaller files.');
            giveUp(gone);
          }, silenceMs);
          abort = () => {
            gone = new WorkerFailure('closed', 'The analysis was cancelled.', 'Start it again.');
            giveUp(signal?.reason);
          };
          signal?.addEventListener('abort', abort, { once: true });
          pending = {
            reject,
            onMessage: (message) => {
              timer?.refresh();
              onMessage?.(message);
            },
          };
          job(service).then(resolve, (error: unknown) => reject(bugOf(error)));
        });
      } finally {
        clearTimeout(timer);
        if (abort !== undefined) signal?.removeEventListener('abort', abort);
        pending = null;
        worker.unref();
      }
    },
  };
}

function isWorkerMessage(message: unknown): message is WorkerMessage {
  return typeof message === 'object' && message !== null && 'kind' in message && (message.kind === 'bytes-read' || message.kind === 'patients-drawn' || message.kind === 'figures-made');
}

function lossOf(error: unknown): WorkerFailure {
  if (error instanceof Error && 'code' in error && error.code === 'ERR_WORKER_OUT_OF_MEMORY') {
    return new WorkerFailure('worker-lost', 'The analysis ran out of memory.', 'Take fewer or smaller files at a time.', error);
  }
  const text = error instanceof Error ? error.message : String(error);
  return new WorkerFailure('worker-lost', `The analysis stopped unexpectedly: ${text}`, 'Try again; what was done before is kept.', error);
}

/** Comlink keeps of an exception only name, message and stack; a service that throws has a bug. */
function bugOf(error: unknown): WorkerFailure {
  const text = error instanceof Error ? error.message : String(error);
  return new WorkerFailure('worker-bug', `An error inside the program: ${text}`, 'Report it together with the file that brought it about.', error);
}
