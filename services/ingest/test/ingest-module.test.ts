import 'reflect-metadata';
import { Logger } from '@nestjs/common';
import { NestFactory } from '@nestjs/core';
import { Ingest, INGEST, IngestModule } from '@tidemark/ingest';
import { MemoryJournal } from '@tidemark/journal';
import { instant, seededRandom } from '@tidemark/kernel';
import { connect } from 'node:net';
import { expect, it } from 'vitest';

const reachable = (port: number): Promise<boolean> =>
  new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });

Logger.overrideLogger(false);

it('ingest is found in a Nest application and closed with it', async () => {
  const ingest = await Ingest.open({
    journal: new MemoryJournal(),
    now: () => instant(0),
    random: seededRandom(1),
    prefix: 'risers/v1',
    installed: () => undefined,
    embedded: { port: 0 },
  });
  const port = ingest.port!;
  const application = await NestFactory.createApplicationContext(IngestModule.with({ ingest }));

  expect(application.get(INGEST)).toBe(ingest);
  expect(await reachable(port)).toBe(true);
  await application.close();

  expect(await reachable(port)).toBe(false);
});
