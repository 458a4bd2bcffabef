import { parentPort, workerData } from 'node:worker_threads';
import { expose, transfer } from 'comlink';
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs';
import type { AnalysisService } from './analysis-service.ts';
import { createAnalysisService } from './analysis-service.ts';
import { buffersOf } from './transferables.ts';

const port = parentPort;
if (port === null) throw new Error('this file runs only as a worker');

const { productVersion } = workerData as { productVersion: string }; // worker-supervisor.ts sets it
const service = createAnalysisService(productVersion, (message) => port.postMessage(message));

/** Results leave this thread for good, so their arrays are moved instead of copied. */
function moved<T extends object>(result: T): T {
  return transfer(result, buffersOf(result));
}

const wire: AnalysisService = {
  ...service,
  makeCase: async (task, caseKey, parameters) => moved(await service.makeCase(task, caseKey, parameters)),
  analyze: async (record, parameters) => moved(await service.analyze(record, parameters)),
  setClockOffset: async (record, change) => moved(await service.setClockOffset(record, change)),
};

expose(wire, nodeEndpoint(port));
