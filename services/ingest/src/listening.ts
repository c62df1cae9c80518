import type { Server } from 'node:net';
import { BrokerStartFault } from './fault.ts';

/** Whether only this machine can reach the address. */
export const isLoopback = (host: string): boolean =>
  host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host);

/** Listens, or rejects with a `BrokerStartFault`. */
export function listen(server: Server, host: string, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => reject(startFault(error, host, port)));
    server.listen({ host, port }, () => {
      server.removeAllListeners('error');
      resolve();
    });
  });
}

function startFault(error: NodeJS.ErrnoException, host: string, port: number): BrokerStartFault {
  const place = `port ${String(port)} on ${host}`;
  switch (error.code) {
    case 'EADDRINUSE':
      return new BrokerStartFault(
        'port-in-use',
        `The broker cannot listen: ${place} is in use, perhaps by another broker or station. Stop that one, or choose another port.`,
        error,
      );
    case 'EACCES':
      return new BrokerStartFault(
        'port-forbidden',
        `The broker may not listen on ${place}: choose one above 1023.`,
        error,
      );
    default:
      return new BrokerStartFault('cannot-listen', `The broker cannot listen on ${place}: ${error.message}.`, error);
  }
}
