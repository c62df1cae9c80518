import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import 'reflect-metadata';
import { bodyLimit_bytes } from '@tidemark/api';
import type { LoggerService, LogLevel, NestApplicationOptions } from '@nestjs/common';
import { NestFactory } from '@nestjs/core';
import type { NestExpressApplication } from '@nestjs/platform-express';
import { invariant } from '@tidemark/kernel';
import type { Transport } from './access/session-cookie.ts';
import { DeskModule } from './desk.module.ts';
import { frontDoor } from './http/front-door.ts';
import { isLoopback } from './http/loopback.ts';
import { pageFallback } from './page/page-fallback.ts';
import type { DeskPorts } from './ports.ts';

/** Where and how the desk answers. */
export interface DeskOptions {
  /** Without TLS a loopback address: passwords and sessions never cross a network in the clear. */
  readonly address: string;
  /** 0 lets the system choose. */
  readonly port: number;
  /** Host names that a browser may use for this desk. */
  readonly hosts: readonly string[];
  /** The folder of the built page, from `ensurePage`. */
  readonly page_folder: string;
  /** Certificate and key of the desk's own TLS, PEM; or `proxy`, where one in front of it speaks TLS. Absent: plain. */
  readonly tls?: { readonly cert: string; readonly key: string } | 'proxy';
  readonly logger?: LoggerService | LogLevel[] | false;
}

/** A desk that answers. */
export interface OpenDesk {
  readonly url: string;
  close(): Promise<void>;
}

/** On this machine only. */
export const loopback = { address: '127.0.0.1', hosts: ['localhost', '127.0.0.1', '[::1]'] } as const;

/** Files whose name carries a hash of their content never change. */
const hashedAssets_s = 31_536_000;

/** Opens the desk: HTTP API, stream of changes and page, on one address. Resolves once it answers. */
export async function openDesk(ports: DeskPorts, options: DeskOptions): Promise<OpenDesk> {
  const { tls } = options;
  const transport: Transport = tls === undefined ? 'plain' : tls === 'proxy' ? 'behind-tls' : 'tls';
  invariant(transport !== 'plain' || isLoopback(options.address), 'beyond this machine the desk is reached over TLS');
  invariant(ports.access.site === 'real' || isLoopback(options.address), 'a demo answers this machine only');
  // Nest declares its options as a class by its types only; its own documentation passes literals.
  // eslint-disable-next-line @typescript-eslint/no-unsafe-class-instance-assignment
  const settings: NestApplicationOptions = {
    bodyParser: false,
    logger: options.logger ?? ['warn', 'error'],
    abortOnError: false,
    // A page's idle connection must not hold the station back when it stops.
    forceCloseConnections: true,
  };
  if (typeof tls === 'object') settings.httpsOptions = tls;
  const app = await NestFactory.create<NestExpressApplication>(
    DeskModule.with(ports, { listensOn: options.address, transport }),
    settings,
  );
  app.disable('x-powered-by');
  app.use(frontDoor(options.hosts, transport));
  app.useBodyParser('json', { limit: bodyLimit_bytes, strict: true });
  app.useStaticAssets(join(options.page_folder, 'assets'), {
    prefix: '/assets/',
    immutable: true,
    maxAge: hashedAssets_s * 1_000,
    fallthrough: true,
  });
  app.use(pageFallback(options.page_folder));
  await app.listen(options.port, options.address);
  const { port } = app.getHttpServer().address() as AddressInfo;
  return { url: `${transport === 'tls' ? 'https' : 'http'}://${options.address}:${port}`, close: () => app.close() };
}
