import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import 'reflect-metadata';
import { bodyLimit_bytes } from '@tidemark/api';
import type { LoggerService, LogLevel, NestApplicationOptions } from '@nestjs/common';
import { NestFactory } from '@nestjs/core';
import type { NestExpressApplication } from '@nestjs/platform-express';
import { DeskModule } from './desk.module.ts';
import { frontDoor } from './http/front-door.ts';
import { pageFallback } from './page/page-fallback.ts';
import type { DeskPorts } from './ports.ts';

/** Where and how the desk answers. */
export interface DeskOptions {
  /** The loopback address to listen on. There is no login yet: any other address is the caller's own risk. */
  readonly address: string;
  /** 0 lets the system choose. */
  readonly port: number;
  /** Host names that a browser may use for this desk. */
  readonly hosts: readonly string[];
  /** The folder of the built page, from `ensurePage`. */
  readonly page_folder: string;
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
  // Nest declares its options as a class by its types only; its own documentation passes literals.
  // eslint-disable-next-line @typescript-eslint/no-unsafe-class-instance-assignment
  const settings: NestApplicationOptions = {
    bodyParser: false,
    logger: options.logger ?? ['warn', 'error'],
    abortOnError: false,
    // A page's idle connection must not hold the station back when it stops.
    forceCloseConnections: true,
  };
  const app = await NestFactory.create<NestExpressApplication>(DeskModule.with(ports, options.address), settings);
  app.disable('x-powered-by');
  app.use(frontDoor(options.hosts));
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
  return { url: `http://${options.address}:${port}`, close: () => app.close() };
}
