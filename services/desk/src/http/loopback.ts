import { isIPv4 } from 'node:net';

/** Whether an address to listen on reaches this machine only: 127.0.0.0/8 and ::1 (RFC 6890), and their usual name. */
export const isLoopback = (address: string): boolean =>
  address === 'localhost' || address === '::1' || (isIPv4(address) && address.startsWith('127.'));
